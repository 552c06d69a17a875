"""The systems of a book and the revisions of their descriptions."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select, update

from brinebook.book import faults
from brinebook.book.schema import descriptions, systems

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class SystemRow:
    """A system of the book: its key there, which means nothing elsewhere, and its name."""

    system_id: str
    name: str


@dataclass(frozen=True, slots=True)
class Entered:
    """When something was entered, in microseconds since 1970 UTC; by whom; and through what."""

    at_us: int
    by: str = ""
    through: str = ""


def all_systems(connection: Connection) -> Sequence[SystemRow]:
    """Every system of the book, by name."""
    rows = connection.execute(select(systems.c.system_id, systems.c.name).order_by(systems.c.name))
    return [SystemRow(*row) for row in rows]


def one_system(connection: Connection, name: str | None) -> SystemRow:
    """The system that is meant: by name, or the only one.

    Raises SystemUnknown, or SystemNeeded where there are several and none is named.
    """
    if name is not None:
        row = connection.execute(
            select(systems.c.system_id, systems.c.name).where(systems.c.name == name)
        ).first()
        if row is not None:
            return SystemRow(*row)
    found = all_systems(connection)
    if name is not None or not found:
        raise faults.SystemUnknown(name or "", [one.name for one in found])
    if len(found) > 1:
        raise faults.SystemNeeded([one.name for one in found])
    return found[0]


def hold(connection: Connection, system_id: str) -> None:
    """Keep other writers away from this system until the transaction ends.

    SQLite's BEGIN IMMEDIATE does that for the whole book; PostgreSQL locks the system's row.
    """
    connection.execute(
        select(systems.c.system_id).where(systems.c.system_id == system_id).with_for_update()
    )


def add_system(connection: Connection, name: str, *, text: str, entered: Entered) -> SystemRow:
    """Put a new system with its first description into the book. Raises SystemTaken."""
    if any(one.name == name for one in all_systems(connection)):
        raise faults.SystemTaken(name)
    row = SystemRow(secrets.token_hex(8), name)
    connection.execute(
        insert(systems).values(system_id=row.system_id, name=name, entered_us=entered.at_us)
    )
    _append(connection, row.system_id, text=text, entered=entered, revision=1)
    return row


def describe_again(
    connection: Connection, row: SystemRow, *, name: str, text: str, entered: Entered
) -> int:
    """Append a new revision of a system's description; return its number."""
    hold(connection, row.system_id)
    if name != row.name:
        if any(one.name == name for one in all_systems(connection)):
            raise faults.SystemTaken(name)
        connection.execute(
            update(systems).where(systems.c.system_id == row.system_id).values(name=name)
        )
    last = connection.execute(
        select(func.max(descriptions.c.revision)).where(descriptions.c.system_id == row.system_id)
    ).scalar_one()
    _append(connection, row.system_id, text=text, entered=entered, revision=last + 1)
    return int(last) + 1


def description(connection: Connection, system_id: str, *, known_us: int | None = None) -> str:
    """The description as the keeper wrote it: the newest, or the one known at an instant.

    What was described later than ``known_us`` is left out; the first description always counts,
    since a system is never without one.
    """
    query = (
        select(descriptions.c.text)
        .where(descriptions.c.system_id == system_id)
        .order_by(descriptions.c.revision.desc())
        .limit(1)
    )
    if known_us is not None:
        query = query.where(
            (descriptions.c.entered_us <= known_us) | (descriptions.c.revision == 1)
        )
    return str(connection.execute(query).scalar_one())


def _append(
    connection: Connection, system_id: str, *, text: str, entered: Entered, revision: int
) -> None:
    connection.execute(
        insert(descriptions).values(
            system_id=system_id,
            revision=revision,
            text=text,
            entered_us=entered.at_us,
            entered_by=entered.by,
            entered_through=entered.through,
        )
    )
