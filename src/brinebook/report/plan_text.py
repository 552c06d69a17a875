"""A plan as lines for a terminal: what to do first, then what it rests on."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.measure import Measure
from brinebook.plan import Caution, Course, CoursePoint, Figure, Plan, Reason, Step
from brinebook.report.dates import instant_text
from brinebook.report.numbers import measure_and_range_text, plain_text

WIDTH = 78
_MOST_POINTS = 9


def plan_lines(plan: Plan, zone: ZoneInfo) -> list[str]:
    """What to do, with which chance it goes wrong, what would stop it, and what to mind."""
    lines = [*_wrap(plan.headline), ""]
    for caution in plan.cautions:
        lines += _wrap(caution_text(caution), "! ")
    if plan.cautions:
        lines.append("")
    for number, step in enumerate(plan.steps, start=1):
        lines += _step_lines(number, step, plan.at, zone)
    if plan.steps:
        lines.append("")
    if plan.chances:
        lines.append("Of 100 such cases it")
        lines += [f"  {_in_hundred(c.probability):>8}  {c.what}" for c in plan.chances]
        lines.append("")
    for reason in plan.reasons:
        lines += _wrap(reason.text)
    for stop in plan.stops:
        lines += _wrap(f"Stop if {stop}")
    for note in plan.notes:
        lines += _wrap(note)
    return lines


def why_lines(plan: Plan, zone: ZoneInfo) -> list[str]:
    """The same unfolded: every figure, every course, inputs, equations and sources."""
    lines = plan_lines(plan, zone)
    if plan.figures:
        lines += ["", "Figures"]
        lines += [f"  {figure_text(figure)}" for figure in plan.figures]
    for course in plan.courses:
        lines += ["", *_course_lines(course, plan.at, zone)]
    for reason in plan.reasons:
        lines += _reason_lines(reason)
    return lines


def _in_hundred(probability: float) -> str:
    if 0.0 < probability < 0.01:
        return "under 1"
    if 0.99 < probability < 1.0:
        return "over 99"
    return str(round(100 * probability))


def figure_text(figure: Figure) -> str:
    """“grams: 10.8 g (10.2 to 11.4), estimated”."""
    name = figure.name.replace("_", " ")
    if figure.low is None or figure.high is None:
        shown = f"{plain_text(figure.value)} {figure.unit}".strip()
    else:
        spread = (figure.high - figure.low) / 3.92
        shown = measure_and_range_text(
            Measure(figure.value, spread, figure.unit, figure.low, figure.high)
        )
    return f"{name}: {shown}" + (f", {figure.origin}" if figure.origin else "")


def caution_text(caution: Caution) -> str:
    """The caution with whom to ask."""
    return f"{caution.text} (Ask: {caution.ask}.)" if caution.ask else caution.text


def _step_lines(number: int, step: Step, at: datetime, zone: ZoneInfo) -> list[str]:
    when = instant_text(step.when, at, zone)
    return _wrap(f"{when}: {step.text}", f"{number:>2}. ", "    ")


def _course_lines(course: Course, at: datetime, zone: ZoneInfo) -> list[str]:
    unit = f", {course.unit}" if course.unit else ""
    label = f" ({course.label})" if course.label else ""
    lines = [f"{course.name.replace('_', ' ')}{unit}{label}"]
    for point in _thinned(course):
        spread = (point.high - point.low) / 3.92
        shown = measure_and_range_text(Measure(point.value, spread, "", point.low, point.high))
        lines.append(f"  {instant_text(point.when, at, zone):<24} {shown}")
    return lines


def _thinned(course: Course) -> Iterable[CoursePoint]:
    count = len(course.points)
    if count <= _MOST_POINTS:
        return course.points
    chosen = sorted({round(i * (count - 1) / (_MOST_POINTS - 1)) for i in range(_MOST_POINTS)})
    return [course.points[i] for i in chosen]


def _reason_lines(reason: Reason) -> list[str]:
    lines = ["", *_wrap(reason.text)]
    lines += [f"  {figure_text(each)}" for each in reason.inputs]
    if reason.equation:
        lines += _wrap(f"Equation: {reason.equation}", "  ")
    if reason.sources:
        lines += _wrap(f"Sources: {', '.join(reason.sources)}", "  ")
    return lines


def _wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    following = " " * len(first) if rest is None else rest
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=following)
