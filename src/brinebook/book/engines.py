"""One SQLAlchemy engine a purpose, and every engine failure as one of our own errors."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from brinebook.book import faults
from brinebook.texts import say

if TYPE_CHECKING:
    from sqlalchemy import Engine

#: How long a writer waits for another one (the contract's 10 s).
BUSY_SECONDS = 10.0
#: "BRNE": stands in the SQLite header, so that `file` and we can tell a book from any database.
APPLICATION_ID = 0x42524E45

_SERVER_SCHEMES = ("postgresql://", "postgres://", "postgresql+psycopg://")
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


def is_server(address: str) -> bool:
    """Whether the address names a PostgreSQL database rather than a file."""
    return address.startswith(_SERVER_SCHEMES)


def shown(address: str) -> str:
    """The address without its password, for messages."""
    scheme, mark, rest = address.partition("://")
    if not mark or "@" not in rest:
        return address
    account, _, place = rest.rpartition("@")
    return f"{scheme}://{account.partition(':')[0]}@{place}"


def sqlite_engine(path: Path, *, write: bool, busy: float, options: str = "mode=rw") -> Engine:
    """An engine over one file: writing in BEGIN IMMEDIATE transactions, or only reading."""
    from sqlalchemy import create_engine, event
    from sqlalchemy.pool import NullPool

    uri = f"file:{quote(str(path))}?{options}"

    def connect() -> sqlite3.Connection:
        # Autocommit: transactions begin where we say so, and nowhere else.
        raw = sqlite3.connect(
            uri, uri=True, timeout=busy, isolation_level=None, check_same_thread=False
        )
        try:
            raw.execute("PRAGMA foreign_keys=ON")
            raw.execute("PRAGMA synchronous=FULL" if write else "PRAGMA query_only=ON")
        except BaseException:
            raw.close()
            raise
        return raw

    engine = create_engine("sqlite+pysqlite://", creator=connect, poolclass=NullPool)
    begin = "BEGIN IMMEDIATE" if write else "BEGIN"

    @event.listens_for(engine, "begin")
    def _begin(connection: object) -> None:
        connection.exec_driver_sql(begin)  # type: ignore[attr-defined]

    return engine


def server_engine(address: str, *, write: bool, busy: float) -> Engine:
    """An engine over a PostgreSQL database; a reader sees one unchanging state of it."""
    from sqlalchemy import create_engine, event
    from sqlalchemy.exc import ArgumentError
    from sqlalchemy.pool import NullPool

    url = "postgresql+psycopg://" + address.partition("://")[2]
    try:
        engine = create_engine(
            url,
            poolclass=NullPool,
            isolation_level="READ COMMITTED" if write else "REPEATABLE READ",
            connect_args={
                "connect_timeout": 10,
                "options": f"-c lock_timeout={max(1, int(busy * 1000))} -c timezone=UTC",
            },
        )
    except ModuleNotFoundError as error:
        raise faults.DriverMissing from error
    except (ArgumentError, ValueError) as error:
        raise faults.ServerTrouble(
            shown(address), say("the address can't be read ({error})", error=error)
        ) from None

    if not write:

        @event.listens_for(engine, "begin")
        def _read_only(connection: object) -> None:
            connection.exec_driver_sql("SET TRANSACTION READ ONLY")  # type: ignore[attr-defined]

    return engine


@contextmanager
def translated(address: str, *, busy: float = BUSY_SECONDS) -> Iterator[None]:
    """Turn what the engines and the file system raise into errors that a person can act on."""
    from sqlalchemy.exc import DBAPIError

    try:
        yield
    except DBAPIError as error:
        raise _explained(error.orig, address, busy=busy) or error from error
    except sqlite3.Error as error:
        raise _explained(error, address, busy=busy) or error from error
    except OSError as error:
        raise of_system_error(error, address) from error


def of_system_error(error: OSError, address: str) -> Exception:
    """The error of ours that a refusal by the file system amounts to."""
    if error.errno in _FULL:
        return faults.NoRoomLeft(address)
    return faults.BookUnwritable(address, (error.strerror or str(error)).lower())


def _explained(error: BaseException | None, address: str, *, busy: float) -> Exception | None:
    where = shown(address)
    if isinstance(error, sqlite3.Error):
        return _explained_sqlite(error, where, busy)
    if error is not None and hasattr(error, "sqlstate"):
        return _explained_server(error, where, busy)
    return None


def _explained_sqlite(error: sqlite3.Error, where: str, busy: float) -> Exception | None:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return faults.BookLocked(where, busy)
    if code in {sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR}:
        return faults.NoRoomLeft(where)
    if code in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM}:
        return faults.BookUnwritable(where)
    if code == sqlite3.SQLITE_NOTADB:
        return faults.NotABook(where, say("it isn't a database file"))
    if code == sqlite3.SQLITE_CORRUPT or "no such table" in str(error):
        return faults.BookDamaged(where, str(error))
    return None


def _explained_server(error: BaseException, where: str, busy: float) -> Exception:
    state = str(getattr(error, "sqlstate", None) or "")
    why = (str(error).strip().splitlines() or [say("it went away")])[0]
    # Classes of SQLSTATE: PostgreSQL's documentation, appendix A.
    if state in {"55P03", "40001", "40P01"}:
        return faults.BookLocked(where, busy)
    if state.startswith("53"):
        return faults.NoRoomLeft(where)
    if state in {"25006", "42501"}:
        return faults.BookUnwritable(where, why)
    if state in {"42P01", "42703"} or state.startswith("XX"):
        return faults.BookDamaged(where, why)
    return faults.ServerTrouble(where, why)
