"""``brinebook backup``: put a copy of the book aside."""

from __future__ import annotations

from pathlib import Path

import click

from brinebook.cli import output
from brinebook.cli.options import json_option
from brinebook.cli.session import Session


@click.command("backup")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="The same as FILE.")
@json_option
@click.pass_obj
def command(session: Session, *, file: Path | None, out: Path | None, as_json: bool) -> None:
    """Put a copy of the whole book aside, and read it back to be sure of it.

    \b
    brinebook backup
    brinebook backup /media/stick/reef.backup

    Without FILE it is put beside the book, with the time in its name. From PostgreSQL too the copy
    is one file, itself a book; `brinebook restore` brings it back on either engine.
    """
    from brinebook.desk import clock, copies

    if file is not None and out is not None:
        raise click.UsageError("Name the file once.")
    done = copies.back_up(session.book, file or out, now=clock.now())
    if as_json:
        output.emit_json({"backup": done.place, "rows": dict(done.rows)})
        return
    output.show(f"Copied to {done.place} and read back: {done.rows['facts']} rows of facts.")
