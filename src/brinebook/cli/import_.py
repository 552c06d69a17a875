"""``brinebook import``: bring in a past from a file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.transfer import Imported


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--probes", is_flag=True, help="The file is a probes.csv.")
@click.option("--skip-bad", is_flag=True, help="Leave out rows that can't be read, and list them.")
@click.option("--by", metavar="NAME", default="", help="Who brings it in.")
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    file: Path,
    *,
    probes: bool,
    skip_bad: bool,
    by: str,
    system: str | None,
    as_json: bool,
) -> None:
    """Bring in a past from FILE, all or nothing.

    \b
    brinebook import history.csv
    brinebook import history.csv --skip-bad
    brinebook import --probes probes.csv

    FILE is a history.csv (or, with --probes, a probes.csv). Importing it twice adds nothing. Rows
    that can't be read are all named at once, and then nothing is imported unless --skip-bad.
    """
    from brinebook.desk import clock, transfer
    from brinebook.desk.opening import open_system

    opened = open_system(session.book, system)
    if probes:
        with _progress(file) as progress:
            done = transfer.import_probes(
                opened, file, now=clock.now(), skip_bad=skip_bad, progress=progress
            )
    else:
        done = transfer.import_history(opened, file, now=clock.now(), skip_bad=skip_bad, by=by)
    _remark(done)
    if as_json:
        output.emit_json(_answer(done, opened.system.name))
        return
    noun = "readings" if probes else "facts"
    output.show(f"{done.added} {noun} added to {opened.system.name}.")
    if done.known or done.repeated:
        output.show(f"{done.known + done.repeated} were in the book or the file already.")
    if done.skipped:
        output.show(f"{done.skipped_rows} rows left out.")


def _remark(done: Imported) -> None:
    for row in done.skipped:
        output.say(f"Left out: {row.sentence}")
    for remark in done.remarks:
        output.say(remark)


def _answer(done: Imported, name: str) -> dict[str, object]:
    return {
        "system": name,
        "added": done.added,
        "known": done.known,
        "repeated": done.repeated,
        "skipped": [
            {"line": row.line, "column": row.column, "value": row.value, "reason": row.reason}
            for row in done.skipped
        ],
        "remarks": list(done.remarks),
    }


@contextmanager
def _progress(file: Path) -> Iterator[Callable[[int], None] | None]:
    """A progress bar on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty() or not file.is_file():
        yield None
        return
    with click.progressbar(
        length=file.stat().st_size, label=f"Reading {file.name}", file=sys.stderr
    ) as bar:
        yield bar.update
