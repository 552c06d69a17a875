"""``brinebook restore``: bring a book back from a copy."""

from __future__ import annotations

from pathlib import Path

import click

from brinebook.cli import output
from brinebook.cli.options import json_option
from brinebook.cli.session import Session


@click.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Over a book that is there; that is put aside first.")
@json_option
@click.pass_obj
def command(session: Session, *, file: Path, replace: bool, as_json: bool) -> None:
    """Bring a book back from FILE, a copy that `brinebook backup` made.

    \b
    brinebook --book reef.book restore reef.book.backup-20260301T090000Z

    The copy is read, checked and left as it is.
    """
    from brinebook.desk import copies, describing

    done = copies.restore(file, session.book, replace=replace)
    place = describing.shown_address(session.book)
    if as_json:
        output.emit_json({"book": place, "rows": dict(done.rows), "aside": done.aside or None})
        return
    output.show(f"{place} is as it was in {file}: {done.rows['facts']} rows of facts.")
    if done.aside:
        output.show(f"What was there before is kept as {done.aside}.")
