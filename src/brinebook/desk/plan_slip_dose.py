"""``plan slip dose``: too much of a bottle went in, what that did, and by when it is gone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_pour import Poured
from brinebook.desk.plan_slip_effect import (
    Effect,
    effect_figures,
    effect_of,
    jump_of,
    water_figures,
)
from brinebook.desk.plan_words import typed
from brinebook.measure import Measure
from brinebook.plan import Chance, Expected, Figure, Plan, Reason, Step
from brinebook.planning import cautions
from brinebook.planning.limits import CHANCE
from brinebook.report.dates import day_text
from brinebook.report.numbers import plain_text, value_text
from brinebook.texts import say
from brinebook.timeline import Fact

#: A dose written down so lately is taken to be the one that is asked about.
_LATELY = timedelta(days=2)
#: Above this saturation of aragonite chalk is often seen to fall out on heaters and pumps (common
#: practice, no source); at the spot where it was poured it was far higher for a minute.
_SNOWS = 10.0
#: A jump of pH at once that animals feel: a day's swing of up to 0.4 is common (common practice, no
#: source).
_JUMP = 0.3


def dose_slip(now: WaterNow, went_in: Poured) -> Plan:
    """What ``went_in`` beyond what was meant did, how long it takes to be used up, what to do."""
    effect = effect_of(now, went_in, logged=_is_logged(now, went_in))
    water = water_figures(now, went_in, effect.before.value)
    jump = jump_of(water)
    harmless = effect.over_limit < CHANCE and abs(jump) <= _JUMP
    steps = () if harmless else _dose_steps(now, went_in, effect)
    ids = [*cautions.of_salt(went_in.substance.salt)]
    return Plan(
        kind="slip",
        about=(effect.quantity,),
        at=now.at,
        verdict="nothing" if harmless else "do",
        headline=_dose_headline(now, went_in, effect, harmless=harmless)
        + _jump_sentence(water, jump),
        steps=steps,
        chances=_dose_chances(effect),
        figures=(*effect_figures(effect), *water),
        reasons=_dose_reasons(now, went_in, effect),
        stops=_dose_stops(effect),
        cautions=cautions.cautions(*ids),
        notes=_dose_notes(now, went_in, effect),
    )


def _jump_sentence(water: Sequence[Figure], jump: float) -> str:
    if abs(jump) <= _JUMP:
        return ""
    told = {figure.name: figure.value for figure in water}
    return " " + say(
        "pH jumps at once from {before:.1f} to {after:.1f}: stir the surface hard, for the room's "
        "air takes it back, and watch the animals.",
        before=told["ph_before"],
        after=told["ph_at_once"],
    )


def _is_logged(now: WaterNow, went_in: Poured) -> bool:
    return any(
        fact.kind == "dose"
        and fact.what.casefold() == went_in.name.casefold()
        and now.at - _LATELY <= fact.when <= now.at
        and fact.unit == went_in.amount.unit
        and abs(float(fact.value) - went_in.amount.value) < 1e-9
        for fact in now.facts
    )


def _dose_headline(now: WaterNow, went_in: Poured, effect: Effect, *, harmless: bool) -> str:
    name = effect.quantity
    up = effect.rise.value > 0.0
    rise = now.text(name, _size(effect.rise), difference=True)
    first = say(
        "{went_in} {adds_or_takes} {rise} of {name}",
        went_in=went_in.text,
        adds_or_takes=say("adds") if up else say("takes"),
        rise=rise,
        name=name,
    )
    if name in now.drawn.quantities:
        first += say(": about {amount} in all", amount=now.text(name, effect.after))
    if harmless:
        allowed = now.text(name, effect.limits.per_day, difference=True)
        return say(
            "{first}. That is within {allowed} a day, so go on as usual.",
            first=first,
            allowed=allowed,
        )
    share = abs(effect.rise.value) / effect.limits.per_day
    times = say(", {share} times what is let change in a day", share=plain_text(share, digits=2))
    gone = ""
    if effect.days is not None and _pump_of(now, went_in):
        when = now.at + timedelta(days=effect.days.value)
        gone = say(
            " With its pump off the reef has used it up by about {now}.", now=_day(now, when)
        )
    elif effect.days is not None:
        gone = say(
            " It is {days} days of the reef's use.",
            days=plain_text(effect.days.value, digits=2),
        )
    return f"{first}{times}.{gone}"


def _size(measure: Measure) -> Measure:
    """The measure without its sign."""
    if measure.value >= 0.0:
        return measure
    return Measure(-measure.value, measure.sd, measure.unit, -measure.high, -measure.low)


def _day(now: WaterNow, when: datetime) -> str:
    return day_text(when, now.at, now.zone)


def _pump_of(now: WaterNow, went_in: Poured) -> Fact | None:
    """The setting of its dosing pump, if it has one that runs."""
    settings = [
        fact
        for fact in now.facts
        if fact.kind == "dosing" and fact.what.casefold() == went_in.name.casefold()
    ]
    last = max(settings, key=lambda fact: fact.when, default=None)
    return last if last is not None and float(last.value) > 0.0 else None


def _dose_steps(now: WaterNow, went_in: Poured, effect: Effect) -> tuple[Step, ...]:
    steps = []
    soon = now.at + timedelta(hours=12)
    if not _is_logged(now, went_in):
        steps.append(
            Step(
                now.at,
                soon,
                "dose",
                went_in.name,
                typed(went_in.amount.value),
                went_in.amount.unit,
                say("Write down what went in: {went_in}.", went_in=went_in.text),
            )
        )
    pump = _pump_of(now, went_in)
    if pump is not None and effect.days is not None and effect.rise.value > 0.0:
        steps += _pause(now, pump, effect)
    if effect.quantity not in ("salinity", "silicate"):
        when = now.at + timedelta(days=1)
        after = effect.after
        expects = (
            (Expected(effect.quantity, when, after.value, after.low, after.high),)
            if effect.use is not None
            else ()
        )
        steps.append(
            Step(
                when,
                when + timedelta(days=1),
                "test",
                effect.quantity,
                "",
                "",
                say(
                    "Test {quantity}, and once more where the pump goes on again.",
                    quantity=effect.quantity,
                ),
                expects=expects,
            )
        )
    return tuple(sorted(steps, key=lambda step: step.when))


def _pause(now: WaterNow, pump: Fact, effect: Effect) -> list[Step]:
    assert effect.days is not None
    days = max(effect.days.value, 0.5)
    back = now.at + timedelta(days=days)
    return [
        Step(
            now.at,
            now.at + timedelta(hours=12),
            "dosing",
            pump.what,
            "0",
            pump.unit,
            say("Switch the pump of {what} off.", what=pump.what),
        ),
        Step(
            back,
            back + timedelta(days=1),
            "dosing",
            pump.what,
            pump.value,
            pump.unit,
            say(
                "Set it back to {pump} {unit}, once a test says that the level is back.",
                pump=pump.value,
                unit=pump.unit,
            ),
            detail=dict(pump.detail),
        ),
    ]


def _dose_chances(effect: Effect) -> tuple[Chance, ...]:
    found = [Chance(say("is more than is let change in a day"), effect.over_limit)]
    if effect.outside is not None:
        found.append(
            Chance(
                say("left {quantity} outside your band", quantity=effect.quantity), effect.outside
            )
        )
    return tuple(found)


# ---- words ---------------------------------------------------------------------------------------


def _dose_reasons(now: WaterNow, went_in: Poured, effect: Effect) -> tuple[Reason, ...]:
    found = [
        Reason(
            say(
                "{went_in} in {litres} of water.",
                went_in=went_in.text,
                litres=value_text(now.litres),
            ),
            inputs=(
                Figure(
                    "volume", now.litres.value, "L", now.litres.low, now.litres.high, "estimated"
                ),
                Figure(
                    "amount", went_in.amount.value, went_in.amount.unit, origin=say("as you say")
                ),
            ),
            equation=say("rise = amount × what one of it brings / net volume"),
            sources=("prohaska2022",),
        )
    ]
    if went_in.brings.get("alkalinity"):
        found.append(
            Reason(
                say(
                    "What the pH does at first is not what it does in the end: "
                    "bicarbonate lowers it a little, carbonate and hydroxide raise "
                    "it, and within hours the room's air brings all three to the "
                    "same pH, a little higher than before."
                ),
                equation=say("alkalinity and carbon added, then CO2 in balance with the room"),
                sources=("dickson2007", "lueker2000", "weiss1974"),
            )
        )
    if effect.days is not None:
        found.append(
            Reason(
                say("What went in too much is used up at the rate at which the reef uses it."),
                equation=say("days = rise / use a day"),
            )
        )
    return tuple(found)


def _dose_stops(effect: Effect) -> tuple[str, ...]:
    if effect.over_limit < CHANCE:
        return ()
    return (
        say(
            "the test of {quantity} is far from what is expected here: then less or "
            "more went in than you think, so leave the pump as it is and test again.",
            quantity=effect.quantity,
        ),
    )


def _dose_notes(now: WaterNow, went_in: Poured, effect: Effect) -> tuple[str, ...]:
    found = []
    if _is_logged(now, went_in):
        found.append(say("The book has it already, so the balance counts it."))
    if effect.quantity == "alkalinity" and effect.rise.value > 0.0:
        found.append(
            say(
                "What not to do: no acid against it, and no calcium to go with it. A "
                "fall back within a day is the second shock; let the reef take it up."
            )
        )
    elif effect.rise.value > 0.0 and effect.quantity in ("calcium", "magnesium"):
        found.append(
            say(
                "What not to do: no soda against it. High calcium or magnesium does "
                "little harm by itself; high together with high alkalinity is what "
                "makes chalk."
            )
        )
    elif effect.quantity in ("nitrate", "phosphate") and effect.rise.value > 0.0:
        found.append(
            say(
                "What not to do: no media in a hurry. Pulled down fast it hurts more "
                "than the rise did."
            )
        )
    over = next(
        (
            each.value
            for each in water_figures(now, went_in, effect.before.value)
            if each.name == "omega_aragonite_at_once"
        ),
        0.0,
    )
    if over > _SNOWS:
        found.append(
            say(
                "Aragonite stands at {over:.0f} times saturation until the air has "
                "had its say: if the water turns milky, chalk has fallen out, and "
                "calcium and alkalinity are both lower than reckoned. Test before "
                "anything else goes in.",
                over=over,
            )
        )
    if effect.quantity == "alkalinity":
        return (*found, *now.assumed_of("alkalinity", "salinity", "temperature", "ph"))
    return (*found, *now.assumed_of(effect.quantity))
