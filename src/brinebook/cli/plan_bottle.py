"""``brinebook plan bottle``: how long bottles last, and what a stuck pump could do."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("bottle")
@click.argument("name", required=False)
@click.option("--strength", metavar="AMOUNT", help="Of a salt's own solution: “80 g/L”.")
@click.option("--left", metavar="AMOUNT", help="What is in it, instead of the book's.")
@click.option("--dose", metavar="AMOUNT", help="What its pump is set to a day.")
@click.option("--worst", metavar="AMOUNT", help="The worst rise that a stuck pump may make.")
@click.option("--away", type=click.IntRange(1, 365), default=None, metavar="DAYS", help="Away for.")
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    name: str | None,
    strength: str | None,
    left: str | None,
    dose: str | None,
    worst: str | None,
    away: int | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """When each bottle runs dry, the most a stuck pump could put in, and its real strength.

    \b
    brinebook plan bottle
    brinebook plan bottle "carbonate solution" --away 10
    brinebook plan bottle NaHCO3 --strength "80 g/L" --left 1L --worst "1.4 dKH" --volume 300L
    """
    from brinebook.desk.plan_bottle import Stated, bottle_plan

    plan, start = bottle_plan(
        session.book,
        system,
        said=said,
        stated=Stated(name, strength, left, dose, worst, away or 0),
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
