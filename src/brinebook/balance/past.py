"""A season as it stood at the end of a chapter, and a digest of all that it then held.

What is decided of a chapter may rest on nothing that happened after the chapters it was weighed
with: then it stays decided, whatever is written down later. So a window is shown the season cut off
at the window's end, and the digest says whether two cuts are the same.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from hashlib import blake2b
from operator import attrgetter

import numpy as np

from brinebook.balance.said import change_begins
from brinebook.balance.season import (
    Event,
    Exchange,
    Flow,
    Mark,
    Pour,
    Season,
    Test,
)
from brinebook.balance.state import Anchor

#: The name of a change tells its begin to the thousandth of a day.
_ROUNDED = 1e-3
#: Fields that grow with the season; they are digested stretch by stretch.
_GROWING = frozenset(
    ["tests", "events", "deficit_times", "deficit_litres", "breaks", "total", "rates", "settings"]
)
_DIGEST_BYTES = 16
_time = attrgetter("t")
_of_test = attrgetter(*(each.name for each in fields(Test)))


class Past:
    """One season, to be seen as of any time. Times are asked for in rising order."""

    def __init__(self, season: Season, fixed: Anchor) -> None:
        self.season, self.fixed = season, fixed
        self.first: dict[str, float] = {}
        for test in season.tests:
            self.first.setdefault(test.quantity, test.t)
        self.views: dict[tuple[str, ...], _View] = {}

    def until(self, end: float) -> Season:
        """The season without what happened after ``end``.

        Quantities that had not been tested by then are not in it.
        """
        return self._view(end)[1].until(end)

    def key(self, before: str, times: tuple[float, float, float]) -> str:
        """Names a chapter by all that it rests on: two that are named alike decide alike.

        ``before`` is the key of the chapter before; ``times`` are the chapter's start, its end and
        the end of the chapter that it is weighed with.
        """
        names, view = self._view(times[-1])
        whole = view.digest(times[-1])
        _feed(whole, (before, times, tuple(self.fixed.of(name) for name in names)))
        return whole.hexdigest()

    def _view(self, end: float) -> tuple[tuple[str, ...], _View]:
        names = tuple(
            name for name in self.season.quantities if self.first.get(name, math.inf) <= end
        )
        if names not in self.views:
            self.views[names] = _View(_narrowed(self.season, names))
        return names, self.views[names]


class _View:
    """A season of certain quantities, digested up to ``reached``."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.marks = _rising_marks(season.events)
        self.cut: tuple[float, Season] | None = None
        self.verdicts = [(change_begins(name), (name, says)) for name, says in season.verdicts]
        changes = (each.t for each in season.events if isinstance(each, Exchange))
        changed = min([next(changes, math.inf), *(_start(each.flow) for each in season.streams)])
        self.changed = -math.inf if season.mixes else changed
        self.reached = -math.inf
        self.shown = 0  # points of the water missing that have been digested
        self.hash = blake2b(digest_size=_DIGEST_BYTES)

    def until(self, end: float) -> Season:
        if self.cut is None or self.cut[0] != end:
            self.cut = end, self._until(end)
        return self.cut[1]

    def _until(self, end: float) -> Season:
        season = self.season
        food = season.food
        # The water missing grows towards the next top-off: that one counts as known.
        shown = int(np.searchsorted(season.deficit_times, end)) + 1
        return replace(
            season,
            tests=season.tests_in(-math.inf, end),
            events=season.events_in(-math.inf, end),
            flows=tuple(_flow_until(each, end) for each in season.flows if _start(each) <= end),
            streams=tuple(
                replace(each, flow=_flow_until(each.flow, end))
                for each in season.streams
                if _start(each.flow) <= end
            ),
            deficit_times=season.deficit_times[:shown],
            deficit_litres=season.deficit_litres[:shown],
            fullest={
                name: rising[-1].left_ml
                for name, marks in self.marks.items()
                if (rising := marks[: bisect_right(marks, end, key=_time)])
            },
            food=_flow_until(food, end) if food is not None and _start(food) <= end else None,
            forgotten_mix=season.forgotten_mix if self.changed <= end else None,
            notes=(),
            # Verdicts on tests stand with the tests; those on changes count from their begin on.
            verdicts=tuple(
                verdict
                for begins, verdict in self.verdicts
                if begins is not None and begins <= end + _ROUNDED
            ),
        )

    def digest(self, end: float) -> blake2b:
        cut = self.until(end)
        for test in cut.tests_in(self.reached, end):
            self.hash.update(repr(_of_test(test)).encode())
        for event in cut.events_in(self.reached, end):
            _feed(self.hash, event)
        flows = [*cut.flows, *(each.flow for each in cut.streams), *filter(None, [cut.food])]
        for flow in flows:
            first = int(np.searchsorted(flow.breaks, self.reached, side="right"))
            for array in (flow.breaks, flow.total, flow.rates):
                _feed(self.hash, array[first:])
            later = [each for each in flow.settings if each[0] > self.reached]
            self.hash.update(repr(later).encode())
        _feed(self.hash, cut.deficit_times[self.shown :])
        _feed(self.hash, cut.deficit_litres[self.shown :])
        self.reached, self.shown = end, cut.deficit_times.size
        whole = self.hash.copy()
        _feed(whole, cut)
        return whole


