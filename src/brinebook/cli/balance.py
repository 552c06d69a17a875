"""``brinebook balance``: what is in the water, how fast it is used, where it is going."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.options import at_option, json_option, known_option, system_option
from brinebook.cli.output import emit_json, show
from brinebook.cli.session import Session


@click.command("balance")
@at_option
@known_option
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """What is in the water now, how sure that is, what the reef uses, and what not to believe.

    \b
    brinebook balance
    brinebook balance --at 2026-03-01T09:00 --json
    """
    from brinebook.desk.assess import assess
    from brinebook.report.answer_json import answer_json
    from brinebook.report.answer_text import answer_lines
    from brinebook.report.shown import shown_units

    found = assess(session.book, system, at=at, known=known)
    if as_json:
        emit_json(answer_json(found.answer))
        return
    loaded = found.loaded
    units = shown_units(loaded.system, loaded.facts)
    for line in answer_lines(found.answer, loaded.zone, units, loaded.system.name):
        show(line)
