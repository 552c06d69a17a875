"""``brinebook plan dose``: what to set the dosing pumps to for the coming weeks."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session


@click.command("dose")
@click.option(
    "--to", "targets", multiple=True, metavar="QUANTITY=VALUE", help="Another target than yours."
)
@click.option("--worst", metavar="AMOUNT", help="The worst rise of alkalinity by a stuck pump.")
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    targets: tuple[str, ...],
    worst: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What to set each pump to, whether the band holds with it, and how long the bottles last.

    \b
    brinebook plan dose
    brinebook plan dose --to "alkalinity=8.2 dKH" --worst "1.4 dKH"

    A setting moves only where the tests can tell that it should, and never far at once.
    """
    from brinebook.desk.plan_dose import dosing_plan

    asked = {}
    for text in targets:
        quantity, equals, value = text.partition("=")
        if not equals:
            raise click.BadParameter(f"“{text}” is not QUANTITY=VALUE, as in alkalinity=8.2dKH.")
        asked[quantity.strip()] = value.strip()
    plan, start = dosing_plan(session.book, system, targets=asked, worst=worst, at=at, known=known)
    show_plan(plan, start.zone, as_json=as_json, why=why)
