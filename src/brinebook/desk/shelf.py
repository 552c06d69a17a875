"""What a program that stays open keeps at hand: the facts as read, and the answer made of them.

Nothing here is trusted without its mark: every look asks the book in which state it stands.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from contextvars import copy_context
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeVar, cast

from brinebook.balance.sheet import Sheet
from brinebook.book import state, store, systems
from brinebook.book.identity import from_us
from brinebook.book.state import Mark
from brinebook.book.store import Book
from brinebook.book.systems import SystemRow
from brinebook.desk import clock
from brinebook.desk.assess import Assessed, assess
from brinebook.desk.course import Course, Span, course
from brinebook.desk.daily import day_of
from brinebook.desk.logbook import searched_text
from brinebook.desk.opening import Loaded, OpenSystem, load, open_system
from brinebook.desk.sheets import Period, period_sheet
from brinebook.report.today import Today

__all__ = ["Shelf", "Standing", "SystemRow", "Told", "entered_at"]

Kept = TypeVar("Kept")

#: An answer this old is made anew, though no fact came: time itself changes it.
RENEWED_AFTER = timedelta(minutes=1)
#: How long a page waits for the answer to facts just written, and for the first one of all.
WAIT_SECONDS = 2.5
FIRST_WAIT_SECONDS = 25.0
#: So much that follows from one answer is kept, the oldest given up first.
_MOST_DERIVED = 200
#: Systems kept at hand: one PostgreSQL may hold thousands.
MOST_SYSTEMS = 16


@dataclass(frozen=True, slots=True)
class Told:
    """An answer with the page made of it, and the state of the book that it was made from."""

    assessed: Assessed
    page: Today
    units: dict[str, str]
    mark: Mark
    took: timedelta = timedelta(0)
    _derived: dict[Hashable, object] = field(default_factory=dict, compare=False, repr=False)

    def derived(self, key: Hashable, make: Callable[[], Kept]) -> Kept:
        """What follows from this very answer, made once: it can't change without the answer."""
        if key in self._derived:
            return cast("Kept", self._derived[key])
        found = make()
        while len(self._derived) >= _MOST_DERIVED:
            self._derived.pop(next(iter(self._derived)), None)
        self._derived[key] = found
        return found

    @property
    def renewed_after(self) -> timedelta:
        """How old it may become before time alone makes it anew: the longer the dearer it is."""
        return max(RENEWED_AFTER, 20 * self.took)

    @property
    def at(self) -> datetime:
        """As of when it was made."""
        return self.assessed.loaded.at


@dataclass(frozen=True, slots=True)
class Standing:
    """What there is to show now: the newest answer (None: the first isn't ready yet), whether
    facts were written that it doesn't know, and whether a newer one is being made."""

    told: Told | None
    behind: bool
    renewing: bool


