"""The plan of daily dosing in words: settings, chances, the pair, the hours, the bottles."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from brinebook.desk.plan_start import Start
from brinebook.desk.plan_surprise import Surprise
from brinebook.desk.plan_words import amount_text, middle_of, quantity_text, typed, with_range_text
from brinebook.measure import Measure
from brinebook.plan import Chance, Course, CoursePoint, Expected, Figure, Plan, Reason, Step
from brinebook.planning.cautions import cautions, of_part
from brinebook.planning.daylevel import day_level
from brinebook.planning.dayswing import Daily, clock_hours, days_of_ph
from brinebook.planning.dosing import HORIZONS, Container, Pump, Setting, equal_amounts_drift
from brinebook.planning.pours import water_of
from brinebook.report.dates import date_text
from brinebook.report.numbers import chance_text, plain_text
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: A day's swing is told from this share of the band's width on.
_TOLD_SWING = 0.15
#: Steady is what holds its band for two weeks as likely as this, and moves by less than this share
#: of its width: common practice, no source.
_STEADY_CHANCE, _STEADY_SHARE = 0.9, 0.1

Pair = tuple[Pump, Pump, float]


def worded(
    start: Start,
    settings: Sequence[Setting],
    bottles: Sequence[Container],
    pair: Pair | None,
    odd: Sequence[Surprise] = (),
) -> Plan:
    """The plan from what was reckoned; ``odd`` are tests that have to be made again first."""
    changed = [one for one in settings if one.changes]
    headline = " ".join(one.sentence(start) for one in odd)
    if changed or not odd:
        headline = f"{headline} {_headline(start, settings, changed)}".strip()
    return Plan(
        kind="dosing",
        about=tuple(dict.fromkeys(one.pump.quantity for one in settings)),
        at=start.at,
        verdict="do" if changed else "test first" if odd else "nothing",
        headline=headline,
        steps=(*_again(start, settings, odd), *_steps(start, changed)),
        courses=_courses(start, settings),
        chances=_chances(settings),
        figures=tuple(_figures(start, settings, bottles, pair)),
        reasons=tuple(_reasons(start, settings)),
        stops=_stops(start, changed),
        cautions=cautions(
            *(
                each
                for one in settings
                for each in of_part(one.pump.substance.salt, one.pump.substance.unit)
            )
        ),
        notes=tuple(
            [
                *_pair_notes(start, settings, pair),
                *_swings(start, settings),
                *_hours(start, settings),
            ]
            + [note for one in bottles for note in _bottle_notes(start, one)]
        ),
    )


# ---- headline, steps ----------------------------------------------------------------------------


def _setting_text(one: Setting) -> str:
    now = amount_text(one.pump.setting, one.pump.substance.unit)
    new = amount_text(one.new, one.pump.substance.unit)
    name = one.pump.substance.name
    if one.pump.setting <= 0.0:
        return say("start the {name} at {new} a day", name=name, new=new)
    return say("set the {name} from {now} to {new} a day", name=name, now=now, new=new)


def _headline(start: Start, settings: Sequence[Setting], changed: Sequence[Setting]) -> str:
    if changed:
        text = say(" and ").join(_setting_text(one) for one in changed)
        return f"{text[0].upper()}{text[1:]}."
    first = settings[0]
    name = first.pump.quantity
    used = quantity_text(name, middle_of(start.drawn.use(name)), start.units, difference=True)
    hold = chance_text(first.holds[14][0])
    holds = say("the band holds for 14 days with a chance of {hold}.", hold=hold)
    if _is_steady(first):
        each = amount_text(first.pump.setting, first.pump.substance.unit)
        return say(
            "Leave the dosing as it is: {name} is steady. About {used} is used a "
            "day, and {each} of {substance} a day brings as much; {holds}",
            name=name,
            used=used,
            each=each,
            substance=first.pump.substance.name,
            holds=holds,
        )
    why = {
        "noise": say("whether more or less is needed can't be told from the tests' own noise"),
        "evaporates": say("it goes in as water evaporates"),
        "odd": say("one test alone says otherwise"),
    }.get(first.because, say("a turn of the knob would gain nothing"))
    return say(
        "Leave the dosing as it is. About {used} of {name} is used a day, and {why}; {holds}",
        used=used,
        name=name,
        why=why,
        holds=holds,
    )


def _is_steady(one: Setting) -> bool:
    """Whether two weeks as it is set hold the band and leave the level where it is."""
    if one.because not in ("steady", "noise") or one.pump.setting <= 0.0:
        return False
    low, high = one.limits.band
    moved = float(np.median(one.without[14] - one.without[0]))
    return one.holds[14][0] >= _STEADY_CHANCE and abs(moved) <= _STEADY_SHARE * (high - low)


def _steps(start: Start, changed: Sequence[Setting]) -> tuple[Step, ...]:
    steps = []
    for one in changed:
        unit = one.pump.substance.unit
        text = _setting_text(one)
        if one.bounded:
            text += say(", as far as a knob is turned at once; look again in two weeks")
        steps.append(
            Step(
                when=start.at,
                until=start.at + timedelta(days=3),
                kind="dosing",
                what=one.pump.substance.name,
                value=typed(one.new),
                unit=f"{unit}/day",
                text=f"{text}.",
                detail={"hours": one.pump.hours} if one.pump.hours else {},
                expects=(_expected(start, one, 7), _expected(start, one, 14)),
            )
        )
    if changed:
        steps.append(_test_step(start, changed[0]))
    return tuple(steps)


def _again(start: Start, settings: Sequence[Setting], odd: Sequence[Surprise]) -> tuple[Step, ...]:
    """The tests that come before the knob."""
    held = {one.pump.quantity: one for one in settings if one.because == "odd"}
    return tuple(
        Step(
            when=start.at,
            until=start.at + timedelta(days=2),
            kind="test",
            what=one.quantity,
            value="",
            unit="",
            text=say("test {quantity} again, then ask again.", quantity=one.quantity),
            expects=(_expected(start, held[one.quantity], 0),),
        )
        for one in odd
    )


def _expected(start: Start, one: Setting, days: int) -> Expected:
    level = middle_of(one.levels[days])
    when = start.at + timedelta(days=days)
    return Expected(one.pump.quantity, when, level.value, level.low, level.high)


def _test_step(start: Start, one: Setting) -> Step:
    when = start.at + timedelta(days=7)
    name = one.pump.quantity
    shown = with_range_text(name, middle_of(one.levels[7]), start.units)
    return Step(
        when=when,
        until=when + timedelta(days=4),
        kind="test",
        what=name,
        value="",
        unit="",
        text=say("test {name}: about {shown} is expected.", name=name, shown=shown),
        expects=(_expected(start, one, 7),),
    )


def _stops(start: Start, changed: Sequence[Setting]) -> tuple[str, ...]:
    stops = []
    for one in changed:
        if one.pump.quantity not in ("alkalinity", "calcium"):
            continue
        low, high = (
            quantity_text(one.pump.quantity, edge, start.units) for edge in one.limits.band
        )
        stops.append(
            say(
                "a test of {quantity} reads under {low} or over {high}: plan again.",
                quantity=one.pump.quantity,
                low=low,
                high=high,
            )
        )
    return tuple(stops)


# ---- figures, chances, courses ------------------------------------------------------------------


def _chances(settings: Sequence[Setting]) -> tuple[Chance, ...]:
    chances = []
    for one in settings:
        for days in HORIZONS:
            without, with_change = one.holds[days]
            name = one.pump.quantity
            if one.changes:
                what = say("keeps {name} in its band for {days} days, set so", name=name, days=days)
                chances.append(Chance(what, with_change))
            chances.append(
                Chance(
                    say(
                        "keeps {name} in its band for {days} days, left as it is",
                        name=name,
                        days=days,
                    ),
                    without,
                )
            )
    return tuple(chances)


def _figures(
    start: Start, settings: Sequence[Setting], bottles: Sequence[Container], pair: Pair | None
) -> list[Figure]:
    figures = []
    for one in settings:
        name, unit = one.pump.substance.name, f"{one.pump.substance.unit}/day"
        needed = middle_of(one.needed)
        figures += [
            Figure(f"set_{name}", one.pump.setting, unit, origin="your own"),
            Figure(f"new_{name}", one.new, unit),
            Figure(f"needed_{name}", needed.value, unit, needed.low, needed.high, "estimated"),
        ]
    for quantity in dict.fromkeys(one.pump.quantity for one in settings):
        use = middle_of(start.drawn.use(quantity))
        figures.append(
            Figure(
                f"use_{quantity}", use.value, f"{QUANTITIES[quantity].unit}/day", use.low,
                use.high, "estimated",
            )
        )  # fmt: skip
    if pair is not None:
        figures += [
            Figure("pair_ratio", pair[2], "", origin=say("2 meq to 1 mmol")),
            Figure("equal_amounts_drift", _drift(start, pair), "mg/L/week"),
        ]
    for bottle in bottles:
        figures += bottle_figures(bottle)
    return figures


def _drift(start: Start, pair: Pair) -> float:
    """What equal amounts of the two would do to calcium in a week at today's carbonate."""
    return equal_amounts_drift(
        pair[0].substance, pair[1].substance, a_day=pair[0].setting,
        litres=float(np.median(start.drawn.litres)),
    )  # fmt: skip


