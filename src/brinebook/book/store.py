"""Opening and making books. A `Book` hands out transactions."""

from __future__ import annotations

import os
import secrets
import threading
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.book import engines, faults, migrations
from brinebook.book.engines import BUSY_SECONDS, is_server, shown, translated
from brinebook.texts import say

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

_MAGIC = b"SQLite format 3\x00"
_HEADER = 100  # bytes, https://www.sqlite.org/fileformat.html section 1.3

# One writer a process: threads queue here instead of inside the engine, where they would time out.
_writers: defaultdict[str, threading.RLock] = defaultdict(threading.RLock)


@dataclass(frozen=True, slots=True)
class Book:
    """An open book. Transactions are short; between them nothing of the book is held."""

    address: str
    busy: float = BUSY_SECONDS
    _reading: Engine = field(repr=False, kw_only=True)
    _writing: Engine = field(repr=False, kw_only=True)

    @property
    def on_server(self) -> bool:
        """Whether the book lives in PostgreSQL."""
        return is_server(self.address)

    @property
    def name(self) -> str:
        """The address as it may be shown: without a password."""
        return shown(self.address)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one state of the book and can't change it."""
        with translated(self.address, busy=self.busy), self._reading.begin() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that holds the book's one pen: all of it is kept, or nothing.

        Raises BookLocked where another writer holds it for longer than ``busy`` seconds.
        """
        pen = _writers[self.address]
        if not pen.acquire(timeout=self.busy):
            raise faults.BookLocked(self.name, self.busy)
        try:
            with translated(self.address, busy=self.busy), self._writing.begin() as connection:
                yield connection
        finally:
            pen.release()


def open_book(address: str, *, busy: float = BUSY_SECONDS) -> Book:
    """Open the book at ``address`` (a path, or a postgresql:// URL), upgrading an older one.

    Raises BookMissing, NotABook, BookNewer, BookDamaged, BookUnwritable or ServerTrouble.
    """
    if is_server(address):
        return _open_server(address, busy)
    path = Path(address)
    with translated(address, busy=busy):
        _look_at_file(path)
        book = _file_book(path, busy)
        _same_format(book, _file_format(book))
    return book


def create_book(
    address: str, fill: Callable[[Connection], object], *, busy: float = BUSY_SECONDS
) -> Book:
    """Make a book at ``address`` with what ``fill`` writes into it, all at once or not at all.

    Raises BookExists where there is one, or any other file.
    """
    with translated(address, busy=busy):
        if is_server(address):
            return _create_on_server(address, fill, busy)
        return _create_file(Path(address), fill, busy)


def empty_file_book(path: Path, *, busy: float = BUSY_SECONDS) -> Book:
    """A new, empty book in a file that nobody else knows yet (a temporary name)."""
    _prepare_file(path)
    book = _file_book(path, busy)
    with book.write() as connection:
        migrations.run(connection)
    return book


def put_in_place(temporary: Path, path: Path) -> None:
    """Give a finished file its name without ever covering another one."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise faults.BookExists(str(path), is_book=looks_like_book(path)) from None
    except OSError:
        # A file system without hard links: the check and the rename are two steps there.
        if path.exists():
            raise faults.BookExists(str(path), is_book=looks_like_book(path)) from None
        temporary.rename(path)


def temporary_beside(path: Path) -> Path:
    """A name in the same folder that nothing else uses."""
    return path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")


def looks_like_book(path: Path) -> bool:
    """Whether the file's header says that it is a book."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER)
    except OSError:
        return False
    return head[:16] == _MAGIC and _application(head) == engines.APPLICATION_ID


def _application(head: bytes) -> int:
    return int.from_bytes(head[68:72], "big")


def _look_at_file(path: Path) -> None:
    """Read the header before the engine does: its own messages say too little."""
    name = str(path)
    if path.is_dir():
        raise faults.NotABook(name, say("it is a folder"))
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER)
    except FileNotFoundError:
        raise faults.BookMissing(name) from None
    size = path.stat().st_size
    if not head:
        raise faults.NotABook(name, say("the file is empty"))
    if head[:16] != _MAGIC[: len(head[:16])]:
        raise faults.NotABook(name, say("it isn't a database file"))
    if len(head) < _HEADER:
        raise faults.BookDamaged(name, say("the file ends within its first lines"))
    if _application(head) != engines.APPLICATION_ID:
        raise faults.NotABook(name, say("it is a database of something else"))
    page = int.from_bytes(head[16:18], "big")
    expected = (65536 if page == 1 else page) * int.from_bytes(head[28:32], "big")
    wal = path.with_name(path.name + "-wal")
    pending = wal.exists() and wal.stat().st_size > 0
    if size < expected and not pending:
        raise faults.BookDamaged(
            name,
            say(
                "it is cut off ({size} bytes of the {expected} that it says it has)",
                size=size,
                expected=expected,
            ),
        )


def _file_book(path: Path, busy: float) -> Book:
    writing = engines.sqlite_engine(path, write=True, busy=busy)
    if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK):
        reading = engines.sqlite_engine(path, write=False, busy=busy)
    else:
        # Without write access to the folder the engine can't make the journal that readers and
        # writers share. Where there is none, nobody is writing and the file is read as it stands.
        shared = path.with_name(path.name + "-wal").exists()
        options = "mode=ro" if shared else "mode=ro&immutable=1"
        reading = engines.sqlite_engine(path, write=False, busy=busy, options=options)
    return Book(str(path), busy, _reading=reading, _writing=writing)


def _file_format(book: Book) -> str | None:
    with book.read() as connection:
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").first()
    return None if found is None else str(found[0])


def _same_format(book: Book, found: str | None) -> None:
    """Leave a current book alone, upgrade an older one behind a backup, refuse a newer one."""
    if found == migrations.NEWEST:
        return
    if found is None:
        raise faults.BookDamaged(book.name, say("it doesn't say which format it has"))
    if found not in migrations.FORMATS:
        raise faults.BookNewer(book.name, found, migrations.NEWEST)
    from brinebook.book import upgrade

    upgrade.upgrade(book, found)


def _prepare_file(path: Path) -> None:
    import sqlite3

    raw = sqlite3.connect(path, isolation_level=None)
    try:
        raw.execute(f"PRAGMA application_id={engines.APPLICATION_ID}")
        raw.execute("PRAGMA journal_mode=WAL")
    finally:
        raw.close()


def _create_file(path: Path, fill: Callable[[Connection], object], busy: float) -> Book:
    if path.exists() or path.is_symlink():
        raise faults.BookExists(str(path), is_book=looks_like_book(path))
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = temporary_beside(path)
    try:
        book = empty_file_book(temporary, busy=busy)
        with book.write() as connection:
            fill(connection)
        put_in_place(temporary, path)
    finally:
        remove_with_journal(temporary)
    return _file_book(path, busy)


def remove_with_journal(path: Path) -> None:
    """Remove a database file of ours and what the engine may have left beside it."""
    for suffix in ("", "-wal", "-shm", "-journal"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def _server_book(address: str, busy: float) -> Book:
    return Book(
        address,
        busy,
        _reading=engines.server_engine(address, write=False, busy=busy),
        _writing=engines.server_engine(address, write=True, busy=busy),
    )


def _server_format(connection: Connection) -> str | None:
    """The book's format; None where the database holds no book."""
    present = connection.exec_driver_sql(
        "SELECT to_regclass('systems') IS NOT NULL, to_regclass('alembic_version') IS NOT NULL"
    ).one()
    if not all(present):
        return None
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").first()
    return None if found is None else str(found[0])


def _open_server(address: str, busy: float) -> Book:
    book = _server_book(address, busy)
    with book.read() as connection:
        found = _server_format(connection)
    if found is None:
        raise faults.BookMissing(book.name)
    _same_format(book, found)
    return book


def _create_on_server(address: str, fill: Callable[[Connection], object], busy: float) -> Book:
    book = _server_book(address, busy)
    with book.write() as connection:
        # Two programs may make a book in the same database at once; the key is ours alone.
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({engines.APPLICATION_ID})")
        if _server_format(connection) is not None:
            raise faults.BookExists(book.name)
        migrations.run(connection)
        fill(connection)
    return book
