"""One photo a fact, by its chain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from brinebook.book.schema import photos

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Connection


def write_photo(
    connection: Connection,
    system_id: str,
    chain: str,
    *,
    content: bytes,
    small: bytes,
    size: tuple[int, int],
    added: tuple[int, str],
) -> None:
    """Keep a photo, in place of the one that was there."""
    remove_photo(connection, system_id, chain)
    row = {
        "system_id": system_id,
        "chain": chain,
        "content": content,
        "small": small,
        "width": size[0],
        "height": size[1],
        "added_us": added[0],
        "added_by": added[1],
    }
    connection.execute(insert(photos), [row])


def remove_photo(connection: Connection, system_id: str, chain: str) -> None:
    """Drop a photo, if there is one."""
    connection.execute(delete(photos).where(_of(system_id, chain)))


def read_photo(
    connection: Connection, system_id: str, chain: str, *, small: bool = False
) -> bytes | None:
    """The picture; None where there is none."""
    column = photos.c.small if small else photos.c.content
    found = connection.execute(select(column).where(_of(system_id, chain))).scalar()
    return None if found is None else bytes(found)


def photo_size(connection: Connection, system_id: str, chain: str) -> tuple[int, int] | None:
    """Width and height in pixels; None where there is no photo."""
    query = select(photos.c.width, photos.c.height).where(_of(system_id, chain))
    row = connection.execute(query).first()
    return None if row is None else (row[0], row[1])


def _of(system_id: str, chain: str) -> ColumnElement[bool]:
    return (photos.c.system_id == system_id) & (photos.c.chain == chain)
