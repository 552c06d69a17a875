"""A correction in words: what to pour, what it rests on, what would stop it."""

from __future__ import annotations

import numpy as np

from brinebook.desk.plan_chemistry import along_notes, at_once, at_once_note
from brinebook.desk.plan_correct_figures import (
    correction_chances,
    correction_courses,
    correction_figures,
)
from brinebook.desk.plan_correct_steps import correction_steps, test_step, times_of
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_surprise import Surprise
from brinebook.desk.plan_words import (
    amount_text,
    band_text,
    middle_of,
    quantity_text,
    with_range_text,
)
from brinebook.plan import (
    Caution,
    Figure,
    Plan,
    Reason,
    Step,
    Verdict,
)
from brinebook.planning.cautions import cautions, of_part
from brinebook.planning.corrections import Correction
from brinebook.planning.solutions import other_hydrates
from brinebook.planning.substances import split_of
from brinebook.report.dates import day_text
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES
from brinebook.water.salts import SALTS


def _verdict(found: Correction) -> Verdict:
    if found.worth is not None and found.worth.is_worth_it:
        return "test first"
    if found.is_needed:
        return "do"
    return "cannot" if found.short_of else "nothing"


def worded(start: Start, found: Correction, odd: Surprise | None = None) -> Plan:
    """The plan from what was reckoned; ``odd`` is a test that has to be made again first."""
    ask, verdict = found.ask, _verdict(found)
    if odd is not None:
        verdict = "test first"
    steps: tuple[Step, ...] = ()
    if verdict == "do":
        steps = correction_steps(start, found)
    elif verdict == "test first":
        steps = (test_step(start, found, start.at, at_once=True),)
    return Plan(
        kind="correction",
        about=(ask.quantity,),
        at=start.at,
        verdict=verdict,
        headline=_headline(start, found, verdict) if odd is None else odd.sentence(start),
        steps=steps,
        courses=correction_courses(start, found),
        chances=correction_chances(start, found),
        figures=correction_figures(start, found),
        reasons=_reasons(start, found),
        stops=_stops(start, found) if found.is_needed else (),
        cautions=_cautions(found),
        notes=tuple(_notes(start, found)),
    )


def _cautions(found: Correction) -> tuple[Caution, ...]:
    """What to mind in handling the parts, where any are to be handled."""
    if not found.is_needed:
        return ()
    return cautions(*(each for one in found.ask.parts for each in of_part(one.salt, one.unit)))


# ---- words --------------------------------------------------------------------------------------


def _amounts_text(found: Correction, amounts: tuple[float, ...]) -> str:
    return say(" and ").join(
        say("{units} of {part}", units=amount_text(units, part.unit), part=part.name)
        for part, units in zip(found.ask.parts, amounts, strict=True)
    )


def _headline(start: Start, found: Correction, verdict: str) -> str:
    ask, units = found.ask, start.units
    now = with_range_text(ask.quantity, middle_of(found.without[0]), units)
    target = quantity_text(ask.quantity, ask.target, units)
    if verdict == "test first":
        return _test_first(found, now, target)
    if verdict == "nothing":
        return _nothing(found, now, target)
    if verdict == "cannot":
        return _cannot(found, now, target)
    end = with_range_text(ask.quantity, middle_of(found.reached), units)
    first = day_text(times_of(start, found)[0][0], start.at, start.zone)
    days = first if found.days == 1 else say("a day on {days} days", days=found.days)
    pours = found.parting.pours if found.parting else 1
    parts = (
        say(", in {pours} parts {gap} hours apart", pours=pours, gap=plain_text(ask.gap))
        if pours > 1
        else ""
    )
    return say(
        "Pour {amounts} {days}{parts}, besides the daily dosing: {quantity} goes "
        "from about {now} to about {end}.",
        amounts=_amounts_text(found, found.amounts),
        days=days,
        parts=parts,
        quantity=ask.quantity,
        now=now,
        end=end,
    )


