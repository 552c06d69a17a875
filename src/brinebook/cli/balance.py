"""``brinebook balance``: what is in the water, how fast it is used, where it is going."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.options import (
    at_option,
    json_option,
    known_option,
    read_when,
    system_option,
)
from brinebook.cli.output import emit_json, show
from brinebook.cli.session import Session


@click.command("balance")
@click.argument("quantity", required=False)
@click.option("--from", "begins", callback=read_when, metavar="WHEN", help="Where a sheet begins.")
@click.option("--to", "ends", callback=read_when, metavar="WHEN", help="Where a sheet ends.")
@at_option
@known_option
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    *,
    quantity: str | None,
    begins: datetime | None,
    ends: datetime | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """What is in the water now, how sure that is, what the reef uses, and what not to believe.

    \b
    brinebook balance
    brinebook balance alkalinity --from 2026-02-01 --to 2026-03-01

    With QUANTITY, its sheet over a period: what was there, what came and went, what is left over.
    """
    if quantity is not None:
        _sheet(session, quantity, system, (begins, ends, at, known), as_json=as_json)
        return
    if begins is not None or ends is not None:
        raise click.UsageError("--from and --to go with a quantity: brinebook balance alkalinity …")
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


def _sheet(
    session: Session,
    quantity: str,
    system: str | None,
    times: tuple[datetime | None, datetime | None, datetime | None, datetime | None],
    *,
    as_json: bool,
) -> None:
    from brinebook.desk.assess import quantity_sheet
    from brinebook.report.sheet_text import sheet_json, sheet_lines
    from brinebook.report.shown import shown_units

    begins, ends, at, known = times
    found = quantity_sheet(
        session.book, quantity, system, begins=begins, ends=ends, at=at, known=known
    )
    if as_json:
        emit_json(sheet_json(found.sheet))
        return
    loaded = found.loaded
    unit = shown_units(loaded.system, loaded.facts)[found.sheet.quantity]
    for line in sheet_lines(found.sheet, loaded.zone, unit):
        show(line)
