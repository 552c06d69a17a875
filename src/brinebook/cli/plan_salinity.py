"""``brinebook plan salinity``: bring salinity back, by salt top-off or by fresh water."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("salinity")
@click.option("--to", metavar="VALUE", help="Where to; else your target, else mid-band.")
@click.option("--from", "level", metavar="VALUE", help="Where it stands, instead of the book's.")
@said_options(("volume", "temperature", "evaporation"))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    to: str | None,
    level: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """How to bring salinity to a value: days of salt top-off, or litres of fresh water.

    \b
    brinebook plan salinity
    brinebook plan salinity --from 33 --to 35 --volume 300L --evaporation "4 L/day"
    """
    from brinebook.desk.plan_salinity import salinity_plan

    plan, start = salinity_plan(
        session.book, system, said=said, to=to, level=level, at=at, known=known
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
