"""A correction in words: what to pour, what it rests on, what would stop it."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_chemistry import at_once, at_once_note
from brinebook.desk.plan_correct_figures import (
    correction_chances,
    correction_courses,
    correction_figures,
)
from brinebook.desk.plan_start import Start, first_hour
from brinebook.desk.plan_surprise import Surprise
from brinebook.desk.plan_words import (
    amount_text,
    band_text,
    measurable,
    middle_of,
    quantity_text,
    stock_text,
    typed,
    with_range_text,
)
from brinebook.measure import Measure
from brinebook.plan import (
    Caution,
    Expected,
    Figure,
    Plan,
    Reason,
    Step,
    Verdict,
)
from brinebook.planning.cautions import cautions, of_salt
from brinebook.planning.corrections import Correction
from brinebook.planning.solutions import other_hydrates
from brinebook.planning.substances import Substance, split_of
from brinebook.report.numbers import chance_text, plain_text
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
        steps = _steps(start, found)
    elif verdict == "test first":
        steps = (_test_step(start, found, start.at, at_once=True),)
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
    salts = [part.salt for part in found.ask.parts if part.unit == "g"]
    return cautions(*(each for salt in salts for each in of_salt(salt)))


# ---- steps --------------------------------------------------------------------------------------


def _times(start: Start, found: Correction) -> list[list[datetime]]:
    """The clock times of each day's pours."""
    pours = found.parting.pours if found.parting else 1
    gap = found.ask.gap
    first = first_hour(start, pours=pours, gap=gap)
    return [
        [first + timedelta(days=day, hours=gap * number) for number in range(pours)]
        for day in range(found.days)
    ]


def _steps(start: Start, found: Correction) -> tuple[Step, ...]:
    steps = []
    times = _times(start, found)
    for day, moments in enumerate(times):
        for number, when in enumerate(moments):
            for part, units in zip(found.ask.parts, found.amounts, strict=True):
                each = units / len(moments)
                amount = measurable(each, part.unit)
                last = number == len(moments) - 1 and part is found.ask.parts[-1]
                text = f"pour {_measured(part, each)}."
                steps.append(
                    Step(
                        when=when,
                        until=when + timedelta(hours=12),
                        kind="dose",
                        what=part.name,
                        value=typed(amount),
                        unit=part.unit,
                        text=text,
                        expects=_expected(start, found, day + 1) if last else (),
                    )
                )
    steps.append(_test_step(start, found, times[-1][-1] + timedelta(days=1), at_once=False))
    return tuple(steps)


def _measured(part: Substance, units: float) -> str:
    amount = f"{amount_text(units, part.unit)} of {part.name}"
    stock = stock_text(units, part.name) if part.unit == "g" else ""
    return f"{amount}, which is {stock}" if stock else f"{amount}{_how(part, units)}"


def _how(part: Substance, units: float) -> str:
    if part.unit != "g":
        return ", slowly into strong flow"
    # Well under what water holds of the least soluble of them: common practice, no source.
    litres = max(math.ceil(units / 50.0), 1)
    water = "a litre" if litres == 1 else f"{litres} L"
    return f", dissolved in {water} of fresh water, slowly into strong flow"


def _expected(start: Start, found: Correction, day: int) -> tuple[Expected, ...]:
    draws = found.levels[day]
    low, middle, high = (float(each) for each in np.quantile(draws, [0.025, 0.5, 0.975]))
    # Just before the next day's pour, so that it isn't in what came.
    when = start.at + timedelta(days=day) - timedelta(minutes=30 if day else 0)
    return (Expected(found.ask.quantity, when, middle, low, high),)


def _test_step(start: Start, found: Correction, when: datetime, *, at_once: bool) -> Step:
    quantity = found.ask.quantity
    day = 0 if at_once else found.days
    expects = _expected(start, found, day)
    one = expects[0]
    shown = with_range_text(quantity, Measure(one.value, 0.0, "", one.low, one.high), start.units)
    return Step(
        when=when,
        until=when + timedelta(days=3),
        kind="test",
        what=quantity,
        value="",
        unit="",
        text=f"test {quantity}: about {shown} is expected.",
        expects=expects,
    )


# ---- words --------------------------------------------------------------------------------------


