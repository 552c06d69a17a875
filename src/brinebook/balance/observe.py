"""What a window sees: its tests and container marks as rows, and the events between them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.balance.season import Event, Mark, Season, Test

_MARK_SHARE = 0.012  # how well a level is read, as a share of the fullest mark
_MARK_ML = 4.0


@dataclass(frozen=True, slots=True)
class Row:
    """One observation: a test or a container mark."""

    t: float
    test: Test | None
    mark: Mark | None
    value: float
    noise: float  # variance


def observe(season: Season, start: float, end: float) -> tuple[list[Row], list[Event]]:
    """Rows and events between two times. A mark above the last one is a refill, not a row."""
    rows = [
        Row(test.t, test, None, *_reading(test))
        for test in season.tests
        if start < test.t <= end and test.verdict != "wrong"
    ]
    events: list[Event] = [event for event in season.events if start < event.t <= end]
    rows += [
        Row(mark.t, None, mark, mark.left_ml, mark_noise(season, mark.additive) ** 2)
        for mark in events
        if isinstance(mark, Mark) and not _refilled(season, mark)
    ]
    rows.sort(key=lambda row: (row.t, row.test is None))
    return rows, events


def mark_noise(season: Season, additive: str) -> float:
    """Standard deviation of reading a container's level, mL (common practice, no source)."""
    marks = [e.left_ml for e in season.events if isinstance(e, Mark) and e.additive == additive]
    return max(_MARK_SHARE * max(marks, default=0.0), _MARK_ML)


def _refilled(season: Season, mark: Mark) -> bool:
    before = [
        e
        for e in season.events
        if isinstance(e, Mark) and e.additive == mark.additive and e.t < mark.t
    ]
    return not before or mark.left_ml > before[-1].left_ml + 2.0 * mark_noise(season, mark.additive)


def _reading(test: Test) -> tuple[float, float]:
    """Value and noise variance, with readings off the kit's scale as the span they leave open."""
    if test.edge == "<":
        spread = test.value / math.sqrt(12.0)
        return test.value / 2.0, spread**2 + (0.5 * test.noise) ** 2
    noise = test.noise**2 + (test.fraction * test.value) ** 2 + test.step**2 / 12.0
    if test.edge == ">":
        return test.value * 1.25, noise + (0.25 * test.value) ** 2
    return test.value, noise


def noise_key(row: Row) -> str:
    """Which tests share one noise: same quantity, same method."""
    if row.test is None:
        return "mark"
    return f"{row.test.quantity}|{row.test.method}"
