"""``brinebook new``: start a book."""

from __future__ import annotations

from pathlib import Path

import click

from brinebook.cli import output
from brinebook.cli.options import json_option
from brinebook.cli.session import Session


@click.command("new")
@click.option(
    "--system",
    "file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    required=True,
    help="What the system is: a system.toml.",
)
@click.option("--also", is_flag=True, help="Add the system to a book that is there.")
@click.option("--by", metavar="NAME", default="", help="Who describes it.")
@json_option
@click.pass_obj
def command(session: Session, *, file: Path, also: bool, by: str, as_json: bool) -> None:
    """Start a book for the system that a system.toml describes.

    \b
    brinebook --book reef.book new --system system.toml

    Only `name` is required in it; docs/system-toml.md shows the rest. A book that is there is never
    covered.
    """
    from brinebook.desk import clock, describing

    place = describing.shown_address(session.book)
    done = describing.new_book(session.book, file, now=clock.now(), by=by, also=also)
    for warning in done.warnings:
        output.say(warning)
    if as_json:
        output.emit_json(
            {
                "book": place,
                "system": done.system.name,
                "assumed": list(done.system.assumed),
                "warnings": list(done.warnings),
            }
        )
        return
    output.show(f"{place} is ready, for {done.system.name}.")
    for sentence in done.system.assumed:
        output.show(f"  {sentence}")
