"""From an older format to the newest: first a backup, then every step in one transaction."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.book import engines, migrations

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from brinebook.book.store import Book


def upgrade(book: Book, found: str) -> str:
    """Bring a book of format ``found`` to the newest; return where the old one was put aside."""
    if not book.on_server:
        place = str(_copy_beside(Path(book.address), found))
    with book.write() as connection:
        if book.on_server:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({engines.APPLICATION_ID})")
        now = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one()
        if now == migrations.NEWEST:  # another program was quicker
            return ""
        if book.on_server:
            place = _copy_schema(connection, found)
        migrations.run(connection)
    return place


def _copy_beside(path: Path, found: str) -> Path:
    """A copy of the file, with everything that is still in its journal."""
    copy = _free_name(path, f"before-format-{migrations.NEWEST}-from-{found}")
    with (
        closing(sqlite3.connect(path)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)
    return copy


def _free_name(path: Path, word: str) -> Path:
    candidate = path.with_name(f"{path.name}.{word}")
    number = 1
    while candidate.exists():
        number += 1
        candidate = path.with_name(f"{path.name}.{word}-{number}")
    return candidate


def _copy_schema(connection: Connection, found: str) -> str:
    """A copy of every table of the book in a schema of its own, in the same database."""
    from sqlalchemy import inspect

    inspector = inspect(connection)
    taken = set(inspector.get_schema_names())
    name = f"brinebook_before_{migrations.NEWEST}_from_{found}"
    number = 1
    while name in taken:
        number += 1
        name = f"brinebook_before_{migrations.NEWEST}_from_{found}_{number}"
    tables = inspector.get_table_names()
    connection.exec_driver_sql(f'CREATE SCHEMA "{name}"')
    for table in tables:
        if table in _BOOK_TABLES:
            connection.exec_driver_sql(f'CREATE TABLE "{name}"."{table}" AS TABLE "{table}"')
    return name


_BOOK_TABLES = frozenset(
    {"systems", "descriptions", "facts", "probes", "probe_readings", "kept", "alembic_version"}
)
