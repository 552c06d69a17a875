"""The book's formats, oldest first. `run` brings a book to the newest in the caller's transaction.

Alembic is imported only when a book is made or upgraded: opening a current one does without.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: Every format that this release can read, oldest first. A new migration adds its revision here.
FORMATS = ("0001", "0002", "0003", "0004")
NEWEST = FORMATS[-1]


def run(connection: Connection, *, to: str = NEWEST) -> None:
    """Run the migrations up to format ``to`` inside the transaction that ``connection`` is in."""
    from pathlib import Path

    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    script = ScriptDirectory(str(Path(__file__).parent))

    def steps(revision: object, _context: MigrationContext) -> list[object]:
        return list(script._upgrade_revs(to, revision))  # type: ignore[arg-type]

    with EnvironmentContext(Config(), script, fn=steps, destination_rev=to) as environment:
        environment.configure(connection=connection, transactional_ddl=True)
        with environment.begin_transaction():
            environment.run_migrations()
