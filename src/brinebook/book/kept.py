"""What is dear to compute, kept beside the facts it came from. It may be thrown away at any time.

A row is known by a fingerprint of all that it rests on, and by the program that made it. Only rows
of the very same program are given out.
"""

from __future__ import annotations

import logging
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select
from sqlalchemy.exc import SQLAlchemyError

from brinebook.book import store
from brinebook.book.schema import kept
from brinebook.book.systems import hold
from brinebook.errors import BookProblem

if TYPE_CHECKING:
    from brinebook.book.store import Book

_log = logging.getLogger(__name__)
#: An answer isn't held up for what only makes the next one quicker.
_PATIENCE_SECONDS = 0.3


def read_kept(book: Book, system_id: str, kind: str, *, program: str) -> dict[str, bytes]:
    """What this program has kept of one kind, by fingerprint; nothing where it can't be read."""
    query = select(kept.c.fingerprint, kept.c.content).where(
        kept.c.system_id == system_id,
        kept.c.key.startswith(f"{kind}:", autoescape=True),
        kept.c.program == program,
    )
    try:
        with book.read() as connection:
            return {row[0]: bytes(row[1]) for row in connection.execute(query)}
    except (BookProblem, SQLAlchemyError) as problem:
        _log.info("nothing read of what was kept: %s", problem)
        return {}


def write_kept(
    book: Book,
    system_id: str,
    kind: str,
    new: Mapping[str, bytes],
    *,
    program: str,
    gone: Collection[str],
    now_us: int,
) -> bool:
    """Keep ``new`` (by fingerprint), drop ``gone`` and whatever another program kept of the kind.

    False where that can't be done: a book that is read-only, full or busy still answers, only
    slower the next time.
    """
    rows = [
        {
            "system_id": system_id,
            "key": f"{kind}:{fingerprint}",
            "fingerprint": fingerprint,
            "program": program,
            "content": content,
            "kept_us": now_us,
        }
        for fingerprint, content in new.items()
    ]
    mine = kept.c.system_id == system_id
    of_kind = kept.c.key.startswith(f"{kind}:", autoescape=True)
    dropped = [f"{kind}:{fingerprint}" for fingerprint in (*new, *gone)]
    try:
        hasty = store.open_book(book.address, busy=min(book.busy, _PATIENCE_SECONDS))
        with hasty.write() as connection:
            hold(connection, system_id)
            connection.execute(delete(kept).where(mine, of_kind, kept.c.program != program))
            for start in range(0, len(dropped), 500):  # SQLite bounds a statement's variables
                some = dropped[start : start + 500]
                connection.execute(delete(kept).where(mine, kept.c.key.in_(some)))
            if rows:
                connection.execute(insert(kept), rows)
    except (BookProblem, SQLAlchemyError) as problem:
        _log.info("nothing kept: %s", problem)
        return False
    return True