def _rising_marks(events: Iterable[Event]) -> dict[str, list[Mark]]:
    """Of each container the marks that were the fullest so far."""
    found: dict[str, list[Mark]] = {}
    for event in events:
        if isinstance(event, Mark):
            rising = found.setdefault(event.additive, [])
            if not rising or event.left_ml > rising[-1].left_ml:
                rising.append(event)
    return found


def _flow_until(flow: Flow, end: float) -> Flow:
    """The flow as it was set by ``end``; it goes on from there as it was."""
    count = int(np.searchsorted(flow.breaks, end, side="right"))
    return replace(
        flow,
        breaks=flow.breaks[:count],
        total=flow.total[:count],
        rates=flow.rates[:count],
        settings=tuple(each for each in flow.settings if each[0] <= end),
    )


def _start(flow: Flow) -> float:
    return float(flow.breaks[0])


def _narrowed(season: Season, names: tuple[str, ...]) -> Season:
    """The season without the other quantities."""
    if names == season.quantities:
        return season
    chosen = [season.quantities.index(name) for name in names]
    food = season.food if {"nitrate", "phosphate"} & set(names) else None
    mix = season.forgotten_mix
    return replace(
        season,
        quantities=names,
        tests=tuple(test for test in season.tests if test.quantity in names),
        events=tuple(_narrowed_event(event, chosen) for event in season.events),
        flows=tuple(replace(flow, brings=flow.brings[chosen]) for flow in season.flows),
        streams=tuple(
            replace(
                stream,
                incoming=stream.incoming[chosen],
                incoming_sd=stream.incoming_sd[chosen],
                labelled=stream.labelled[chosen],
            )
            for stream in season.streams
        ),
        food=None if food is None else replace(food, brings=food.brings[chosen]),
        mixes={name: water[chosen] for name, water in season.mixes.items()},
        forgotten_mix=None if mix is None else mix[chosen],
    )


def _narrowed_event(event: Event, chosen: list[int]) -> Event:
    if isinstance(event, Pour):
        return replace(event, brings=event.brings[chosen])
    if isinstance(event, Exchange):
        return replace(
            event,
            incoming=event.incoming[chosen],
            incoming_sd=event.incoming_sd[chosen],
            measured=event.measured[chosen],
        )
    return event


def _feed(into: blake2b, value: object) -> None:
    """Digest a value bit for bit, whatever of our nouns it is, but for what grows."""
    if isinstance(value, np.ndarray):
        into.update(f"{value.dtype.str}{value.shape}".encode())
        into.update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, Mapping):
        _feed_all(into, (part for pair in value.items() for part in pair), size=len(value))
    elif isinstance(value, tuple):
        _feed_all(into, value, size=len(value))
    elif is_dataclass(value):
        into.update(type(value).__name__.encode())
        for each in fields(value):
            if each.name not in _GROWING:
                _feed(into, getattr(value, each.name))
    else:
        into.update(f"{value!r};".encode())


def _feed_all(into: blake2b, values: Iterable[object], *, size: int) -> None:
    into.update(f"({size}".encode())
    for value in values:
        _feed(into, value)
