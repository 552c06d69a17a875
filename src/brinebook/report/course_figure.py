"""A small figure of a figure's course by the hour: an ink line, its range as a band, its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from brinebook.report.numbers import number_text

WIDTH, HEIGHT = 340.0, 150.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 48.0, 326.0, 10.0, 124.0
#: Hours of which a table and the axis tell, as far as the course goes.
MARKS = (0, 1, 2, 4, 8, 12, 24, 48, 72, 96, 120)
#: Days of the same, for a course of more than three.
DAY_MARKS = (0, 1, 2, 3, 5, 7, 10, 14, 21, 28, 30, 42, 56, 90)
_IN_DAYS = 72.0
#: Marks on the axis lie at least so far apart.
_APART = 32.0


class Point(NamedTuple):
    """One hour: the middle, and the ends of its range."""

    hour: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class CourseFigure:
    """Where everything lies on a sheet of 340 by 150."""

    line: str
    band: str
    limit: float | None
    across: tuple[tuple[float, str], ...]  # x and its hour
    up: tuple[tuple[float, str], ...]  # y and its value
    top: float = _TOP
    bottom: float = _BOTTOM
    left: float = _LEFT
    right: float = _RIGHT
    width: float = WIDTH
    height: float = HEIGHT


def course_figure(points: Sequence[Point], limit: float | None, *, decimals: int) -> CourseFigure:
    """The figure of two points or more; ``decimals`` are those of the values beside it."""
    values = [value for p in points for value in (p.low, p.value, p.high)]
    told = sorted([min(values), max(values), *([] if limit is None else [limit])])
    room = 0.06 * (told[-1] - told[0]) or 0.5
    low, high, last = told[0] - room, told[-1] + room, points[-1].hour

    def x(hour: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * hour / last

    def y(value: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * (value - low) / (high - low)

    upper = [f"{x(p.hour):.1f},{y(p.high):.1f}" for p in points]
    lower = [f"{x(p.hour):.1f},{y(p.low):.1f}" for p in reversed(points)]
    return CourseFigure(
        " ".join(f"{x(p.hour):.1f},{y(p.value):.1f}" for p in points),
        " ".join([*upper, *lower]),
        None if limit is None else y(limit),
        _across([(x(hour), text) for hour, text in _marks(last)]),
        tuple((y(value), number_text(value, decimals)) for value in _apart(told, limit)),
    )


def told_points(points: Sequence[Point]) -> tuple[Point, ...]:
    """The hours that a table tells."""
    return tuple(p for p in points if p.hour in MARKS)


def _marks(last: float) -> list[tuple[float, str]]:
    """Where the axis is marked: by the hour, or by the day where the course is a long one."""
    if last <= _IN_DAYS:
        whole = [(float(hour), f"{hour} h") for hour in MARKS if hour <= last]
        return whole if len(whole) > 1 else [(0.0, "0 h"), (last, f"{last:.2g} h")]
    whole = [(24.0 * day, f"{day} d") for day in DAY_MARKS if 24.0 * day <= last]
    if last - whole[-1][0] > 12.0:
        whole.append((last, f"{round(last / 24.0)} d"))
    return whole


def _across(marks: Sequence[tuple[float, str]]) -> tuple[tuple[float, str], ...]:
    """The hours of the axis: the first, the last, and between them those that leave room."""
    found, last = [marks[0]], marks[-1]
    for mark in marks[1:-1]:
        if mark[0] - found[-1][0] >= _APART and last[0] - mark[0] >= _APART:
            found.append(mark)
    return (*found, last)


def _apart(told: Sequence[float], limit: float | None) -> list[float]:
    """The values of the axis, the limit first, without those that would be printed over another."""
    whole = told[-1] - told[0]
    order = [*([] if limit is None else [limit]), told[-1], told[0]]
    found: list[float] = []
    for value in order:
        if all(abs(value - other) > 0.12 * whole for other in found):
            found.append(value)
    return found
