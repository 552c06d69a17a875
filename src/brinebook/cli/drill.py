"""``brinebook drill``: what if a part of the rig fails."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from brinebook.cli import output
from brinebook.cli.rig import rig_options
from brinebook.cli.session import Session


@click.command()
@click.argument("drill_id", metavar="[ID]", required=False)
@click.option("--ids", is_flag=True, help="List the ids only, each with its title.")
@rig_options
@click.pass_obj
def command(
    session: Session,
    *,
    drill_id: str | None,
    ids: bool,
    file: Path | None,
    at: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Drill every failure of the described rig, and the pairs that feed each other; worst first.

    \b
    brinebook drill
    brinebook drill top-off-stuck-on
    brinebook drill --file system.toml --json

    With an ID, one of them by the hour: what comes of it, what shows it first, what would help.
    """
    from brinebook.desk import drill, drill_json, drill_words

    found = drill.drill(session.book, system, at=at, file=file)
    one = None if drill_id is None else drill.one_of(found, drill_id)
    if as_json:
        output.emit_json(
            drill_json.drilled_json(found) if one is None else drill_json.drill_json(one)
        )
        return
    lines = (
        drill_words.drilled_lines(found)
        if one is None
        else drill_words.drill_lines(one, found.asked.system)
    )
    for line in drill_words.id_lines(found) if ids and one is None else lines:
        output.show(line)