def bottle_figures(bottle: Container) -> list[Figure]:
    """How long it lasts, what a stuck pump could do, how much to keep at most."""
    name = bottle.pump.substance.name
    unit = QUANTITIES[bottle.pump.quantity].unit
    figures = []
    if bottle.days is not None:
        days = middle_of(bottle.days)
        bad = float(np.quantile(bottle.days, 0.05))
        figures.append(Figure(f"days_{name}", days.value, "day", days.low, days.high))
        figures.append(Figure(f"bad_days_{name}", bad, "day"))
    if bottle.rise is not None:
        rise = middle_of(bottle.rise)
        figures.append(Figure(f"stuck_{name}", rise.value, unit, rise.low, rise.high))
    figures.append(Figure(f"keep_{name}", bottle.keep, bottle.pump.substance.unit))
    return figures


def _courses(start: Start, settings: Sequence[Setting]) -> tuple[Course, ...]:
    courses = []
    for one in settings:
        unit = QUANTITIES[one.pump.quantity].unit
        pairs = [(say("left as it is"), one.without)]
        if one.changes:
            pairs.insert(0, (say("set so"), one.levels))
        for label, levels in pairs:
            points = []
            for day in range(0, 31, 2):
                level = middle_of(levels[day])
                when = start.at + timedelta(days=day)
                points.append(CoursePoint(when, level.value, level.low, level.high))
            courses.append(Course(one.pump.quantity, unit, label, tuple(points)))
    return tuple(courses)


