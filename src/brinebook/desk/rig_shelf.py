"""Rigs kept at hand by a program that stays open: what each is told to be, and its drills.

A drill of everything takes a second or two, so it is worked out once for a description (and the
month, what evaporates, and the water that a dosing pump would empty into), aside from the pages.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from contextvars import copy_context
from dataclasses import replace
from typing import TypeVar, cast

from brinebook.desk.drill import Drilled, drilled, water_of
from brinebook.desk.opening import Loaded
from brinebook.desk.rig import asked_by, drawn
from brinebook.desk.rig_degrees import in_keepers_degrees
from brinebook.desk.rig_parts import PARTS, RigAsked
from brinebook.desk.shelf import Shelf, SystemRow
from brinebook.lifesupport.ranges import Range
from brinebook.report.rig_drawing import Drawn
from brinebook.system import System

Made = TypeVar("Made")

#: Answers kept at hand, the oldest given up first.
_MOST = 64
#: So long the first drills wait for the first answer: seconds.
_WAIT_FOR_WATER = 8.0
#: So near each other two readings of the water make the same drill: meq/L (decimals), mg/L.
_ALKALINITY_DECIMALS, _CALCIUM_DECIMALS = 2, 0


class Rigs:
    """What is told of the rigs of one book."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._lock = threading.Lock()
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="drills")
        self._kept: dict[Hashable, Future[object]] = {}

    def close(self) -> None:
        """Let go of the worker; what it is at is not waited for."""
        self._worker.shutdown(wait=False, cancel_futures=True)

    def loaded(self, row: SystemRow) -> Loaded:
        """The system with its facts, as of now."""
        return replace(self._shelf.loaded(row), at=self._shelf.now())

    def asked(self, row: SystemRow, system: System | None = None) -> RigAsked:
        """The rig as it is described, or as another description has it. Raises RigNotDescribed."""
        return asked_by(self.loaded(row), system)

    def lines(self, row: SystemRow, part: str) -> tuple[str, ...]:
        """What is told to a person of one part, without its cautions. Raises RigNotDescribed."""
        asked = self.asked(row)
        return self._at_once(
            ("lines", part, *self._key(row, asked)),
            lambda: tuple(in_keepers_degrees(PARTS[part].as_lines(asked), asked.system)),
        )

    def drawn(self, row: SystemRow) -> Drawn:
        """The drawing with its list. Raises RigNotDescribed."""
        asked = self.asked(row)
        return self._at_once(("drawn", *self._key(row, asked)), lambda: drawn(asked))

    def drilled(
        self, row: SystemRow, *, wait: float, system: System | None = None, text: str = ""
    ) -> Drilled | None:
        """Every drill; None while they are worked out. ``system`` is another description, read
        from ``text``. Raises RigNotDescribed."""
        asked = self.asked(row, system)
        into = self._shelf.standing(row, wait=0.0).told if _empties_bottles(asked) else None
        water = None if into is None else water_of(into.assessed.answer)
        known = into is not None or not _empties_bottles(asked)

        def make() -> Drilled:
            return drilled(asked, water if known else self._water(row))

        key = ("drills", text, *self._key(row, asked), known, _rounded(water))
        future = self._future(key, make)
        try:
            return future.result(timeout=wait)
        except (NotYet, CancelledError):
            return None

    def _key(self, row: SystemRow, asked: RigAsked) -> tuple[Hashable, ...]:
        described = self._shelf.mark(row.system_id).described
        return (row.system_id, described, asked.month, asked.rig.evaporation)

    def _water(self, row: SystemRow) -> tuple[Range, Range] | None:
        """The water of an answer that is still being made, if it comes in time."""
        told = self._shelf.standing(row, wait=_WAIT_FOR_WATER).told
        return None if told is None else water_of(told.assessed.answer)

    def _at_once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Made here and now, once: what takes less than a page may."""
        with self._lock:
            kept = self._kept.get(key)
        if kept is None:
            kept = Future()
            kept.set_result(make())
            with self._lock:
                self._keep(key, kept)
        return cast("Made", kept.result())

    def _future(self, key: Hashable, make: Callable[[], Made]) -> Future[Made]:
        """Made by the worker, once."""
        with self._lock:
            kept = self._kept.get(key)
            if kept is None or kept.cancelled():
                kept = cast("Future[object]", self._worker.submit(copy_context().run, make))
                self._keep(key, kept)
        return cast("Future[Made]", kept)

    def _keep(self, key: Hashable, made: Future[object]) -> None:
        self._kept[key] = made
        while len(self._kept) > _MOST:
            self._kept.pop(next(iter(self._kept)))


def _empties_bottles(asked: RigAsked) -> bool:
    """Whether a drill hangs on what is in the water."""
    top_off = asked.rig.top_off
    return bool(asked.rig.dosers) or (top_off is not None and bool(top_off.holds))


def _rounded(water: tuple[Range, Range] | None) -> Hashable:
    if water is None:
        return None
    alkalinity, calcium = water
    return (
        *(round(one, _ALKALINITY_DECIMALS) for one in (alkalinity.low, alkalinity.high)),
        *(round(one, _CALCIUM_DECIMALS) for one in (calcium.low, calcium.high)),
    )
