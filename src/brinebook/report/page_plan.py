"""A plan and an accepted plan as the notebook lays them out: texts and tables, no arithmetic."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.measure import Measure
from brinebook.plan import Came, Course, CoursePoint, KeptPlan, KeptStep, Plan
from brinebook.report.course_figure import CourseFigure, Point, course_figure
from brinebook.report.dates import instant_text
from brinebook.report.numbers import measure_and_range_text, number_text
from brinebook.report.page_rows import unit_label
from brinebook.report.plan_text import came_text, figure_text, in_hundred, thinned
from brinebook.report.shown import shown_measure
from brinebook.report.step_groups import grouped
from brinebook.texts import Spoken
from brinebook.texts.names import quantity_label
from brinebook.units import QUANTITIES

#: Courses of what isn't a quantity of its own.
_NAMES = Spoken(
    {
        "pco2": "CO2 of the water",
        "omega_aragonite": "aragonite saturation",
        "ammonia_unionised": "free ammonia",
    }
)


@dataclass(frozen=True, slots=True)
class ShownCourse:
    """A course as a table and a figure: its name, unit and label, and when and how much.

    ``figure`` is None for a course of one point.
    """

    name: str
    unit: str
    label: str
    rows: tuple[tuple[str, str], ...]
    figure: CourseFigure | None = None


@dataclass(frozen=True, slots=True)
class ShownPlan:
    """A plan with everything about it as text; ``steps`` are when and what, ``rests_on`` each
    equation once with the papers behind it."""

    plan: Plan
    steps: tuple[tuple[str, str], ...]
    chances: tuple[tuple[str, str], ...]
    courses: tuple[ShownCourse, ...]
    figures: tuple[str, ...]
    rests_on: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step of an accepted plan: its number, when, what, its state, and the fact it became."""

    number: int
    when: str
    text: str
    state: str
    fact: str
    is_test: bool

    @property
    def is_open(self) -> bool:
        """Whether it can still be done or left out."""
        return self.state in ("due", "coming", "missed")


@dataclass(frozen=True, slots=True)
class ShownKept:
    """An accepted plan: when, by whom, its steps, what came; ``standing`` open, over or dropped."""

    id: str
    kind: str
    headline: str
    about: str
    made: str
    by: str
    standing: str
    done: int
    steps: tuple[ShownStep, ...]
    came: tuple[str, ...] = ()


def shown_plan(plan: Plan, zone: ZoneInfo, units: Mapping[str, str]) -> ShownPlan:
    """The plan as text, its courses in the keeper's units."""
    return ShownPlan(
        plan,
        tuple((each.when(plan.at, zone), _capital(each.text)) for each in grouped(plan.steps)),
        tuple((in_hundred(one.probability), one.what) for one in plan.chances),
        tuple(_course(course, plan.at, zone, units) for course in plan.courses),
        tuple(figure_text(figure) for figure in plan.figures),
        _rests_on(plan),
    )


def _rests_on(plan: Plan) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each equation once, with the papers of every reason that has it."""
    found: dict[str, dict[str, None]] = {}
    for one in plan.reasons:
        if one.equation or one.sources:
            found.setdefault(one.equation, {}).update(dict.fromkeys(one.sources))
    return tuple((equation, _papers(tuple(keys))) for equation, keys in found.items())


def _papers(keys: Sequence[str]) -> tuple[str, ...]:
    from brinebook.sources import load_sources

    known = load_sources()
    return tuple(str(known[key]) if key in known else key for key in keys)


def shown_kept(
    kept: KeptPlan,
    zone: ZoneInfo,
    *,
    came: Sequence[Came] = (),
    units: Mapping[str, str] | None = None,
) -> ShownKept:
    """An accepted plan as text, with what came against what was expected where that is told."""
    plan = kept.plan
    told = [one for one in came if one.value is not None]
    return ShownKept(
        id=plan.id,
        kind=plan.kind,
        headline=plan.headline,
        about=", ".join(quantity_label(name) for name in plan.about),
        made=instant_text(plan.at, plan.at, zone),
        by=kept.by,
        standing="dropped" if kept.dropped else "open" if kept.is_open else "over",
        done=sum(one.state == "done" for one in kept.steps),
        steps=tuple(_step(one, plan.at, zone) for one in kept.steps),
        came=tuple(dict.fromkeys(came_text(one, plan.at, zone, units or {}) for one in told)),
    )


def _step(one: KeptStep, at: datetime, zone: ZoneInfo) -> ShownStep:
    return ShownStep(
        one.number,
        instant_text(one.step.when, at, zone),
        _capital(one.step.text),
        one.state,
        one.fact.id if one.fact else "",
        is_test=one.step.kind == "test",
    )


def _course(course: Course, at: datetime, zone: ZoneInfo, units: Mapping[str, str]) -> ShownCourse:
    known = QUANTITIES.get(course.name)
    unit = course.unit
    if known is not None and unit == known.unit:
        unit = units.get(course.name) or unit
    decimals = _decimals(course, unit)
    # Points of one minute that read alike are one row.
    rows = tuple(dict.fromkeys(
        (instant_text(point.when, at, zone), _point_text(course, point, unit, decimals))
        for point in thinned(course)
    ))  # fmt: skip
    name = quantity_label(course.name) if known else _NAMES.get(course.name, course.name)
    figure = _figure(course, unit)
    return ShownCourse(name, unit_label(unit) if unit else "", course.label, rows, figure)


def _figure(course: Course, unit: str) -> CourseFigure | None:
    if len(course.points) < 2 or course.points[0].when == course.points[-1].when:
        return None
    first = course.points[0].when
    points = [
        Point((one.when - first).total_seconds() / 3600.0, *_values(course, one, unit))
        for one in course.points
    ]
    return course_figure(points, None, decimals=_decimals(course, unit))


def _decimals(course: Course, unit: str) -> int:
    """So many that what the course passes through is told to a hundredth of it."""
    told = [end for one in course.points for end in _values(course, one, unit)[1:]]
    span = max(told) - min(told) or abs(told[0]) or 1.0
    return min(max(1 - math.floor(math.log10(span)), 0), 4)


def _values(course: Course, point: CoursePoint, unit: str) -> tuple[float, float, float]:
    measure = _measure(course, point, unit)
    return measure.value, measure.low, measure.high


def _point_text(course: Course, point: CoursePoint, unit: str, decimals: int) -> str:
    shown = _measure(course, point, unit)
    if shown.low == shown.high:  # without a spread of its own
        return number_text(shown.value, decimals)
    return measure_and_range_text(shown)


def _measure(course: Course, point: CoursePoint, unit: str) -> Measure:
    spread = (point.high - point.low) / 3.92
    measure = Measure(point.value, spread, "", point.low, point.high)
    if unit == course.unit:
        return measure
    shown = shown_measure(course.name, measure, unit)
    return Measure(shown.value, shown.sd, "", shown.low, shown.high)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
