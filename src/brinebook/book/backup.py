"""Whole books put aside and brought back. A backup is itself a book in one file."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Select, Table, delete, insert, select

from brinebook.book import faults, schema
from brinebook.book.engines import is_server, translated
from brinebook.book.store import (
    Book,
    create_book,
    empty_file_book,
    open_book,
    put_in_place,
    remove_with_journal,
    temporary_beside,
)
from brinebook.book.upgrade import copy_schema, free_name
from brinebook.errors import BookProblem
from brinebook.texts import say

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: In the order in which they can be filled. Kept results are not copied: they can be made again.
TABLES: tuple[Table, ...] = (
    schema.systems,
    schema.descriptions,
    schema.facts,
    schema.probes,
    schema.probe_readings,
    schema.settings,
    schema.passes,
    schema.photos,
    schema.saves,
)
_BATCH = 10_000
#: A photo weighs as much as ten thousand facts.
_BATCHES = {schema.photos.name: 20}


class BackupWrong(BookProblem):
    """A copy does not hold what the book holds."""

    code = "E-BACKUP-DIFFERS"

    def __init__(self, place: str, table: str) -> None:
        super().__init__(
            say(
                "The copy at {place} doesn't agree with the book (table {table}); it "
                "was thrown away.",
                place=place,
                table=table,
            ),
            say("Try again, to another disk if it happens twice."),
        )


class TargetTaken(faults.BookExists):
    """A restore would cover a book."""

    code = "E-RESTORE-TARGET"

    def __init__(self, address: str) -> None:
        super().__init__(address)
        self.hint = say(
            "Restore under another name, or add --replace: the book that is there is "
            "then put aside first."
        )


def back_up(book: Book, place: Path) -> dict[str, int]:
    """Copy the book as it stands to a new file and read it back; return the rows of each table.

    Others may go on writing meanwhile. Raises BookExists, NoRoomLeft, BackupWrong.
    """
    with translated(str(place)):
        if place.exists():
            raise faults.BookExists(str(place))
        temporary = temporary_beside(place)
        try:
            with book.read() as source:
                copy = empty_file_book(temporary)
                counts = _copy_and_compare(source, copy, str(place))
            _settle_file(temporary)
            put_in_place(temporary, place)
        finally:
            remove_with_journal(temporary)
    return counts


def restore(source: Path, address: str, *, replace: bool = False) -> tuple[dict[str, int], str]:
    """Bring a backup back as the book at ``address``; the rows of each table, and where the book
    that was there has been put ("" if there was none).

    The backup itself is only read; one of an older format is upgraded in the copy.
    """
    with _working_copy(source, address) as working, working.read() as rows:
        if not _book_there(address):
            counts: dict[str, int] = {}

            def fill(connection: Connection) -> None:
                counts.update(_copy(rows, connection))

            create_book(address, fill)
            with open_book(address).read() as written:
                _compare(rows, written, address)
            return counts, ""
        if not replace:
            raise TargetTaken(address)
        return _replace(rows, open_book(address))


def _replace(rows: Connection, book: Book) -> tuple[dict[str, int], str]:
    aside = ""
    if not book.on_server:
        aside = str(free_name(Path(book.address), "before-restore"))
        back_up(book, Path(aside))
    with book.write() as connection:
        if book.on_server:
            aside = copy_schema(connection, "before_restore")
        for table in (schema.kept, *reversed(TABLES)):
            connection.execute(delete(table))
        counts = _copy(rows, connection)
        _compare(rows, connection, book.name)
    return counts, aside


def check_file(path: Path) -> list[str]:
    """What the engine finds wrong with the file itself; nothing if it is whole."""
    with translated(str(path)), closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA query_only=ON")
        found = [str(row[0]) for row in raw.execute("PRAGMA integrity_check(20)")]
        found += [
            say(
                "row {row} of {table} belongs to no {parent}",
                row=row[1],
                table=row[0],
                parent=row[2],
            )
            for row in raw.execute("PRAGMA foreign_key_check")
        ]
    return [] if found == ["ok"] else [line for line in found if line != "ok"]


def _book_there(address: str) -> bool:
    if not is_server(address):
        return Path(address).exists()
    try:
        open_book(address)
    except faults.BookMissing:
        return False
    return True


@contextmanager
def _working_copy(source: Path, address: str) -> Iterator[Book]:
    """A sound copy of a backup in today's format, thrown away afterwards."""
    import tempfile

    if not source.exists():
        raise faults.BookMissing(str(source))
    beside = None if is_server(address) else Path(address).parent
    with translated(address):
        if beside is not None:
            beside.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".restore-", dir=beside) as folder:
            copy = Path(folder) / "copy"
            copy.write_bytes(source.read_bytes())
            wal = source.with_name(source.name + "-wal")
            if wal.exists():
                copy.with_name("copy-wal").write_bytes(wal.read_bytes())
            try:
                book = open_book(str(copy))
                wrong = check_file(copy)
            except BookProblem as problem:
                # It is the backup that is meant, not our passing copy of it.
                problem.message = problem.message.replace(str(copy), str(source))
                problem.args = (problem.message,)
                raise
            if wrong:
                raise faults.BookDamaged(str(source), wrong[0])
            yield book


def _copy_and_compare(source: Connection, copy: Book, place: str) -> dict[str, int]:
    with copy.write() as target:
        counts = _copy(source, target)
    with copy.read() as written:
        _compare(source, written, place)
    wrong = check_file(Path(copy.address))
    if wrong:
        raise faults.BookDamaged(place, wrong[0])
    return counts


def _copy(source: Connection, target: Connection) -> dict[str, int]:
    counts = {}
    for table in TABLES:
        count = 0
        batch = _BATCHES.get(table.name, _BATCH)
        rows = source.execution_options(yield_per=batch).execute(_ordered(table))
        for part in rows.mappings().partitions(batch):
            target.execute(insert(table), [dict(row) for row in part])
            count += len(part)
        counts[table.name] = count
    return counts


def _compare(one: Connection, other: Connection, place: str) -> None:
    for table in TABLES:
        if _digest(one, table) != _digest(other, table):
            raise BackupWrong(place, table.name)


def _digest(connection: Connection, table: Table) -> bytes:
    """A sum over all rows that doesn't depend on how the engine sorts text."""
    total = 0
    batch = _BATCHES.get(table.name, _BATCH)
    rows = connection.execution_options(yield_per=batch).execute(select(table))
    for row in rows:
        line = hashlib.blake2b(repr(tuple(row)).encode("utf-8", "surrogatepass"), digest_size=16)
        total += int.from_bytes(line.digest(), "big")
    return (total % (1 << 160)).to_bytes(20, "big")


def _ordered(table: Table) -> Select[tuple[object, ...]]:
    return select(table).order_by(*table.primary_key.columns)


def _settle_file(path: Path) -> None:
    """Everything on the disk before the file gets its name."""
    with path.open("rb") as file:
        os.fsync(file.fileno())
