"""``brinebook undo``: take back the last thing entered."""

from __future__ import annotations

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session
from brinebook.cli.telling import fact_text, recorded_json


@click.command("undo")
@click.argument("fact", required=False)
@click.option("--whole-import", is_flag=True, help="Take back every fact of the import done last.")
@system_option
@json_option
@click.pass_obj
def command(
    session: Session, fact: str | None, *, whole_import: bool, system: str | None, as_json: bool
) -> None:
    """Take back the last thing done to FACT, or the last thing entered at all.

    \b
    brinebook undo
    brinebook undo FACT
    brinebook undo --whole-import

    An edit goes back to what was before it; an entry is withdrawn. Nothing is ever removed:
    `brinebook history --undone` still shows it.
    """
    from brinebook.desk import clock, record
    from brinebook.desk.opening import open_system

    opened = open_system(session.book, system)
    done = record.undo(opened, fact, whole_import=whole_import, now=clock.now())
    if as_json:
        output.emit_json({"undone": [recorded_json(one) for one in done]})
        return
    for one in done:
        text = fact_text(one.fact, opened.zone)
        label = "Taken back:" if one.withdrawn else "Back to what it was:"
        output.show(f"{label} {text}  ({one.fact.id})")
