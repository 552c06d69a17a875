"""What drills of heat, damp, power and outage share: ranges as figures, times to act, courses."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.lifesupport.drill import DrillCourse, DrillPoint, Harm, Within
from brinebook.lifesupport.heat_course import Course
from brinebook.lifesupport.outage import Span
from brinebook.lifesupport.ranges import Range, spread
from brinebook.plan import Figure

#: From here on, and down to here, many reef animals don't last for days, °C (common practice, no
#: source); from 28.5 and to 22 °C they are under stress.
GRAVE_ABOVE, GRAVE_BELOW = 31.0, 18.0


def ranged(name: str, found: Range, unit: str, *, origin: str = "") -> Figure:
    """A range as a figure of a drill."""
    return Figure(name, found.value, unit, found.low, found.high, origin)


def within_of(hours: Sequence[float | None]) -> Within | None:
    """Three times to act in any order, as short, middle, long; None where none is reached."""
    reached = sorted(hour for hour in hours if hour is not None)
    if not reached:
        return None
    padded: list[float | None] = [*reached, *([None] * (3 - len(reached)))]
    return Within(padded[0], padded[1], padded[2])


def within_span(span: Span) -> Within | None:
    """A span of an outage as time to act; None where even its short end is never reached."""
    return None if span.short is None else Within(span.short, span.middle, span.long)


def course_of(
    name: str, courses: Sequence[Course], *, hours: int, limit: float | None
) -> DrillCourse:
    """Temperature by the hour from three courses: low, middle (the second) and high."""
    points = []
    for hour in range(hours + 1):
        at = spread(one.at(hour).temperature for one in courses)
        points.append(DrillPoint(float(hour), at.value, at.low, at.high))
    return DrillCourse(name, "C", tuple(points), limit)


def harm_of_heat(highest: float) -> Harm:
    """How bad it is for water to get this warm, °C."""
    if highest >= GRAVE_ABOVE:
        return 3
    if highest >= 28.5:
        return 2
    return 1 if highest >= 27.0 else 0


def harm_of_cold(lowest: float) -> Harm:
    """How bad it is for water to get this cold, °C."""
    if lowest <= GRAVE_BELOW:
        return 3
    if lowest <= 22.0:
        return 2
    return 1 if lowest <= 23.5 else 0