def _amounts_text(found: Correction, amounts: tuple[float, ...]) -> str:
    return " and ".join(
        f"{amount_text(units, part.unit)} of {part.name}"
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
    days = "today" if found.days == 1 else f"a day on {found.days} days"
    pours = found.parting.pours if found.parting else 1
    parts = f", in {pours} parts {plain_text(ask.gap)} hours apart" if pours > 1 else ""
    return (
        f"Pour {_amounts_text(found, found.amounts)} {days}{parts}, besides the daily dosing: "
        f"{ask.quantity} goes from about {now} to about {end}."
    )


def _test_first(found: Correction, now: str, target: str) -> str:
    assert found.worth is not None
    worth, ask = found.worth, found.ask
    often = chance_text(worth.changes)
    amount = _amounts_text(found, found.amounts) if found.is_needed else "nothing"
    return (
        f"Test {ask.quantity} first: it is about {now}, and {target} is wanted. By what is known "
        f"now it would be {amount} today, and a test would change that in {often} cases."
    )


def _nothing(found: Correction, now: str, target: str) -> str:
    ask = found.ask
    if float(np.median(found.without[1])) > ask.target + ask.tolerance:
        return (
            f"Nothing to pour: {ask.quantity} is about {now}, above the {target} wanted. "
            f"{_falls(found)}"
        )
    return f"Nothing to pour: {ask.quantity} is about {now}, as near to {target} as can be told."


def _falls(found: Correction) -> str:
    """How long it takes to come down by itself, dosing as it is."""
    middle = np.median(found.without, axis=1)
    below = np.nonzero(middle <= found.ask.target)[0]
    if below.size:
        return f"As things go it comes down by itself in about {int(below[0])} days."
    if found.ask.quantity in ("alkalinity", "calcium", "magnesium"):
        return "As things go it stays above: “brinebook plan dose” says what to dose."
    return f"As things go it stays above: see “brinebook plan change {found.ask.quantity}”."


def _cannot(found: Correction, now: str, target: str) -> str:
    ask = found.ask
    rises = float(np.median(found.without[1] - found.without[0])) >= ask.limits.per_day
    why = {
        "daily": "it already rises by more than your limit a day without any pour"
        if rises
        else "by what is known of the volume and the use it may already rise by more than your "
        "limit a day without any pour: the net volume and more tests would tell",
        "saturation": "any pour of it would pass the cap of aragonite saturation",
        "edge": "where it is now is too uncertain: any pour could pass the far edge of the band",
        "days": f"it would take more than {found.days} days",
    }[found.short_of]
    return (
        f"It can't be brought to {target} within your limits: {ask.quantity} is about {now}, and "
        f"{why}."
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
    text = (
        f"It rests on all tests, doses and changes together: {ask.quantity} is about {now} now, in "
        f"{amount_text(litres.value, 'L')} of water ({plain_text(round(litres.low))} to "
        f"{plain_text(round(litres.high))})."
    )
    return (
        Reason(text, inputs, "amount = (target − level) × volume ÷ what a unit brings",
               ("prohaska2022",)),
        *_limit_reason(start, found),
    )  # fmt: skip


def _limit_reason(start: Start, found: Correction) -> tuple[Reason, ...]:
    ask, units = found.ask, start.units
    limit = quantity_text(ask.quantity, ask.limits.per_day, units, difference=True)
    origin = ask.limits.origin("per_day")
    says = f"; {ask.limits.per_day_says}" if ask.limits.per_day_says else ""
    text = f"Held to {limit} a day ({origin}{says})"
    text += f" and a band of {band_text(ask.quantity, ask.limits.band, units)} "
    text += f"({ask.limits.origin('band')})"
    if found.parting is not None:
        text += (
            f", and in each pour to an aragonite saturation of {ask.limits.saturation:g} or "
            f"{ask.limits.saturation_rise:g} above the start "
            f"({ask.limits.origin('saturation')}), reckoned as mixed into "
            f"{_share_text(ask.mixing_share)}"
        )
    return (Reason(f"{text}."),)


def _share_text(share: float) -> str:
    return "the whole water before the next" if share == 1.0 else f"{share:.0%} of the water first"


def _stops(start: Start, found: Correction) -> tuple[str, ...]:
    ask, units = found.ask, start.units
    edge = quantity_text(ask.quantity, ask.limits.band[1], units)
    stops = [f"a test on the way reads over {edge}: then leave the rest out and plan again."]
    if found.parting is not None:
        stops.append(
            "the water clouds white or crystals settle on pumps and heater: that is chalk falling "
            "out, and more of it only feeds it."
        )
    stops.append("animals close up or gasp: look to them first, numbers come after.")
    return tuple(stops)


def _notes(start: Start, found: Correction) -> list[str]:
    ask = found.ask
    notes = []
    if found.is_needed and found.short_of:
        why = {
            "edge": "the doubt about where it stands leaves no more room under the far edge",
            "daily": "the limit a day binds",
            "saturation": "the cap of saturation binds",
            "days": f"more than {found.days} days would be needed",
        }[found.short_of]
        notes.append(
            f"This is less than the whole way ({_amounts_text(found, found.wanted)} in all): {why}."
        )
    for part, share in zip(ask.parts, split_of(ask.quantity, ask.parts), strict=True):
        if part.unit == "g" and part.salt and found.is_needed:
            notes += [_hydrate(start, found, other, factor, share)
                      for other, factor in other_hydrates(part.salt).items()]  # fmt: skip
    drop = float(np.median(found.without[7] - found.without[0]))
    if found.is_needed and -drop > 0.25 * (ask.limits.band[1] - ask.limits.band[0]):
        fall = quantity_text(ask.quantity, abs(drop), start.units, difference=True)
        notes.append(
            f"Without more daily dosing it falls {fall} in a week: see “brinebook plan dose”."
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
    return (
        f"If the jar is {SALTS[other].name} ({other}), the same grams bring "
        f"{plain_text(round(100 * factor))} %: it ends at about {end}."
    )