class Shelf:
    """The systems of one book, kept at hand by one program."""

    def __init__(self, address: str, *, now: Callable[[], datetime] = clock.now) -> None:
        self.address, self.now = address, now
        self.book: Book = store.open_book(address)
        self._lock = threading.Lock()
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="answer")
        self._drawer = ThreadPoolExecutor(max_workers=1, thread_name_prefix="course")
        self._courses: dict[str, tuple[Mark, Future[Course]]] = {}
        self._sheets: dict[str, tuple[Mark, Future[Sheet]]] = {}
        self._opened: dict[str, tuple[int, OpenSystem]] = {}
        self._loaded: dict[str, tuple[Mark, Loaded]] = {}
        self._texts: dict[str, tuple[Loaded, Sequence[str]]] = {}
        self._told: dict[str, Told] = {}
        self._coming: dict[str, tuple[Mark, Future[Told]]] = {}

    def close(self) -> None:
        """Let go of the worker; what it is at is not waited for."""
        self._worker.shutdown(wait=False, cancel_futures=True)
        self._drawer.shutdown(wait=False, cancel_futures=True)

    def systems(self) -> Sequence[SystemRow]:
        """Every system of the book, by name."""
        with self.book.read() as connection:
            return systems.all_systems(connection)

    def row(self, system_id: str) -> SystemRow | None:
        """The system of that key; None where there is none."""
        return next((one for one in self.systems() if one.system_id == system_id), None)

    def mark(self, system_id: str) -> Mark:
        """In which state the system stands."""
        with self.book.read() as connection:
            return state.mark(connection, system_id)

    def opened(self, row: SystemRow) -> OpenSystem:
        """The system as it is described now."""
        described = self.mark(row.system_id).described
        kept = self._opened.get(row.system_id)
        if kept is None or kept[0] != described or kept[1].row != row:
            kept = (described, open_system(self.address, row.name))
            self._keep(self._opened, row.system_id, kept)
        return kept[1]

    def loaded(self, row: SystemRow) -> Loaded:
        """The system with every fact that stands, also those a little ahead of the clock."""
        mark = self.mark(row.system_id)
        kept = self._loaded.get(row.system_id)
        if kept is None or kept[0] != mark or kept[1].opened.row != row:
            ahead = self.now() + timedelta(days=2)
            kept = (mark, load(self.address, row.name, now=ahead))
            self._keep(self._loaded, row.system_id, kept)
        return kept[1]

    def texts(self, row: SystemRow) -> Sequence[str]:
        """What a search looks through, of every fact of `loaded`."""
        loaded = self.loaded(row)
        kept = self._texts.get(row.system_id)
        if kept is None or kept[0] is not loaded:
            kept = (loaded, [searched_text(fact) for fact in loaded.facts])
            self._keep(self._texts, row.system_id, kept)
        return kept[1]

    def standing(self, row: SystemRow, *, wait: float | None = None) -> Standing:
        """The newest answer; a page waits a little where facts were just written.

        Raises what `assess` raises.
        """
        mark = self.mark(row.system_id)
        told = self._told.get(row.system_id)
        current = told is not None and told.mark == mark
        if told is not None and current and self._age(told) < told.renewed_after:
            return Standing(told, behind=False, renewing=False)
        coming = self._start(row, mark)
        patience = wait if wait is not None else _patience(told, current=current)
        try:
            told = coming.result(timeout=patience)
        except (NotYet, CancelledError):
            return Standing(told, behind=not current, renewing=True)
        return Standing(told, behind=told.mark != mark, renewing=told.mark != mark)

    def course(self, row: SystemRow, days: int, *, wait: float = 0.0) -> Course | None:
        """The course of the last so many days, for the newest answer; None while it is made."""
        told = self._told.get(row.system_id)
        if told is None:
            return None
        key = f"{row.system_id}:{days}"
        with self._lock:
            kept = self._courses.get(key)
            if kept is None or kept[0] != told.mark:
                loaded, at = told.assessed.loaded, told.at
                span = Span(at - timedelta(days=days), at)
                kept = (told.mark, self._drawer.submit(copy_context().run, course, loaded, span))
                self._courses[key] = kept
                while len(self._courses) > 4 * MOST_SYSTEMS:
                    self._courses.pop(next(iter(self._courses)))
        try:
            return kept[1].result(timeout=wait)
        except (NotYet, CancelledError):
            return None

    def sheet(
        self, row: SystemRow, told: Told, quantity: str, wanted: Period, *, wait: float
    ) -> Sheet | None:
        """The sheet of a quantity over a period; None while it is worked out.

        Raises SheetImpossible.
        """
        key = f"{row.system_id}:{quantity}:{wanted.begins}:{wanted.ends}"
        with self._lock:
            kept = self._sheets.get(key)
            if kept is None or kept[0] != told.mark:
                loaded = told.assessed.loaded
                made = self._drawer.submit(
                    copy_context().run, period_sheet, loaded, quantity, wanted
                )
                kept = (told.mark, made)
                self._sheets[key] = kept
                while len(self._sheets) > 4 * MOST_SYSTEMS:
                    self._sheets.pop(next(iter(self._sheets)))
        try:
            return kept[1].result(timeout=wait)
        except (NotYet, CancelledError):
            return None

    def _age(self, told: Told) -> timedelta:
        return abs(self.now() - told.at)

    def _start(self, row: SystemRow, mark: Mark) -> Future[Told]:
        with self._lock:
            coming = self._coming.get(row.system_id)
            if coming is not None and not coming[1].done():
                if coming[0] == mark:
                    return coming[1]
                coming[1].cancel()  # if it hasn't begun: nobody needs that state any more
            future = self._worker.submit(self._tell, row, mark)
            self._coming[row.system_id] = (mark, future)
            return future

    def _tell(self, row: SystemRow, mark: Mark) -> Told:
        # The mark was read before the facts: what came between makes it anew once more, never less.
        begun = time.monotonic()
        found = assess(self.address, row.name, at=to_the_second(self.now()))
        day = day_of(found)
        took = timedelta(seconds=time.monotonic() - begun)
        told = Told(found, day.page, day.units, mark, took)
        self._keep(self._told, row.system_id, told)
        return told

    def _keep(self, place: dict[str, Kept], key: str, value: Kept) -> None:
        with self._lock:
            place.pop(key, None)
            place[key] = value
            while len(place) > MOST_SYSTEMS:
                place.pop(next(iter(place)))


def to_the_second(when: datetime) -> datetime:
    """The next whole second: forms can say it back, and no fact until now is left out."""
    whole = when.replace(microsecond=0)
    return whole if whole == when else whole + timedelta(seconds=1)


def entered_at(mark: Mark) -> datetime:
    """When the last fact of a state was entered."""
    return from_us(mark.entered_us)


def _patience(told: Told | None, *, current: bool) -> float:
    if told is None:
        return FIRST_WAIT_SECONDS
    return 0.0 if current else WAIT_SECONDS
