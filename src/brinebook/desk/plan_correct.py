"""``plan correct``: how much to put in to bring a quantity to a value, within limits."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_chemistry import along, chemistry
from brinebook.desk.plan_now import Said
from brinebook.desk.plan_start import Start, first_hour, known_or_raise, start_of
from brinebook.desk.plan_words import (
    amount_text,
    band_text,
    measurable,
    quantity_text,
    typed,
    with_range_text,
)
from brinebook.desk.typed import read_quantity
from brinebook.measure import Measure
from brinebook.plan import (
    Caution,
    Chance,
    Course,
    CoursePoint,
    Expected,
    Figure,
    Plan,
    Reason,
    Step,
    Verdict,
)
from brinebook.planning.cautions import cautions, of_salt
from brinebook.planning.corrections import Ask, Correction, correct
from brinebook.planning.limits import Limits, limits_for
from brinebook.planning.solutions import other_hydrates
from brinebook.planning.substances import Substance, choose, split_of
from brinebook.report.numbers import chance_text, plain_text
from brinebook.units import QUANTITIES, find_quantity
from brinebook.water.salts import SALTS

_POURS, _GAP = 4, 3.0
#: Of a band's half width: as near to the middle of it as a keeper cares to be.
_NEAR = 0.15


def correction_plan(
    address: str,
    quantity: str,
    name: str | None = None,
    *,
    said: Said,
    to: str | None = None,
    level: str | None = None,
    substance: str | None = None,
    days: int = 1,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """The plan, and what it started from. Nothing is written.

    Raises QuantityUntested, FromNeedsVolume, SubstanceUnknown, BringsNone, and what opening a book
    and reading amounts raise.
    """
    wanted = find_quantity(quantity).name
    start = start_of(
        address,
        name,
        said=said,
        stated=None if level is None else {wanted: level},
        at=at,
        known=known,
    )
    known_or_raise(start, wanted)
    ask = ask_for(start, wanted, to=to, substance=substance, days=days)
    return _worded(start, correct(start.drawn, ask)), start


def ask_for(
    start: Start, quantity: str, *, to: str | None, substance: str | None, days: int
) -> Ask:
    """What is asked of a correction: the keeper's own limits, target and ways, else common ones."""
    system, planning = start.water.system, start.planning
    target = _target(start, quantity, to)
    limits = limits_for(quantity, system, target=target)
    if "band" not in limits.own:
        low, high = limits.band
        limits = _with_band(limits, (low, max(high, target + 0.25 * (high - low))))
    near = 0.0 if to is not None else _NEAR * (limits.band[1] - limits.band[0]) / 2.0
    at = start.conditions
    return Ask(
        quantity=quantity,
        target=target,
        parts=choose(quantity, substance, system),
        limits=limits,
        air=start.air,
        ph=start.ph,
        conditions=(at.salinity, at.temperature),
        pours_per_day=planning.pours_per_day or _POURS,
        gap=planning.pour_gap or _GAP,
        mixing_share=planning.mixing_share or 1.0,
        noise=start.noise(quantity),
        tolerance=near,
        days=days,
    )


def _with_band(limits: Limits, band: tuple[float, float]) -> Limits:
    from dataclasses import replace

    return replace(limits, band=band)


def _target(start: Start, quantity: str, to: str | None) -> float:
    """What was asked for, else the system's target, else the middle of its band."""
    if to is not None:
        return read_quantity(quantity, to, conditions=start.conditions)
    system = start.water.system
    if quantity in system.targets:
        return system.targets[quantity]
    band = limits_for(quantity, system, target=1.0).band
    return (band[0] + band[1]) / 2.0


def _verdict(found: Correction) -> Verdict:
    if found.worth is not None and found.worth.is_worth_it:
        return "test first"
    if found.is_needed:
        return "do"
    return "cannot" if found.short_of else "nothing"


def _worded(start: Start, found: Correction) -> Plan:
    ask, verdict = found.ask, _verdict(found)
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
        headline=_headline(start, found, verdict),
        steps=steps,
        courses=_courses(start, found),
        chances=_chances(start, found),
        figures=_figures(start, found),
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
                text = f"pour {amount_text(each, part.unit)} of {part.name}{_how(part, each)}."
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


def _measure(draws: object) -> Measure:
    array = np.asarray(draws, dtype=np.float64)
    low, middle, high = (float(each) for each in np.quantile(array, [0.025, 0.5, 0.975]))
    return Measure(middle, float(array.std()), "", low, high)


def _amounts_text(found: Correction, amounts: tuple[float, ...]) -> str:
    return " and ".join(
        f"{amount_text(units, part.unit)} of {part.name}"
        for part, units in zip(found.ask.parts, amounts, strict=True)
    )


