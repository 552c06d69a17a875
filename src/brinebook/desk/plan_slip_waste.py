"""``plan slip``, waste: too much food, something that died, something that doesn't belong in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_slip_salt import SlipImpossible
from brinebook.desk.plan_words import amount_text, typed
from brinebook.measure import Measure
from brinebook.plan import Figure, Plan, Reason, Step
from brinebook.planning import cautions, slips, treatment
from brinebook.planning.changes import SHARE_A_WEEK, SHARE_AT_ONCE
from brinebook.planning.food import FoodContent
from brinebook.planning.spread import Floats, deviates, told
from brinebook.report.numbers import range_text, value_text
from brinebook.texts import begun, say
from brinebook.water.ammonia import unionised_fraction
from brinebook.water.oxygen import oxygen_saturation

#: Days over which food and flesh rot when they stay: common practice, no source.
_ROTS_DAYS = 5
#: Up to so many days of usual food at once: the animals eat it in a day or two. Common practice.
_HARMLESS_DAYS = 2.0
_A_THIRD = 1.0 / 3.0
#: Long-term guideline for total ammonia in sea water, mg N/L: 95 % of species protected.
#: Source: batley2009
GUIDELINE = 0.46


@dataclass(frozen=True, slots=True)
class _Waste:
    """Grams of nitrogen, phosphorus and oxygen demand, as draws, and what made them."""

    text: str
    nitrogen: Floats
    phosphorus: Floats
    oxygen: Floats
    sources: tuple[str, ...]
    equation: str


def overfed_slip(
    now: WaterNow, grams: float, content: FoodContent, *, daily: float | None = None
) -> Plan:
    """So many grams of food at once; ``daily`` is what is fed in a usual day (g)."""
    _check(grams)
    count = now.drawn.count
    waste = _Waste(
        say("{grams} of food", grams=amount_text(grams, "g")),
        grams * content.nitrogen.drawn(deviates(71, count)),
        grams * content.phosphorus.drawn(deviates(72, count)),
        grams * slips.OXYGEN_OF_FEED.drawn(deviates(73, count)),
        ("aoac1990", "clegg1995"),
        say("N = protein / 6.25; oxygen = that of the food + 4.57 × N"),
    )
    days = grams / daily if daily else None
    if days is not None and days <= _HARMLESS_DAYS:
        return Plan(
            kind="slip",
            about=("ammonia", "nitrate", "phosphate"),
            at=now.at,
            verdict="nothing",
            headline=say(
                "{waste} is no more than {days:.1g} days' worth: net out what lies "
                "about, and leave out the next meals.",
                waste=begun(waste.text),
                days=days,
            ),
            figures=_figures(now, waste),
        )
    return _plan(now, waste, _food_steps(now, grams, days), ("fear", "mains"))


def death_slip(now: WaterNow, grams: float) -> Plan:
    """An animal of so many wet grams that died unseen and rots in the water."""
    _check(grams)
    count = now.drawn.count
    dry = grams * slips.dry_of_flesh().drawn(deviates(74, count))
    waste = _Waste(
        say("{grams} of dead animal", grams=amount_text(grams, "g")),
        dry * slips.NITROGEN_OF_FLESH.drawn(deviates(75, count)),
        dry * slips.PHOSPHORUS_OF_FLESH.drawn(deviates(76, count)),
        dry * slips.OXYGEN_OF_FLESH.drawn(deviates(77, count)),
        ("ikeda2011", "clegg1995"),
        say("dry = 19 to 34 % of wet; N = 8 to 13 % of dry; oxygen = that of the flesh + 4.57 × N"),
    )
    return _plan(now, waste, _death_steps(now), ("fear", "zoanthids", "mains"))


def _check(grams: float) -> None:
    if not 0.0 < grams <= 1e5:
        raise SlipImpossible(
            say("{grams:g} g can't be.", grams=grams), say("Say how much it was: 30g.")
        )


def _measures(now: WaterNow, waste: _Waste) -> dict[str, Measure]:
    litres = now.drawn.litres
    ammonia = 1e3 * waste.nitrogen / litres
    toxic = _toxic_share(now)
    demand = waste.oxygen + slips.oxygen_to_nitrify(1.0) * waste.nitrogen
    stock = 1e-3 * oxygen_saturation(now.middle("salinity"), now.middle("temperature")) * litres
    return {
        "nitrogen": told(waste.nitrogen, "g"),
        "phosphorus": told(waste.phosphorus, "g"),
        "ammonia_if_all_at_once": told(ammonia, "mg/L"),
        "ammonia_unionised_if_all_at_once": told(toxic * ammonia, "mg/L"),
        "nitrate_in_the_end": told(NITRATE_PER_N * ammonia, "mg/L"),
        "phosphate_in_the_end": told(PHOSPHATE_PER_P * 1e3 * waste.phosphorus / litres, "mg/L"),
        "oxygen_needed": told(demand, "g"),
        "oxygen_in_the_water": told(stock, "g"),
        "oxygen_needed_times_stock": told(demand / stock, ""),
    }


def _toxic_share(now: WaterNow) -> float:
    return unionised_fraction(
        now.state().ph_total, now.middle("salinity"), now.middle("temperature")
    )


def _figures(now: WaterNow, waste: _Waste) -> tuple[Figure, ...]:
    return (
        *(
            Figure(name, each.value, each.unit, each.low, each.high)
            for name, each in _measures(now, waste).items()
        ),
        Figure("ph", now.state().ph_nbs, "NBS"),
        Figure("ammonia_guideline", GUIDELINE, "mg/L", origin=say("long-term guideline, total N")),
    )


def _plan(
    now: WaterNow, waste: _Waste, steps: tuple[Step, ...], caution_ids: tuple[str, ...]
) -> Plan:
    found = _measures(now, waste)
    times = found["oxygen_needed_times_stock"]
    return Plan(
        kind="slip",
        about=("oxygen", "ammonia", "nitrate", "phosphate"),
        at=now.at,
        verdict="do",
        headline=say(
            "Air first: to rot, {waste} takes {times} times the oxygen that the "
            "water holds. Stir the surface hard, take out what can be taken out, "
            "then test ammonia.",
            waste=waste.text,
            times=range_text(times),
        ),
        steps=steps,
        figures=_figures(now, waste),
        reasons=_reasons(now, waste, found),
        stops=(
            say(
                "fish hang at the surface or breathe fast: stir and air first, "
                "change a third of the water with matched water, and come back to "
                "figures later."
            ),
        ),
        cautions=cautions.cautions(*caution_ids),
        notes=(
            *_outweighed(now),
            say(
                "What you take out within hours doesn't count: half of it out is "
                "half of every figure."
            ),
            say(
                "What not to do: nothing that claims to bind ammonia in a hurry "
                "without its label, no more food, no new animals until two tests a "
                "day apart see none."
            ),
            *now.assumed_of("alkalinity", "salinity", "temperature", "ph"),
        ),
    )


def _outweighed(now: WaterNow) -> tuple[str, ...]:
    """Which limit on water changes ammonia outweighs, where it does."""
    once = now.system.planning.change_share or SHARE_AT_ONCE
    if once >= _A_THIRD and SHARE_A_WEEK >= 2.0 * _A_THIRD:
        return ()
    return (
        say(
            "A third of the water and the same next day is more than plans change otherwise "
            "({once:.0f} % at once, {week:.0f} % in a week): ammonia outweighs it.",
            once=100.0 * once,
            week=100.0 * SHARE_A_WEEK,
        ),
    )


def _reasons(now: WaterNow, waste: _Waste, found: dict[str, Measure]) -> tuple[Reason, ...]:
    volume = Figure("volume", now.litres.value, "L", now.litres.low, now.litres.high, "estimated")
    return (
        Reason(
            say(
                "It holds {nitrogen} of nitrogen. Turned loose at once that would be "
                "{ammonia_if_all_at_once} of ammonia N; in fact it comes over some "
                "{rots_days} days while bacteria turn it into nitrate, up to "
                "{nitrate_in_the_end} of it, and {phosphate_in_the_end} of phosphate.",
                nitrogen=value_text(found["nitrogen"]),
                ammonia_if_all_at_once=value_text(found["ammonia_if_all_at_once"]),
                rots_days=_ROTS_DAYS,
                nitrate_in_the_end=value_text(found["nitrate_in_the_end"]),
                phosphate_in_the_end=value_text(found["phosphate_in_the_end"]),
            ),
            inputs=(volume,),
            equation=waste.equation,
            sources=waste.sources,
        ),
        Reason(
            say(
                "At this pH {toxic_share:.0f} % of ammonia is the toxic kind; a "
                "long-term guideline for all of it is {guideline} mg/L of N.",
                toxic_share=100 * _toxic_share(now),
                guideline=GUIDELINE,
            ),
            sources=("clegg1995", "batley2009"),
        ),
    )


def _air(now: WaterNow) -> Step:
    return Step(
        now.at,
        now.at + timedelta(hours=2),
        "done",
        say("stir the surface"),
        "",
        "",
        say("Turn pumps to the surface, add an air stone, leave the skimmer on."),
    )


def _tests(now: WaterNow) -> tuple[Step, ...]:
    found = []
    for hours, about in ((8, say("this evening")), (24, "tomorrow"), (48, say("the day after"))):
        when = now.at + timedelta(hours=hours)
        found.append(
            Step(
                when,
                when + timedelta(hours=12),
                "test",
                "ammonia",
                "",
                "",
                say(
                    "Test ammonia {about}. From {guideline} mg/L of N on, change a "
                    "third of the water with matched water, and again next day.",
                    about=about,
                    guideline=GUIDELINE,
                ),
            )
        )
    return tuple(found)


def _food_steps(now: WaterNow, grams: float, days: float | None) -> tuple[Step, ...]:
    pause = say("a few days") if days is None else say("about {days:.0f} days", days=min(days, 7.0))
    soon = now.at + timedelta(hours=6)
    return (
        _air(now),
        Step(
            now.at,
            soon,
            "done",
            say("siphon the food out"),
            "",
            "",
            say(
                "Net and siphon out what lies about, rinse the filter wool or sock, "
                "and clear the overflow: in the first hours most of it can be had "
                "back."
            ),
        ),
        Step(
            now.at,
            soon,
            "event",
            "overfed",
            typed(grams),
            "g",
            say("Write it down, and feed nothing for {pause}; fish stand that.", pause=pause),
        ),
        *_tests(now),
    )


def _death_steps(now: WaterNow) -> tuple[Step, ...]:
    soon = now.at + timedelta(hours=6)
    return (
        _air(now),
        Step(
            now.at,
            soon,
            "done",
            say("take the dead animal out"),
            "",
            "",
            say(
                "Take it out whole, with gloves, and siphon what has come apart. Put "
                "fresh carbon in, with flow through it."
            ),
        ),
        Step(
            now.at,
            soon,
            "event",
            "death",
            "",
            "",
            say("Write it down, with what you saw."),
        ),
        *_tests(now),
    )


def foreign_slip(now: WaterNow, what: str, *, share: float = 0.3, left: float = 0.1) -> Plan:
    """Something that doesn't belong in the water: dilution is all that is reckoned."""
    what = what.strip() or say("it")
    count = treatment.changes_until(share, left)
    return Plan(
        kind="slip",
        about=(),
        at=now.at,
        verdict="do",
        headline=say(
            "Stop what brings {what} in, move animals that suffer, and ask someone "
            "who knows it. I can only reckon dilution: {count} changes of "
            "{share:.0f} % leave a {part} of it. Don't trust that as safety.",
            what=what,
            count=count,
            share=100 * share,
            part=_part(left),
        ),
        steps=_washing(now, share, count),
        figures=(
            Figure("changes", count, ""),
            Figure("share", 100 * share, "%"),
            Figure("left", 100 * treatment.left_after_changes(share, count), "%"),
        ),
        reasons=(
            Reason(
                say("What sits on rock, sand and glass doesn't wash out and comes back slowly."),
                equation=say("left = (1 − share) ^ changes"),
                sources=("levenspiel1999",),
            ),
        ),
        cautions=cautions.cautions("fear", "medicine", "cleaning", "mains", "hoses"),
    )


