"""A cache for what is dear to compute. It is never trusted without its fingerprint."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from brinebook import __version__
from brinebook.book.schema import kept
from brinebook.errors import BookProblem

if TYPE_CHECKING:
    from brinebook.book.store import Book

_log = logging.getLogger(__name__)


def read_kept(book: Book, system_id: str, key: str, *, fingerprint: str | None) -> bytes | None:
    """What was kept under ``key`` by this release, if its fingerprint is the same; else None.

    With ``fingerprint=None`` the caller looks for itself whether the content still holds.
    """
    query = select(kept.c.content).where(
        kept.c.system_id == system_id, kept.c.key == key, kept.c.program == __version__
    )
    if fingerprint is not None:
        query = query.where(kept.c.fingerprint == fingerprint)
    with book.read() as connection:
        found = connection.execute(query).scalar()
    return None if found is None else bytes(found)


def write_kept(
    book: Book, system_id: str, key: str, *, fingerprint: str, content: bytes, now_us: int
) -> bool:
    """Keep ``content`` under ``key`` in place of what was there; False where that can't be done.

    A book that is read-only, full or busy still answers: only slower the next time.
    """
    row = {
        "system_id": system_id,
        "key": key,
        "fingerprint": fingerprint,
        "program": __version__,
        "content": content,
        "kept_us": now_us,
    }
    try:
        with book.write() as connection:
            connection.execute(delete(kept).where(kept.c.system_id == system_id, kept.c.key == key))
            connection.execute(insert(kept), [row])
    except BookProblem as problem:
        _log.info("nothing kept of %s: %s", key, problem.message)
        return False
    return True
