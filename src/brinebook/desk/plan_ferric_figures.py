"""Figures, chances and courses of the plan of ferric media."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from brinebook.desk.ferric_case import (
    HORIZON,
    Case,
    runs_out,
)
from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import measurable
from brinebook.measure import Measure
from brinebook.plan import (
    Chance,
    Course,
    CoursePoint,
    Figure,
)
from brinebook.planning.ferric import HABIT_DAYS, PHOSPHATE_PER_P, grams_for_fall
from brinebook.planning.ferric_course import (
    CAUGHT_AT,
    Ahead,
    catches,
    days_until_tired,
    falls_too_fast,
    holds,
    outflow,
    strength,
)
from brinebook.planning.spread import told
from brinebook.report.numbers import plain_text
from brinebook.texts import say


def left_of(case: Case) -> Measure:
    """Days that the media go on."""
    return told(days_until_tired(case.goes_on), "days")


def grams_of(case: Case) -> float:
    """Grams to put in, as they can be weighed."""
    return measurable(case.grams, "g", digits=2)


def ferric_courses(case: Case) -> tuple[Course, ...]:
    """The course as it is, and with the media out or fresh."""
    courses = [(say("as it is"), case.goes_on)]
    if case.verdict == "take out":
        courses.append((say("media out"), case.without))
    elif case.with_new is not None and case.verdict == "change":
        courses.append((say("fresh media"), case.with_new))
    return tuple(
        Course("phosphate", "mg/L", label, _points(case.now, course)) for label, course in courses
    )


def _points(now: WaterNow, course: Ahead) -> tuple[CoursePoint, ...]:
    found = []
    for day in range(0, HORIZON + 1, 2):
        level = told(course.level[day], "mg/L")
        when = now.at + timedelta(days=day)
        found.append(CoursePoint(when, level.value, level.low, level.high))
    return tuple(found)


def ferric_chances(case: Case) -> tuple[Chance, ...]:
    """How likely phosphate runs out, or falls faster than it is let."""
    found = [Chance(say("is as good as gone in four weeks if nothing is done"), case.gone)]
    if case.verdict == "change" and case.with_new is not None:
        fast = falls_too_fast(case.with_new, case.without, case.limits.per_day)
        found += [
            Chance(say("falls faster in a day than it is let"), fast),
            Chance(
                say("is as good as gone in four weeks with the fresh media"),
                runs_out(case.with_new),
            ),
        ]
    if case.verdict == "take out":
        found.append(Chance(say("is as good as gone all the same"), runs_out(case.without)))
    return tuple(found)


def ferric_figures(case: Case) -> tuple[Figure, ...]:
    """What the media are, hold and catch, and how long they go on."""
    draws, bed = case.draws, case.story.learned.bed
    limit = case.limits
    found = [
        _figure("phosphate_now", told(draws.level, "mg/L"), "estimated"),
        Figure("limit_per_day", limit.per_day, "mg/L/day", origin=limit.origin("per_day")),
        _figure("isotherm_factor", told(draws.factor, ""), learned_from(case)),
        _figure("isotherm_exponent", told(draws.exponent, ""), "literature"),
        _figure("holds_a_gram", told(holds(draws, draws.level), "mg P/g")),
        _figure(
            "caught_when_fresh",
            told(100 * draws.caught, "%"),
            say("of what passes, at {caught_at} g for each L/h", caught_at=plain_text(CAUGHT_AT)),
        ),
        _figure("rock_gives_back_half_in", told(np.log(2.0) / draws.take, "days")),
        _figure("gain", told(draws.gain * draws.litres / PHOSPHATE_PER_P, "mg P/day")),
        alone(case),
    ]
    if case.story.bed is not None:
        grams = bed.grams
        takes = 24.0 * np.asarray(bed.flow) * (draws.level - outflow(draws, bed)) / PHOSPHATE_PER_P
        found += [
            Figure("grams_in", grams, "g"),
            _figure("capacity", told(grams * holds(draws, draws.level), "mg P")),
            _figure("held_so_far", told(grams * draws.held, "mg P")),
            _figure("caught_now", told(100 * strength(draws) * catches(draws, bed), "%")),
            _figure("takes_now", told(np.maximum(takes, 0.0), "mg P/day")),
            _figure("days_left", left_of(case)),
            Figure("habit", HABIT_DAYS, "days", origin=say("common practice, no source")),
        ]
    if case.with_new is not None and case.verdict == "change":
        found += [
            Figure("grams", grams_of(case), "g"),
            Figure("most_grams", measurable(case.most, "g", digits=2), "g"),
            Figure("flow", case.flow, "L/h"),
            _figure("days_of_fresh_media", told(days_until_tired(case.with_new), "days")),
        ]
    return tuple(found)


def _figure(name: str, measure: Measure, origin: str = "") -> Figure:
    return Figure(name, measure.value, measure.unit, measure.low, measure.high, origin)


def alone(case: Case) -> Figure:
    """Grams that the water alone, without food and rock, would fill from now to the goal."""
    start = float(np.median(case.draws.level)) / PHOSPHATE_PER_P
    end = case.goal / PHOSPHATE_PER_P
    grams = grams_for_fall(case.now.litres.value, start=start, end=end) if start > end else 0.0
    return Figure("grams_for_the_water_alone", grams, "g", origin="literature")


def learned_from(case: Case) -> str:
    """By how many tests the factor was learned."""
    pairs = say(" and {pairs} of the outflow", pairs=case.story.pairs) if case.story.pairs else ""
    return say(
        "learned from {tests} tests of the water{pairs}; literature says 1",
        tests=case.story.tests,
        pairs=pairs,
    )
