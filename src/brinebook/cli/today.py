"""``brinebook today``: is anything wrong, is anything to be done, and when to look again."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.options import at_option, json_option, known_option, system_option
from brinebook.cli.output import emit_json, show
from brinebook.cli.session import Session


@click.command("today")
@click.option("--why", metavar="QUANTITY", help="Unfold one quantity: inputs, equation, sources.")
@at_option
@known_option
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    *,
    why: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """What needs you today, if anything, what it rests on, and when to look again.

    \b
    brinebook today
    brinebook today --at 2026-03-01T09:00
    brinebook today --why alkalinity
    """
    from brinebook.desk.assess import known_quantity
    from brinebook.desk.daily import read_day
    from brinebook.report.answer_text import today_lines
    from brinebook.report.today_json import today_json
    from brinebook.report.why import why_lines

    day = read_day(session.book, system, at=at, known=known)
    found, page, units = day.assessed, day.page, day.units
    loaded = found.loaded
    unfolded = None
    if why is not None:
        name = known_quantity(found, why)
        unfolded = why_lines(found.answer, page, name, loaded.zone, units)
    if as_json:
        answer = today_json(found.answer, page)
        emit_json(answer if unfolded is None else answer | {"why": unfolded})
        return
    screen = today_lines(found.answer, page, loaded.zone, units, loaded.system.name)
    for line in screen if unfolded is None else unfolded:
        show(line)
