"""Bringing a past in from files and writing it out again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from brinebook.book import facts as stored
from brinebook.book.history_csv import BadRow, BadRows, read_history, write_history
from brinebook.book.identity import to_us
from brinebook.book.revise import renamed
from brinebook.book.systems import Entered, hold
from brinebook.desk.files import FileMissing, check_readable, read_file
from brinebook.desk.opening import OpenSystem
from brinebook.texts import say
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did. ``known`` rows were in the book already, in some form; ``repeated``
    stood twice in the file; ``skipped`` could not be read."""

    added: int
    known: int
    repeated: int
    skipped: tuple[BadRow, ...]
    remarks: tuple[str, ...] = ()

    @property
    def skipped_rows(self) -> int:
        """How many rows of the file were left out."""
        return len({row.line for row in self.skipped})


def import_history(
    opened: OpenSystem, path: Path, *, now: datetime, skip_bad: bool = False, by: str = ""
) -> Imported:
    """Bring a history.csv into the book, all of it or (with bad rows) nothing.

    Raises HeaderWrong, or BadRows with every bad row unless ``skip_bad``.
    """
    history = read_history(read_file(path), zone=opened.zone, now=now)
    if history.bad and not skip_bad:
        raise BadRows(history.bad)
    with opened.book.write() as connection:
        hold(connection, opened.system_id)
        entered = stored.next_entry(
            connection,
            opened.system_id,
            entered=Entered(to_us(now), by, f"import {path.name}"),
        )
        there = stored.all_ids(connection, opened.system_id)
        new = [fact for fact in history.facts if fact.id not in there]
        new = _naming_today(connection, opened.system_id, new, there)
        added = stored.append_new(connection, opened.system_id, new, entered=entered)
    known = len(history.facts) - added
    return Imported(added, known, history.repeated, history.bad, history.remarks)


def _naming_today(
    connection: Connection, system_id: str, new: list[Fact], there: set[str]
) -> list[Fact]:
    """Verdicts on what a fact was before an edit turned to what it is now, known ones left out."""
    earlier = [fact.what for fact in new if fact.kind == "verdict" and fact.what in there]
    if not earlier:
        return new
    named = stored.ids_today(connection, system_id, sorted(set(earlier)))
    kept: dict[str, Fact] = {}
    for fact in new:
        if fact.kind == "verdict" and fact.what in named:
            turned = renamed(fact, named[fact.what])
            if turned.id not in there:
                kept.setdefault(turned.id, turned)
        else:
            kept.setdefault(fact.id, fact)
    return list(kept.values())


def import_probes(
    opened: OpenSystem,
    path: Path,
    *,
    now: datetime,
    skip_bad: bool = False,
    progress: Callable[[int], None] | None = None,
) -> Imported:
    """Bring a probes.csv into the book, streamed, all of it or nothing."""
    from brinebook.book import probes_csv

    check_readable(path)
    if path.is_dir():
        raise FileMissing(path, say("it is a folder"))
    with opened.book.write() as connection:
        hold(connection, opened.system_id)
        done = probes_csv.import_probes(
            connection,
            opened.system_id,
            path,
            zone=opened.zone,
            now=now,
            skip_bad=skip_bad,
            progress=progress,
        )
    return Imported(done.added, done.read - done.added, 0, done.bad)


def export_history(opened: OpenSystem) -> Iterator[str]:
    """The lines of a history.csv with every fact that stands."""
    with opened.book.read() as connection:
        found = stored.current(connection, opened.system_id)
    yield from write_history(found)


def export_probes(opened: OpenSystem) -> Iterator[str]:
    """The lines of a probes.csv with every reading."""
    from brinebook.book import probes_csv

    with opened.book.read() as connection:
        yield from probes_csv.export_probes(connection, opened.system_id)
