"""A correction in figures: what it starts from, amounts, limits, chances and courses."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from brinebook.desk.plan_chemistry import along, at_once, chemistry
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import middle_of, quantity_text
from brinebook.plan import Chance, Course, CoursePoint, Figure
from brinebook.planning.corrections import Correction
from brinebook.texts import say
from brinebook.units import QUANTITIES


def correction_figures(start: Start, found: Correction) -> tuple[Figure, ...]:
    """What was reckoned, in canonical units."""
    ask = found.ask
    unit = QUANTITIES[ask.quantity].unit
    now, end = middle_of(found.without[0]), middle_of(found.reached)
    litres = middle_of(start.drawn.litres)
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
        cap = middle_of(found.parting.cap)
        highest = middle_of(found.parting.highest)
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
    return (*figures, *along(start, found), *at_once(found))


def correction_chances(start: Start, found: Correction) -> tuple[Chance, ...]:
    """The chances of passing each limit, and of the band."""
    if not found.is_needed:
        return ()
    ask, units = found.ask, start.units
    limit = quantity_text(ask.quantity, ask.limits.per_day, units, difference=True)
    edge = quantity_text(ask.quantity, ask.limits.band[1], units)
    low, high = ask.limits.band
    inside = (found.reached >= low) & (found.reached <= high)
    chances = [
        Chance(say("changes by more than {limit} in a day", limit=limit), found.passes_daily),
        Chance(say("passes {edge}, the far edge", edge=edge), found.passes_edge),
    ]
    if found.parting is not None:
        chances.append(Chance(say("passes the cap of saturation"), found.parting.chance))
    chances.append(Chance(say("is in the band the day after"), float(np.mean(inside))))
    return tuple(chances)


def correction_courses(start: Start, found: Correction) -> tuple[Course, ...]:
    """The quantity with the plan and without, and the chemistry of the pours."""
    ask = found.ask
    unit = QUANTITIES[ask.quantity].unit
    last = min(found.days + 7, len(found.levels) - 1)
    both = ((say("with the plan"), found.levels), (say("without it"), found.without))
    courses = [
        Course(ask.quantity, unit, label, _points(start, draws, last))
        for label, draws in both
        if found.is_needed or draws is found.without
    ]
    return (*courses, *chemistry(start, found))


def _points(start: Start, draws: object, last: int) -> tuple[CoursePoint, ...]:
    points = []
    for day in range(last + 1):
        measure = middle_of(np.asarray(draws)[day])
        when = start.at + timedelta(days=day)
        points.append(CoursePoint(when, measure.value, measure.low, measure.high))
    return tuple(points)
