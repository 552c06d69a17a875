"""Putting a copy of the book aside, and bringing one back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from brinebook.book import backup
from brinebook.book.store import open_book
from brinebook.desk.files import check_readable


@dataclass(frozen=True, slots=True)
class Copied:
    """Where a copy is, how many rows of each table it holds, and what was put aside for it."""

    place: str
    rows: Mapping[str, int]
    aside: str = ""


def back_up(address: str, place: Path | None, *, now: datetime) -> Copied:
    """Write a verified copy of the whole book (every system of it) to a new file."""
    book = open_book(address)
    if place is None:
        stem = "brinebook" if book.on_server else Path(address).name
        folder = Path() if book.on_server else Path(address).parent
        place = folder / f"{stem}.backup-{now:%Y%m%dT%H%M%SZ}"
    return Copied(str(place), backup.back_up(book, place))


def restore(source: Path, address: str, *, replace: bool = False) -> Copied:
    """Bring a copy back as the book at ``address``; with ``replace`` over a book that is there,
    which is put aside first."""
    check_readable(source)
    rows, aside = backup.restore(source, address, replace=replace)
    return Copied(str(address), rows, aside)
