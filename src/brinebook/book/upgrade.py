"""From an older format to the newest: first a backup, then every step in one transaction."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.book import engines, migrations, schema

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from brinebook.book.store import Book


def upgrade(book: Book, found: str) -> str:
    """Bring a book of format ``found`` to the newest; return where the old one was put aside."""
    place = ""
    if not book.on_server:
        place = str(_copy_beside(Path(book.address), found))
    with book.write() as connection:
        if book.on_server:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({engines.APPLICATION_ID})")
        now = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one()
        if now == migrations.NEWEST:  # another program was quicker
            return ""
        if book.on_server:
            place = copy_schema(connection, f"before_{migrations.NEWEST}_from_{found}")
        migrations.run(connection)
    return place


def _copy_beside(path: Path, found: str) -> Path:
    """A copy of the file, with everything that is still in its journal."""
    copy = free_name(path, f"before-format-{migrations.NEWEST}-from-{found}")
    with (
        closing(sqlite3.connect(path)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)
    return copy


def free_name(path: Path, word: str) -> Path:
    """A name beside the file that says why the copy was made, and that nothing has yet."""
    candidate = path.with_name(f"{path.name}.{word}")
    number = 1
    while candidate.exists():
        number += 1
        candidate = path.with_name(f"{path.name}.{word}-{number}")
    return candidate


def copy_schema(connection: Connection, word: str) -> str:
    """A copy of every table of the book in a new schema of the same database; its name."""
    from sqlalchemy import inspect

    inspector = inspect(connection)
    taken = set(inspector.get_schema_names())
    name = f"brinebook_{word}"
    number = 1
    while name in taken:
        number += 1
        name = f"brinebook_{word}_{number}"
    connection.exec_driver_sql(f'CREATE SCHEMA "{name}"')
    for table in inspector.get_table_names():
        if table in _BOOK_TABLES:
            connection.exec_driver_sql(f'CREATE TABLE "{name}"."{table}" AS TABLE "{table}"')
    return name


_BOOK_TABLES = frozenset({*schema.metadata.tables, "alembic_version"})
