"""The facts of one system, laid out as numbers for the estimator.

A ``Season`` holds one group of quantities that are estimated together: the tests, the things poured
and changed at an instant, and the flows that go on by themselves. Times are days since ``EPOCH``.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from operator import attrgetter

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
_DAY = timedelta(days=1)


def days_since_epoch(when: datetime) -> float:
    """Days from the start of 2000 (UTC) to an aware instant."""
    return (when - EPOCH) / _DAY


def instant(day: float) -> datetime:
    """The aware instant that lies so many days after the start of 2000, to the second."""
    return EPOCH + timedelta(seconds=round(day * 86400.0))


@dataclass(frozen=True, slots=True)
class Test:
    """One reading, in the canonical unit of its quantity.

    ``noise`` is the standard deviation of one test that does not depend on the reading,
    ``fraction`` the part that does; ``step`` the resolution. ``target`` is "" for the system, else
    the name of a mix or a reference; then ``known`` and ``known_sd`` say what it holds. ``edge`` is
    "<" or ">" for a reading off the kit's scale. ``verdict`` is what the keeper said of it, or "".
    """

    t: float
    quantity: str
    value: float
    noise: float
    fraction: float
    step: float
    trueness: float
    described: bool
    method: str
    lot: str
    fact: str
    replicate: str = ""
    edge: str = ""
    target: str = ""
    known: float = 0.0
    known_sd: float = 0.0
    verdict: str = ""
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Pour:
    """Something put in at once: canonical amount times litre of each quantity (meq, mg, ug)."""

    t: float
    additive: str
    brings: Floats
    volume_ml: float
    fact: str


@dataclass(frozen=True, slots=True)
class Exchange:
    """Water taken out and new water put in, at once: litres, or a fraction of the net volume."""

    t: float
    litres: float
    fraction: float
    incoming: Floats
    incoming_sd: Floats
    mix: str
    measured: npt.NDArray[np.bool_]
    fact: str


@dataclass(frozen=True, slots=True)
class Loss:
    """System water lost and made up with fresh water: litres."""

    t: float
    litres: float
    fact: str


@dataclass(frozen=True, slots=True)
class Mark:
    """What is left in a container: mL."""

    t: float
    additive: str
    left_ml: float
    fact: str


@dataclass(frozen=True, slots=True)
class MediaSwap:
    """Media put in (grams; 0 takes it out)."""

    t: float
    name: str
    grams: float
    fact: str


@dataclass(frozen=True, slots=True)
class Setting:
    """A pump was set anew: by how many units a day. Keepers do so when they see the use change."""

    t: float
    additive: str
    change: float


@dataclass(frozen=True, slots=True)
class Flow:
    """What goes on by itself: at each breakpoint the total so far, and what a day adds from there.

    ``total`` counts millilitres (or grams) for an additive, litres (or fractions of the net volume)
    for a continuous change. ``brings`` is what one unit brings. What was delivered up to a time
    rests on the breakpoints before it alone, so that later facts never change it.
    """

    name: str
    breaks: Floats
    total: Floats
    rates: Floats
    brings: Floats
    volume_ml: float = 0.0  # millilitres of the container that one unit takes
    settings: tuple[tuple[float, float], ...] = ()  # (from when, units a day)
    evaporates: bool = False  # goes in as water evaporates: the setting is a guess that wanders

    def upto(self, t: Floats | float) -> Floats:
        """Total delivered up to each time."""
        if self.breaks.size == 0:
            return np.zeros(np.shape(t))
        last = np.maximum(np.searchsorted(self.breaks, t, side="right") - 1, 0)
        since = np.maximum(t - self.breaks[last], 0.0)
        return np.asarray(self.total[last] + self.rates[last] * since, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Stream:
    """A continuous water change: the flow, and the new water's composition.

    ``labelled`` says of which quantities the mix's label is all that is known; the others were
    measured, or belong to water that nobody described.
    """

    flow: Flow
    is_fraction: bool
    incoming: Floats
    incoming_sd: Floats
    mix: str
    labelled: npt.NDArray[np.bool_]

    def touches(self, start: float, end: float) -> bool:
        """Whether it runs between two times."""
        stops = self.flow.breaks[-1] if self.flow.rates[-1] == 0.0 else math.inf
        return bool(self.flow.breaks[0] < end and stops > start)


Event = Pour | Exchange | Loss | Mark | MediaSwap | Setting
_time = attrgetter("t")


def fullest_marks(events: Iterable[Event]) -> dict[str, float]:
    """The fullest mark of each container that was ever marked, mL."""
    found: dict[str, float] = {}
    for event in events:
        if isinstance(event, Mark):
            found[event.additive] = max(found.get(event.additive, 0.0), event.left_ml)
    return found


@dataclass(frozen=True, slots=True)
class Season:
    """One group of quantities with everything that touches them, in time order.

    ``fullest`` is what `fullest_marks` finds in the events.
    """

    quantities: tuple[str, ...]
    tests: tuple[Test, ...]
    events: tuple[Event, ...]
    flows: tuple[Flow, ...]
    streams: tuple[Stream, ...]
    deficit_times: Floats
    deficit_litres: Floats
    volume: float
    volume_sd: float  # of the logarithm
    volume_given: bool
    strength_sd: dict[str, float]
    pump_sd: dict[str, float]
    mix_sd: dict[str, float]
    fullest: Mapping[str, float] = field(default_factory=dict)
    food: Flow | None = None
    mixes: dict[str, Floats] = field(default_factory=dict)
    forgotten_mix: Floats | None = None
    notes: tuple[str, ...] = ()
    verdicts: tuple[tuple[str, str], ...] = ()
    clock: float = 0.0  # days that the system's clock is ahead of UTC

    def streams_in(self, start: float, end: float) -> tuple[Stream, ...]:
        """The continuous changes that run between two times."""
        return tuple(stream for stream in self.streams if stream.touches(start, end))

    def passing(self, start: float, end: float) -> float:
        """Volumes of water that continuous changes exchange in a day, on the mean of a time."""
        total = 0.0
        for stream in self.streams_in(start, end):
            amount = float(stream.flow.upto(end) - stream.flow.upto(start))
            total += amount if stream.is_fraction else amount / self.volume
        return total / max(end - start, 1e-6)

    def deficit(self, t: Floats | float) -> Floats:
        """Litres that had evaporated and not yet been replaced, at each time."""
        if self.deficit_times.size == 0:
            return np.zeros(np.shape(t))
        return np.asarray(np.interp(t, self.deficit_times, self.deficit_litres), dtype=np.float64)

    def tests_in(self, start: float, end: float) -> tuple[Test, ...]:
        """The tests after ``start`` and not after ``end``."""
        first = bisect_right(self.tests, start, key=_time)
        return self.tests[first : bisect_right(self.tests, end, key=_time)]

    def events_in(self, start: float, end: float) -> tuple[Event, ...]:
        """The events after ``start`` and not after ``end``."""
        first = bisect_right(self.events, start, key=_time)
        return self.events[first : bisect_right(self.events, end, key=_time)]


def flow_from_settings(
    name: str,
    settings: Sequence[tuple[float, float, tuple[tuple[float, float], ...] | None]],
    *,
    until: float,
    brings: Floats,
    volume_ml: float = 0.0,
) -> Flow:
    """Turn settings ``(from, units a day, on-windows or None)`` into a cumulative flow.

    The on-windows are spans of absolute time (days) in which the daily amount is delivered evenly;
    None means round the clock.
    """
    knots: list[tuple[float, float, float]] = []
    done = 0.0
    for position, (start, per_day, windows) in enumerate(settings):
        end = settings[position + 1][0] if position + 1 < len(settings) else max(until, start)
        knots.append((start, done, 0.0))
        spans = [(start, end)] if windows is None else windows
        for begin, finish in spans:
            share = finish - begin if windows is not None else 1.0
            low, high = max(begin, start), min(finish, end)
            if high <= low or share <= 0.0:
                continue
            amount = per_day * (high - low) / share
            knots += [(low, done, per_day / share), (high, done + amount, 0.0)]
            done += amount
        knots.append((end, done, 0.0))
    breaks, total, rates = np.array(knots).reshape(-1, 3).T.copy()
    return Flow(
        name=name,
        breaks=breaks,
        total=total,
        rates=rates,
        brings=brings,
        volume_ml=volume_ml,
        settings=tuple((start, per_day) for start, per_day, _ in settings),
    )
