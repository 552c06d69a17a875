"""Small things the book remembers for its doors, by key: of a system, or ("") of the whole book."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from brinebook.book.schema import settings

if TYPE_CHECKING:
    from sqlalchemy import Connection

WHOLE_BOOK = ""


def read_setting(connection: Connection, key: str, *, system_id: str = WHOLE_BOOK) -> str | None:
    """The value under a key; None where nothing was set."""
    query = select(settings.c.value).where(settings.c.system_id == system_id, settings.c.key == key)
    found = connection.execute(query).scalar()
    return None if found is None else str(found)


def write_setting(
    connection: Connection, key: str, value: str, *, now_us: int, system_id: str = WHOLE_BOOK
) -> None:
    """Set a key, in place of what stood there."""
    connection.execute(
        delete(settings).where(settings.c.system_id == system_id, settings.c.key == key)
    )
    row = {"system_id": system_id, "key": key, "value": value, "set_us": now_us}
    connection.execute(insert(settings), [row])
