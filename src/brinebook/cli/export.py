"""``brinebook export``: write the book out in plain files."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from brinebook.cli import output
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.opening import OpenSystem


@click.command("export")
@click.option("--csv", "form", flag_value="csv", default=True, help="Facts, as history.csv.")
@click.option("--probes", "form", flag_value="probes", help="Probe readings, as probes.csv.")
@click.option("--system", "form", flag_value="system", help="What the system is, as system.toml.")
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Not stdout: a file.")
@click.pass_obj
def command(session: Session, *, form: str, out: Path | None) -> None:
    """Write the book out in plain files.

    \b
    brinebook export --csv --out history.csv
    brinebook export --probes --out probes.csv
    brinebook export --system > system.toml

    What is written imports again to the same book. Where the book holds several systems, name one
    before the command: brinebook --system NAME export …
    """
    from brinebook.desk.opening import open_system

    opened = open_system(session.book, session.system)
    lines = _lines(opened, form)
    if out is None:
        for line in lines:
            sys.stdout.write(line)
        return
    from brinebook.desk.files import write_file

    write_file(out, lines)
    output.say(f"Written to {out}.")


def _lines(opened: OpenSystem, form: str) -> Iterator[str]:
    if form == "system":
        yield opened.text
        return
    from brinebook.desk import transfer

    yield from (
        transfer.export_probes(opened) if form == "probes" else transfer.export_history(opened)
    )
