"""Figures, chances and courses of the plan of daily dosing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import numpy as np

from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import middle_of
from brinebook.plan import Chance, Course, CoursePoint, Figure
from brinebook.planning.dosing import HORIZONS, Container, Pump, Setting, equal_amounts_drift
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: The pump of alkalinity, that of calcium, and units of the second that go with one of the first.
Pair = tuple[Pump, Pump, float]


def dose_chances(settings: Sequence[Setting]) -> tuple[Chance, ...]:
    """How likely each band holds for the horizons, set so and left as it is."""
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


def dose_figures(
    start: Start, settings: Sequence[Setting], bottles: Sequence[Container], pair: Pair | None
) -> list[Figure]:
    """Settings, needs, uses, the pair, and what each bottle can do."""
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
            Figure("equal_amounts_drift", drift_of(start, pair), "mg/L/week"),
        ]
    for bottle in bottles:
        figures += bottle_figures(bottle)
    return figures


def drift_of(start: Start, pair: Pair) -> float:
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


def dose_courses(start: Start, settings: Sequence[Setting]) -> tuple[Course, ...]:
    """The course of each level, set so and left as it is."""
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
