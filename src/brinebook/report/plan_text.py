"""A plan as lines for a terminal: what to do first, then what it rests on."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.measure import Measure
from brinebook.plan import Came, Caution, Course, CoursePoint, Figure, KeptPlan, Plan, Reason
from brinebook.report.dates import instant_text
from brinebook.report.numbers import measure_and_range_text, measure_text, plain_text
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure
from brinebook.report.step_groups import StepGroup, grouped
from brinebook.texts import named, say
from brinebook.units import QUANTITIES

WIDTH = 78
_MOST_POINTS = 9


def plan_lines(plan: Plan, zone: ZoneInfo) -> list[str]:
    """What to do, with which chance it goes wrong, what would stop it, and what to mind."""
    lines = [*_wrap(plan.headline), ""]
    for caution in plan.cautions:
        lines += _wrap(caution_text(caution), "! ")
    if plan.cautions:
        lines.append("")
    for group in grouped(plan.steps):
        lines += _step_lines(group, plan.at, zone)
    if plan.steps:
        lines.append("")
    if plan.chances:
        lines.append(say("Of 100 such cases it"))
        lines += [f"  {in_hundred(c.probability):>8}  {c.what}" for c in plan.chances]
        lines.append("")
    for reason in plan.reasons:
        lines += _wrap(reason.text)
    if plan.stops and plan.reasons:
        lines.append("")
    for stop in plan.stops:
        lines += _wrap(say("Stop if {stop}", stop=stop))
    if plan.notes and (plan.reasons or plan.stops):
        lines.append("")
    for note in plan.notes:
        lines += _wrap(note, "- ")
    return lines


def why_lines(plan: Plan, zone: ZoneInfo) -> list[str]:
    """The same unfolded: every figure, every course, inputs, equations and sources."""
    lines = plan_lines(plan, zone)
    if plan.figures:
        lines += ["", say("Figures")]
        lines += [f"  {figure_text(figure)}" for figure in plan.figures]
    for course in plan.courses:
        lines += ["", *_course_lines(course, plan.at, zone)]
    for reason in plan.reasons:
        lines += _reason_lines(reason)
    return lines


def in_hundred(probability: float) -> str:
    """Of a hundred such cases, so many: “97”, “under 1”."""
    if 0.0 < probability < 0.01:
        return say("under 1")
    if 0.99 < probability < 1.0:
        return say("over 99")
    return str(round(100 * probability))


def kept_lines(
    kept: KeptPlan, came: Sequence[Came], zone: ZoneInfo, units: Mapping[str, str]
) -> list[str]:
    """An accepted plan: what became of each step, and what came against what was expected."""
    at = kept.plan.at
    dropped = say(", given up") if kept.dropped else ""
    by = say(" by {by}", by=kept.by) if kept.by else ""
    lines = _wrap(
        say(
            "Plan {id} of {at}, accepted{by}{dropped}",
            id=kept.plan.id,
            at=instant_text(at, at, zone),
            by=by,
            dropped=dropped,
        )
    )
    lines += [*_wrap(kept.plan.headline), ""]
    for one in kept.steps:
        when = instant_text(one.step.when, at, zone)
        fact = say(" (fact {id})", id=one.fact.id) if one.fact else ""
        text = f"{one.state}: {one.step.text}{fact}"
        lines += _wrap(f"{when}: {text}", f"{one.number:>2}. ", "    ")
    told = [one for one in came if one.value is not None]
    if told:
        lines += ["", say("Expected, and what came by all that is known now")]
        said = dict.fromkeys(came_text(one, at, zone, units) for one in told)
        lines += [line for text in said for line in _wrap(text, "  ")]
    return lines


def came_text(one: Came, at: datetime, zone: ZoneInfo, units: Mapping[str, str]) -> str:
    """“alkalinity, Fri 7 February: 8.0 dKH (7.6 to 8.4) expected, 7.9 ± 0.1 dKH came: …”."""
    e = one.expected
    expected = Measure(e.value, (e.high - e.low) / 3.92, "", e.low, e.high)
    came = Measure(one.value or 0.0, one.sd or 0.0, "")
    day = instant_text(e.when, at, zone).split(",", maxsplit=1)[0]
    wanted = measure_and_range_text(_shown(e.quantity, expected, units))
    return say(
        "{quantity}, {day}: {wanted} expected, {came} came: {verdict}",
        quantity=e.quantity,
        day=day,
        wanted=wanted,
        came=measure_text(_shown(e.quantity, came, units)),
        verdict=one.verdict,
    )


def _shown(quantity: str, measure: Measure, units: Mapping[str, str]) -> Measure:
    unit = units.get(quantity) or QUANTITIES[quantity].unit
    return shown_measure(quantity, measure, unit)


def kept_line(kept: KeptPlan, zone: ZoneInfo) -> str:
    """One line of a list of accepted plans."""
    done = sum(one.state == "done" for one in kept.steps)
    state = say("given up") if kept.dropped else say("open") if kept.is_open else say("over")
    day = instant_text(kept.plan.at, kept.plan.at, zone)
    about = ", ".join(kept.plan.about)
    many = say("{done} of {count} done", done=done, count=len(kept.steps))
    return say(
        "{id}  {day}  {kind} of {about}: {many}, {state}",
        id=kept.plan.id,
        day=day,
        kind=kept.plan.kind,
        about=about,
        many=many,
        state=state,
    )


def figure_text(figure: Figure) -> str:
    """“grams: 10.8 g (10.2 to 11.4), estimated”."""
    name, unit = named(figure.name), unit_label(figure.unit)
    if figure.low is None or figure.high is None:
        shown = f"{plain_text(figure.value, digits=4)} {unit}".strip()
    else:
        spread = (figure.high - figure.low) / 3.92
        shown = measure_and_range_text(Measure(figure.value, spread, unit, figure.low, figure.high))
    return f"{name}: {shown}" + (f", {say(figure.origin)}" if figure.origin else "")


def caution_text(caution: Caution) -> str:
    """The caution with whom to ask."""
    return (
        say("{caution} (Ask: {ask}.)", caution=caution.text, ask=caution.ask)
        if caution.ask
        else caution.text
    )


def _step_lines(group: StepGroup, at: datetime, zone: ZoneInfo) -> list[str]:
    alone = group.first == group.last
    number = f"{group.first:>2}. " if alone else f"{group.first:>2} to {group.last}. "
    return _wrap(f"{group.when(at, zone)}: {group.text}", number, "    ")


def _course_lines(course: Course, at: datetime, zone: ZoneInfo) -> list[str]:
    unit = f", {course.unit}" if course.unit else ""
    label = f" ({course.label})" if course.label else ""
    lines = [f"{named(course.name)}{unit}{label}"]
    for point in thinned(course):
        spread = (point.high - point.low) / 3.92
        shown = measure_and_range_text(Measure(point.value, spread, "", point.low, point.high))
        lines.append(f"  {instant_text(point.when, at, zone):<24} {shown}")
    return lines


def thinned(course: Course) -> Iterable[CoursePoint]:
    """The points that a table shows: all of a short course, nine of a long one."""
    count = len(course.points)
    if count <= _MOST_POINTS:
        return course.points
    chosen = sorted({round(i * (count - 1) / (_MOST_POINTS - 1)) for i in range(_MOST_POINTS)})
    return [course.points[i] for i in chosen]


def _reason_lines(reason: Reason) -> list[str]:
    lines = ["", *_wrap(reason.text)]
    lines += [f"  {figure_text(each)}" for each in reason.inputs]
    if reason.equation:
        lines += _wrap(say("Equation: {equation}", equation=reason.equation), "  ")
    if reason.sources:
        lines += _wrap(say("Sources: {sources}", sources=", ".join(reason.sources)), "  ")
    return lines


def _wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    following = " " * len(first) if rest is None else rest
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=following)