# ---- words --------------------------------------------------------------------------------------


def _reasons(start: Start, settings: Sequence[Setting]) -> list[Reason]:
    found = []
    for one in settings:
        quantity, part = one.pump.quantity, one.pump.substance
        use = middle_of(start.drawn.use(quantity))
        used = quantity_text(quantity, use, start.units, difference=True)
        brings = one.pump.setting * part.brings(quantity) / start.drawn.litres
        given = quantity_text(
            quantity, middle_of(brings * start.drawn.delivery(part.name)), start.units,
            difference=True,
        )  # fmt: skip
        now = with_range_text(quantity, middle_of(one.without[0]), start.units)
        target = quantity_text(quantity, one.target, start.units)
        needed = middle_of(one.needed)
        text = say(
            "{quantity} is about {now}; {target} is wanted. The system uses about "
            "{used} a day and the {part} brings {given}. The target asks for "
            "{needed} {unit} a day, give or take {needed_sd}.",
            quantity=quantity.capitalize(),
            now=now,
            target=target,
            used=used,
            part=part.name,
            given=given,
            needed=plain_text(needed.value, digits=3),
            unit=part.unit,
            needed_sd=plain_text(needed.sd, digits=1),
        )
        unit = QUANTITIES[quantity].unit
        inputs = (
            Figure("use_a_day", use.value, f"{unit}/day", use.low, use.high, "estimated"),
            Figure("needed", needed.value, f"{part.unit}/day", needed.low, needed.high),
            Figure(f"{quantity}_per_{part.unit}", part.brings(quantity), "", origin="label"),
        )
        found.append(
            Reason(
                text,
                inputs,
                say(
                    "the setting that brings the next 21 days nearest to the target over all draws"
                ),
                ("smith1975",),
            )
        )
    return found


def _pair_notes(start: Start, settings: Sequence[Setting], pair: Pair | None) -> list[str]:
    if pair is None:
        return []
    carbonate, calcium, ratio = pair
    notes = [
        say(
            "By their recipes 10 {unit} of {substance} go with {ratio} "
            "{substance_unit} of {substance_name}: 2 meq of alkalinity to 1 mmol of "
            "calcium, as chalk takes them.",
            unit=carbonate.substance.unit,
            substance=carbonate.substance.name,
            ratio=plain_text(10 * ratio, digits=3),
            substance_unit=calcium.substance.unit,
            substance_name=calcium.substance.name,
        )
    ]
    if abs(ratio - 1.0) > 0.03:
        drift = _drift(start, pair)
        way = say("up") if drift > 0 else say("down")
        notes.append(
            say(
                "So equal volumes of the two would take calcium {way} by about "
                "{drift} mg/L a week at today's carbonate.",
                way=way,
                drift=plain_text(abs(drift), digits=2),
            )
        )
    second = next((one for one in settings if one.pump is calcium), None)
    if second is not None and second.because == "pair":
        notes.append(say("Calcium is kept in that ratio: its tests don't say otherwise."))
    elif second is not None and second.changes:
        notes.append(say("Calcium's own tests speak against that ratio, so it goes by them."))
    return notes


