"""From an address to an open system with its facts: the way into the book for every use case."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.book import facts as stored
from brinebook.book import store, systems
from brinebook.book.description import read_description
from brinebook.book.identity import to_us
from brinebook.book.store import Book
from brinebook.book.systems import SystemRow
from brinebook.system import System
from brinebook.texts import Manner
from brinebook.texts.load import manner
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class OpenSystem:
    """One system of an open book: its row there, its description parsed, and its time zone."""

    book: Book
    row: SystemRow
    system: System
    zone: ZoneInfo
    text: str

    @property
    def system_id(self) -> str:
        """The key of the system in its book."""
        return self.row.system_id


@dataclass(frozen=True, slots=True)
class Loaded:
    """What an answer is made from: the facts that stand, as of ``at`` and as known at ``known``.

    ``known`` is None where all that is known counts.
    """

    opened: OpenSystem
    facts: tuple[Fact, ...]
    at: datetime
    known: datetime | None = None

    @property
    def book(self) -> Book:
        """The open book."""
        return self.opened.book

    @property
    def system(self) -> System:
        """The system as described."""
        return self.opened.system

    @property
    def zone(self) -> ZoneInfo:
        """The system's own time zone."""
        return self.opened.zone


def manner_of(system: System) -> Manner:
    """How a system's keeper is spoken to, by its settings."""
    return manner(language=system.language, decimal_mark=system.decimal_mark, dates=system.dates)


def open_system(address: str, name: str | None = None) -> OpenSystem:
    """Open a book and the system that is meant: by name, or its only one."""
    book = store.open_book(address)
    with book.read() as connection:
        row = systems.one_system(connection, name)
        return _described(book, row, systems.description(connection, row.system_id))


def load(
    address: str,
    name: str | None = None,
    *,
    now: datetime,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Loaded:
    """A system with its facts: those that happened by ``at`` (else ``now``), as entered by
    ``known`` (else all), in the order of time, kind, what.

    A naive ``at`` or ``known`` is read in the system's own zone.
    """
    book = store.open_book(address)
    with book.read() as connection:
        row = systems.one_system(connection, name)
        opened = _described(book, row, systems.description(connection, row.system_id))
        # To the second: an answer's time is for people and files, and both have no more.
        until = aware(at, opened.zone) or now.replace(microsecond=0)
        known_us = None
        if known is not None:
            known_us = to_us(aware(known, opened.zone) or now)
            text = systems.description(connection, row.system_id, known_us=known_us)
            opened = _described(book, row, text)
        found = _standing(connection, row.system_id, at_us=to_us(until), known_us=known_us)
    return Loaded(opened, tuple(found), until, known)


def aware(when: datetime | None, zone: ZoneInfo) -> datetime | None:
    """The instant in UTC; a naive one is read in ``zone``."""
    if when is None:
        return None
    try:
        return (when if when.tzinfo else when.replace(tzinfo=zone)).astimezone(UTC)
    except OverflowError:
        return when.replace(tzinfo=UTC)  # at the ends of the calendar a zone makes no difference


def _described(book: Book, row: SystemRow, text: str) -> OpenSystem:
    system = read_description(text).system
    return OpenSystem(book, row, system, ZoneInfo(system.timezone), text)


def _standing(
    connection: Connection, system_id: str, *, at_us: int, known_us: int | None
) -> list[Fact]:
    """The facts that stand, each verdict naming its fact by the id that it has among them."""
    found = stored.current(connection, system_id, at_us=at_us, known_us=known_us)
    ids = {fact.id for fact in found}
    astray = [fact for fact in found if fact.kind == "verdict" and fact.what not in ids]
    if not astray:
        return found
    named = stored.ids_today(connection, system_id, [fact.what for fact in astray], known_us)
    return [
        Fact(fact.id, fact.when, fact.kind, named[fact.what], fact.value, fact.unit, fact.detail)
        if fact.kind == "verdict" and fact.what in named
        else fact
        for fact in found
    ]