def _headline(start: Start, found: Correction, verdict: str) -> str:
    ask, units = found.ask, start.units
    now = with_range_text(ask.quantity, _measure(found.without[0]), units)
    target = quantity_text(ask.quantity, ask.target, units)
    if verdict == "test first":
        return _test_first(found, now, target)
    if verdict == "nothing":
        return _nothing(found, now, target)
    if verdict == "cannot":
        return _cannot(found, now, target)
    end = with_range_text(ask.quantity, _measure(found.reached), units)
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
    why = {
        "daily": "it already rises by more than your limit a day without any pour",
        "saturation": "any pour of it would pass the cap of aragonite saturation",
        "edge": "where it is now is too uncertain: any pour could pass the far edge of the band",
        "days": f"it would take more than {found.days} days",
    }[found.short_of]
    return (
        f"It can't be brought to {target} within your limits: {ask.quantity} is about {now}, and "
        f"{why}."
    )


def _figures(start: Start, found: Correction) -> tuple[Figure, ...]:
    ask = found.ask
    unit = QUANTITIES[ask.quantity].unit
    now, end = _measure(found.without[0]), _measure(found.reached)
    litres = _measure(start.drawn.litres)
    several = len(ask.parts) > 1
    figures = [
        Figure("now", now.value, unit, now.low, now.high, "estimated"),
        Figure("target", ask.target, unit),
        Figure("volume", litres.value, "L", litres.low, litres.high, "estimated"),
        Figure("days", float(found.days), ""),
    ]
    for place, part in enumerate(ask.parts):
        tail = f"_{part.name}" if several else ""
        figures += [
            Figure(f"needed{tail}", found.wanted[place], part.unit),
            Figure(f"total{tail}", found.days * found.amounts[place], part.unit),
            Figure(f"a_day{tail}", found.amounts[place], part.unit),
        ]
    if found.parting is not None:
        cap = _measure(found.parting.cap)
        highest = _measure(found.parting.highest)
        origin = ask.limits.origin("saturation")
        figures += [
            Figure("pours_a_day", float(found.parting.pours), ""),
            Figure("highest_saturation", highest.value, "", highest.low, highest.high),
            Figure("saturation_cap", cap.value, "", cap.low, cap.high, origin),
        ]
    figures += [
        Figure("expected", end.value, unit, end.low, end.high),
        Figure("limit_per_day", ask.limits.per_day, unit, origin=ask.limits.origin("per_day")),
        Figure("band_low", ask.limits.band[0], unit, origin=ask.limits.origin("band")),
        Figure("band_high", ask.limits.band[1], unit, origin=ask.limits.origin("band")),
    ]
    figures += along(start, found)
    return tuple(figures)


def _chances(start: Start, found: Correction) -> tuple[Chance, ...]:
    if not found.is_needed:
        return ()
    ask, units = found.ask, start.units
    limit = quantity_text(ask.quantity, ask.limits.per_day, units, difference=True)
    edge = quantity_text(ask.quantity, ask.limits.band[1], units)
    low, high = ask.limits.band
    inside = (found.reached >= low) & (found.reached <= high)
    chances = [
        Chance(f"changes by more than {limit} in a day", found.passes_daily),
        Chance(f"passes {edge}, the far edge", found.passes_edge),
    ]
    if found.parting is not None:
        chances.append(Chance("passes the cap of saturation", found.parting.chance))
    chances.append(Chance("is in the band the day after", float(np.mean(inside))))
    return tuple(chances)


def _reasons(start: Start, found: Correction) -> tuple[Reason, ...]:
    ask, units = found.ask, start.units
    now = with_range_text(ask.quantity, _measure(found.without[0]), units)
    use = _measure(start.drawn.use(ask.quantity))
    unit = QUANTITIES[ask.quantity].unit
    litres = _measure(start.drawn.litres)
    gap = _measure(ask.target - found.without[1])
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
    if found.parting is not None:
        notes += start.air_says
        names = ("alkalinity", "calcium", "salinity", "temperature")
        notes += start.water.assumed_of(*(n for n in names if n != ask.quantity))
    return notes


def _hydrate(start: Start, found: Correction, other: str, factor: float, share: float) -> str:
    ask = found.ask
    more = (factor - 1.0) * share * found.days * found.rise_per_day
    end = quantity_text(ask.quantity, _measure(found.reached + more), start.units)
    return (
        f"If the jar is {SALTS[other].name} ({other}), the same grams bring "
        f"{plain_text(round(100 * factor))} %: it ends at about {end}."
    )


def _courses(start: Start, found: Correction) -> tuple[Course, ...]:
    ask = found.ask
    unit = QUANTITIES[ask.quantity].unit
    last = min(found.days + 7, len(found.levels) - 1)
    courses = [
        Course(ask.quantity, unit, label, _points(start, draws, last))
        for label, draws in (("with the plan", found.levels), ("without it", found.without))
        if found.is_needed or label == "without it"
    ]
    return (*courses, *chemistry(start, found))


def _points(start: Start, draws: object, last: int) -> tuple[CoursePoint, ...]:
    points = []
    for day in range(last + 1):
        measure = _measure(np.asarray(draws)[day])
        when = start.at + timedelta(days=day)
        points.append(CoursePoint(when, measure.value, measure.low, measure.high))
    return tuple(points)