def _hours(start: Start, settings: Sequence[Setting]) -> list[str]:
    """What the hours of the carbonate do to the day's pH, against round the clock."""
    one = next((s for s in settings if s.pump.quantity == "alkalinity"), None)
    if one is None or one.new <= 0.0 or "alkalinity" not in start.drawn.quantities:
        return []
    litres = float(np.median(start.drawn.litres))
    at, part = start.conditions, one.pump.substance
    alkalinity = one.new * part.brings("alkalinity") / litres
    carbon = one.new * part.carbon_worst / litres
    pco2, hours = float(np.median(start.air.pco2)), float(np.median(start.air.hours))
    water = water_of(
        np.array([float(np.median(start.drawn.level("alkalinity")))]),
        salinity=at.salinity, temperature=at.temperature, pco2=pco2,
    )  # fmt: skip
    begins, ends = clock_hours(one.pump.hours)
    spans = {"round the clock": (0.0, 0.0), "22-06": (22.0, 6.0), "08-20": (8.0, 20.0)}
    if one.pump.hours:
        spans = {one.pump.hours: (begins, ends)} | spans
    days = [Daily(alkalinity, carbon, 0.0, alkalinity, *span) for span in spans.values()]
    table = days_of_ph(water, days, pco2=pco2, air_hours=hours)
    told = [
        (label, float(ph.max() - ph.min()), float(ph[5] - ph[17]))
        for label, ph in zip(spans, table.T, strict=True)
    ]
    texts = [
        say(
            "{label} a swing of {swing:.2f} (06:00 {over_or_under} 18:00 by {night:.2f})",
            label=label,
            swing=swing,
            over_or_under=say("over") if night >= 0 else say("under"),
            night=abs(night),
        )
        for label, swing, night in told
    ]
    lowers = say(" Bicarbonate lowers pH while it runs.") if carbon > 0.9 * alkalinity else ""
    return [
        say(
            "Hours of the {part}, by the dose alone without the lights' own swing: "
            "{texts}.{lowers}",
            part=part.name,
            texts="; ".join(texts),
            lowers=lowers,
        )
    ]


def _swings(start: Start, settings: Sequence[Setting]) -> list[str]:
    """How far a level goes up and down within the day, where that is a good part of its band."""
    told = []
    for one in settings:
        name = one.pump.quantity
        day = day_level(start.drawn, name)
        if day.swing < _TOLD_SWING * (one.limits.band[1] - one.limits.band[0]):
            continue
        below, above = (
            quantity_text(
                name, Measure(abs(each), 0.1 * day.swing, ""), start.units, difference=True
            )
            for each in (day.low, day.high)
        )
        hour = start.at.astimezone(start.zone)
        told.append(
            say(
                "Within a day {name} goes down to {below} under and up to {above} "
                "over what it is at {hour:%H:%M}, as the {substance} goes in by "
                "hours: the band is judged at that hour of each day.",
                name=name,
                below=below,
                above=above,
                hour=hour,
                substance=one.pump.substance.name,
            )
        )
    return told


def _bottle_notes(start: Start, bottle: Container) -> list[str]:
    name, unit = bottle.pump.substance.name, bottle.pump.substance.unit
    notes = []
    if bottle.days is not None:
        bad = float(np.quantile(bottle.days, 0.05))
        day = date_text(_later(start.at, bad), start.at, start.zone)
        notes.append(
            say(
                "The {name} lasts until {day} at the bad 1 in 20 ({bad} days).",
                name=name,
                day=day,
                bad=plain_text(round(bad)),
            )
        )
    if bottle.rise is not None:
        rise = quantity_text(
            bottle.pump.quantity, middle_of(bottle.rise), start.units, difference=True
        )
        keep = amount_text(bottle.keep, unit)
        days = bottle.keep / bottle.pump.setting if bottle.pump.setting > 0.0 else 99.0
        small = say(", {days} days' worth", days=plain_text(days, digits=1)) if days < 10.0 else ""
        notes.append(
            say(
                "Stuck on, its pump could put in all that is left: {rise} more. Your "
                "limit a day would stand even then with no more than {keep} in "
                "it{small}.",
                rise=rise,
                keep=keep,
                small=small,
            )
        )
    return notes


def _later(when: datetime, days: float) -> datetime:
    return when + timedelta(days=min(days, 3650.0))
