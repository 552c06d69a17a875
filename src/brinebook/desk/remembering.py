"""What the balance decided of earlier chapters: taken from the book, and left there for next time.

Nothing here changes an answer. What is kept rests on a fingerprint of the facts behind it, and on
the very program that reckoned it.
"""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook import __version__
from brinebook.book import facts as stored
from brinebook.book.identity import to_us
from brinebook.book.kept import read_kept, write_kept
from brinebook.desk import clock
from brinebook.desk.opening import Loaded

if TYPE_CHECKING:
    from brinebook.balance.decided import Decided
    from brinebook.balance.estimate import SeasonEstimate

_KIND = "chapter"
#: Answers about the past leave chapters behind that the newest answer doesn't need: so many.
_MOST_SPARE = 1500


class Memory:
    """The chapters that were kept of one system; each is read only when it is asked for."""

    def __init__(self, rows: Mapping[str, bytes]) -> None:
        self.rows = rows

    def get(self, key: str, /) -> Decided | None:
        """The chapter of that key; None where there is none that can be read."""
        from brinebook.balance.keeping import decode

        content = self.rows.get(key)
        return None if content is None else decode(key, content)


def recall(loaded: Loaded) -> Memory:
    """What this program has kept of the system."""
    return Memory(read_kept(loaded.book, loaded.opened.system_id, _KIND, program=program()))


def keep(loaded: Loaded, memory: Memory, seasons: Iterable[SeasonEstimate]) -> None:
    """Keep what is new in an answer, and drop what the newest answer no longer rests on.

    An answer about a past time drops nothing while there is room, and one from facts as they were
    known at an earlier time is never kept: neither may spoil the memory of the newest.
    """
    from brinebook.balance.keeping import encode

    if loaded.known is not None:
        return
    needed = {key for season in seasons for key in season.chapters}
    new = {key: encode(key, chapter) for season in seasons for key, chapter in season.fresh.items()}
    gone = memory.rows.keys() - needed
    if len(gone) <= _MOST_SPARE and (new or gone) and _is_of_the_past(loaded):
        gone = set()
    if new or gone:
        write_kept(
            loaded.book,
            loaded.opened.system_id,
            _KIND,
            new,
            program=program(),
            gone=gone,
            now_us=to_us(clock.now()),
        )


def _is_of_the_past(loaded: Loaded) -> bool:
    with loaded.book.read() as connection:
        return stored.any_after(connection, loaded.opened.system_id, to_us(loaded.at))


@cache
def program() -> str:
    """The release, the text of its estimator, and what it reckons with: to the last bit.

    So nobody who changes the estimator is shown what an earlier form of it made of the facts.
    """
    import numpy as np

    import brinebook

    digest = hashlib.blake2b(digest_size=8)
    home = Path(brinebook.__file__).parent
    for room in ("balance", "water"):
        for path in sorted((home / room).rglob("*.py")):
            digest.update(path.relative_to(home).as_posix().encode() + b"\0" + path.read_bytes())
    machine = f"{platform.system()} {platform.machine()} {platform.python_version()}"
    return f"{__version__} {digest.hexdigest()} numpy {np.__version__} {machine}"
