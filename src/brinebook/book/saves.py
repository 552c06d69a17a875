"""Which forms were saved: a form that is sent twice finds what became of it the first time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from brinebook.book.schema import saves

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: A form this old is not sent again by any browser, in microseconds (90 days).
KEPT_US = 90 * 86_400 * 1_000_000


def saved_chains(connection: Connection, system_id: str, key: str) -> tuple[str, ...] | None:
    """The chains that the form of this key was saved as; None where it wasn't yet."""
    query = select(saves.c.chains).where(saves.c.system_id == system_id, saves.c.key == key)
    found = connection.execute(query).scalar()
    return None if found is None else tuple(str(found).split())


def note_save(
    connection: Connection, system_id: str, key: str, *, chains: Sequence[str], now_us: int
) -> None:
    """Remember in the writer's own transaction what the form of this key became."""
    connection.execute(
        delete(saves).where(saves.c.system_id == system_id, saves.c.saved_us < now_us - KEPT_US)
    )
    row = {"system_id": system_id, "key": key, "chains": " ".join(chains), "saved_us": now_us}
    connection.execute(insert(saves), [row])
