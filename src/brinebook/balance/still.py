"""Series that stopped moving: a probe that is dead, or a display that hangs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.neighbours import Neighbours, Reading

#: So many readings in a row that don't move are told (common practice, no source).
FEWEST = 10
#: Not moving: within this share of what one usual test of the quantity scatters. Only what is read
#: to finer steps could have shown a movement.
_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class Still:
    """A series whose last readings, so many of them, all but stand still."""

    readings: tuple[Reading, ...]
    value: float  # canonical


def still_series(one: Neighbours) -> tuple[Still, ...]:
    """The series of one system that have stood still up to their last reading, by name."""
    series: dict[tuple[str, str], list[Reading]] = defaultdict(list)
    for reading in one.readings:
        series[reading.quantity, reading.method].append(reading)
    found = []
    for (quantity, _), readings in sorted(series.items()):
        width = _SHARE * BELIEFS[quantity].noise
        run = _last_run(readings, width)
        if len(run) >= FEWEST and median(r.step for r in run) <= width:
            found.append(Still(tuple(run), median(r.value for r in run)))
    return tuple(found)


def _last_run(readings: Sequence[Reading], width: float) -> Sequence[Reading]:
    low = high = readings[-1].value
    for count, reading in enumerate(reversed(readings)):
        low, high = min(low, reading.value), max(high, reading.value)
        if high - low > 2.0 * width:
            return readings[len(readings) - count :]
    return readings