def _test_first(found: Correction, now: str, target: str) -> str:
    assert found.worth is not None
    worth, ask = found.worth, found.ask
    often = chance_text(worth.changes)
    amount = _amounts_text(found, found.amounts) if found.is_needed else say("nothing")
    return say(
        "Test {quantity} first: it is about {now}, and {target} is wanted. By what "
        "is known now it would be {amount} today, and a test would change that in "
        "{often} cases.",
        quantity=ask.quantity,
        now=now,
        target=target,
        amount=amount,
        often=often,
    )


def _nothing(found: Correction, now: str, target: str) -> str:
    ask = found.ask
    if float(np.median(found.without[1])) > ask.target + ask.tolerance:
        return say(
            "Nothing to pour: {quantity} is about {now}, above the {target} wanted. {falls}",
            quantity=ask.quantity,
            now=now,
            target=target,
            falls=_falls(found),
        )
    return say(
        "Nothing to pour: {quantity} is about {now}, as near to {target} as can be told.",
        quantity=ask.quantity,
        now=now,
        target=target,
    )


def _falls(found: Correction) -> str:
    """How long it takes to come down by itself, dosing as it is."""
    middle = np.median(found.without, axis=1)
    below = np.nonzero(middle <= found.ask.target)[0]
    if below.size:
        return say(
            "As things go it comes down by itself in about {below} days.", below=int(below[0])
        )
    if found.ask.quantity in ("alkalinity", "calcium", "magnesium"):
        return say("As things go it stays above: the plan of daily doses says what to dose.")
    return say(
        "As things go it stays above: see the plan of water changes.",
    )


def _cannot(found: Correction, now: str, target: str) -> str:
    ask = found.ask
    rises = float(np.median(found.without[1] - found.without[0])) >= ask.limits.per_day
    why = {
        "daily": say("it already rises by more than your limit a day without any pour")
        if rises
        else say(
            "by what is known of the volume and the use it may already rise by "
            "more than your limit a day without any pour: the net volume and "
            "more tests would tell"
        ),
        "saturation": say("any pour of it would pass the cap of aragonite saturation"),
        "edge": say(
            "where it is now is too uncertain: any pour could pass the far edge of the band"
        ),
        "days": say("it would take more than {days} days", days=found.days),
    }[found.short_of]
    return say(
        "It can't be brought to {target} within your limits: {quantity} is about {now}, and {why}.",
        target=target,
        quantity=ask.quantity,
        now=now,
        why=why,
    )


def _reasons(start: Start, found: Correction) -> tuple[Reason, ...]:
    ask, units = found.ask, start.units
    now = with_range_text(ask.quantity, middle_of(found.without[0]), units)
    use = middle_of(start.drawn.use(ask.quantity))
    unit = QUANTITIES[ask.quantity].unit
    litres = middle_of(start.drawn.litres)
    gap = middle_of(ask.target - found.without[1])
    inputs = (
        Figure("gap", gap.value, unit, gap.low, gap.high, "estimated"),
        Figure("volume", litres.value, "L", litres.low, litres.high, "estimated"),
        Figure("use_a_day", use.value, f"{unit}/day", use.low, use.high, "estimated"),
        *(
            Figure(f"{ask.quantity}_per_{part.unit}", part.brings(ask.quantity),
                   f"{unit.removesuffix('/L')}/{part.unit}", origin="label")
            for part in ask.parts
        ),
    )  # fmt: skip
    if start.stated:
        text = say(
            "It rests on what you typed alone: {quantity} is about {now}, in {litres} of water.",
            quantity=ask.quantity,
            now=now,
            litres=amount_text(litres.value, "L"),
        )
    else:
        text = say(
            "It rests on all tests, doses and changes together: {quantity} is about "
            "{now} now, in {litres} of water ({litres_low} to {litres_high}).",
            quantity=ask.quantity,
            now=now,
            litres=amount_text(litres.value, "L"),
            litres_low=plain_text(round(litres.low)),
            litres_high=plain_text(round(litres.high)),
        )
    return (
        Reason(
            text,
            inputs,
            say("amount = (target − level) × volume ÷ what a unit brings"),
            ("prohaska2022",),
        ),
        *_limit_reason(start, found),
    )


