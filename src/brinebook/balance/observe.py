"""What a window sees: its tests and container marks as rows, and the events between them."""

from __future__ import annotations

import math
from bisect import bisect_right
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
        for test in season.tests_in(start, end)
        if test.verdict != "wrong"
    ]
    events = list(season.events_in(start, end))
    rows += _mark_rows(season, start, [event for event in events if isinstance(event, Mark)])
    rows.sort(key=lambda row: (row.t, row.test is None))
    return rows, events


def _mark_rows(season: Season, start: float, marks: list[Mark]) -> list[Row]:
    """Marks as rows, but for the first of a container and those that a refill must have made."""
    seen = _marks_before(season, start, {mark.additive for mark in marks})
    rows = []
    for mark in marks:
        noise = mark_noise(season, mark.additive)
        earlier = seen.setdefault(mark.additive, [])
        before = next((each.left_ml for each in reversed(earlier) if each.t < mark.t), None)
        if before is not None and mark.left_ml <= before + 2.0 * noise:
            rows.append(Row(mark.t, None, mark, mark.left_ml, noise**2))
        earlier.append(mark)
    return rows


def _marks_before(season: Season, start: float, additives: set[str]) -> dict[str, list[Mark]]:
    """The last mark of each of these containers up to ``start``."""
    found: dict[str, list[Mark]] = {}
    missing = additives & set(season.fullest)
    position = bisect_right(season.events, start, key=lambda event: event.t)
    while missing and position > 0:
        position -= 1
        event = season.events[position]
        if isinstance(event, Mark) and event.additive in missing:
            found[event.additive] = [event]
            missing.discard(event.additive)
    return found


def mark_noise(season: Season, additive: str) -> float:
    """Standard deviation of reading a container's level, mL (common practice, no source)."""
    return max(_MARK_SHARE * season.fullest.get(additive, 0.0), _MARK_ML)


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