def _washing(now: WaterNow, share: float, count: int) -> tuple[Step, ...]:
    """Carbon at once, and a change a day."""
    litres = round(share * now.litres.value)
    mix = now.system.mixes[0].name if now.system.mixes else ""
    carbon = Step(
        now.at,
        now.at + timedelta(hours=4),
        "media",
        "carbon",
        typed(_carbon(now)),
        "g",
        say(
            "Put {carbon} of fresh carbon in, with flow through it, and change it "
            "tomorrow: it takes many organic poisons, and hardly any metal.",
            carbon=amount_text(_carbon(now), "g"),
        ),
    )
    changes = []
    for day in range(count):
        when = now.at + timedelta(days=day)
        left = 100 * treatment.left_after_changes(share, day + 1)
        changes.append(
            Step(
                when,
                when + timedelta(hours=18),
                "water_change",
                mix,
                typed(litres),
                "L",
                say(
                    "Change {litres} with matched water: about {left:.0f} % of what "
                    "can be washed out is left.",
                    litres=amount_text(litres, "L"),
                    left=left,
                ),
            )
        )
    return (carbon, *changes)


def _carbon(now: WaterNow) -> float:
    # A gram a litre of net volume, at most a kilogram: common practice, no source.
    return float(min(round(now.litres.value, -1), 1000))


def _part(left: float) -> str:
    return {0.1: "tenth", 0.01: "hundredth", 0.5: "half"}.get(
        left, say("{left:.0f} % part", left=100 * left)
    )