def _limit_reason(start: Start, found: Correction) -> tuple[Reason, ...]:
    ask, units = found.ask, start.units
    limit = quantity_text(ask.quantity, ask.limits.per_day, units, difference=True)
    origin = ask.limits.origin("per_day")
    says = f"; {ask.limits.per_day_says}" if ask.limits.per_day_says else ""
    text = say("Held to {limit} a day ({origin}{says})", limit=limit, origin=origin, says=says)
    text += say(" and a band of {band} ", band=band_text(ask.quantity, ask.limits.band, units))
    text += f"({say(ask.limits.origin('band'))})"
    if found.parting is not None:
        text += say(
            ", and in each pour to an aragonite saturation of {saturation:g} or "
            "{saturation_rise:g} above the start ({origin}), reckoned as mixed into "
            "{mixing_share}",
            saturation=ask.limits.saturation,
            saturation_rise=ask.limits.saturation_rise,
            origin=ask.limits.origin("saturation"),
            mixing_share=_share_text(ask.mixing_share),
        )
    return (Reason(f"{text}."),)


def _share_text(share: float) -> str:
    return (
        say("the whole water before the next")
        if share == 1.0
        else say("{share:.0%} of the water first", share=share)
    )


def _stops(start: Start, found: Correction) -> tuple[str, ...]:
    ask, units = found.ask, start.units
    edge = quantity_text(ask.quantity, ask.limits.band[1], units)
    stops = [
        say(
            "a test on the way reads over {edge}: then leave the rest out and plan again.",
            edge=edge,
        )
    ]
    if found.parting is not None:
        stops.append(
            say(
                "the water clouds white or crystals settle on pumps and heater: that "
                "is chalk falling out, and more of it only feeds it."
            )
        )
    stops.append(say("animals close up or gasp: look to them first, numbers come after."))
    return tuple(stops)


def _notes(start: Start, found: Correction) -> list[str]:
    ask = found.ask
    notes = []
    if found.is_needed and found.short_of:
        why = {
            "edge": say("the doubt about where it stands leaves no more room under the far edge"),
            "daily": say("the limit a day binds"),
            "saturation": say("the cap of saturation binds"),
            "days": say("more than {days} days would be needed", days=found.days),
        }[found.short_of]
        notes.append(
            say(
                "This is less than the whole way ({amounts} in all): {why}.",
                amounts=_amounts_text(found, found.wanted),
                why=why,
            )
        )
    for part, share in zip(ask.parts, split_of(ask.quantity, ask.parts), strict=True):
        if part.unit == "g" and part.salt and found.is_needed:
            notes += [_hydrate(start, found, other, factor, share)
                      for other, factor in other_hydrates(part.salt).items()]  # fmt: skip
    notes = [*along_notes(start, found), *notes] if found.is_needed else notes
    drop = float(np.median(found.without[7] - found.without[0]))
    if found.is_needed and -drop > 0.25 * (ask.limits.band[1] - ask.limits.band[0]):
        fall = quantity_text(ask.quantity, abs(drop), start.units, difference=True)
        notes.append(
            say(
                "Without more daily dosing it falls {fall} in a week: see the plan of daily doses.",
                fall=fall,
            )
        )
    told = at_once(found)
    if told:
        notes.append(at_once_note(told))
    if found.parting is not None:
        notes += start.air_says
        names = ("alkalinity", "calcium", "salinity", "temperature")
        notes += start.water.assumed_of(*(n for n in names if n != ask.quantity))
    return notes


def _hydrate(start: Start, found: Correction, other: str, factor: float, share: float) -> str:
    ask = found.ask
    more = (factor - 1.0) * share * found.days * found.rise_per_day
    end = quantity_text(ask.quantity, middle_of(found.reached + more), start.units)
    return say(
        "If the jar is {salts} ({other}), the same grams bring {factor} %: it ends at about {end}.",
        salts=SALTS[other].name,
        other=other,
        factor=plain_text(round(100 * factor)),
        end=end,
    )
