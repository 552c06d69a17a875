"""``brinebook plan limewater``: what it can bring at what evaporates."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("limewater")
@click.option("--strength", metavar="AMOUNT", help="“1.2 g/L”, or meq/L; else saturated.")
@click.option("--hours", default="", metavar="HH-HH", help="When it goes in; else round the clock.")
@click.option("--use", metavar="AMOUNT", help="Alkalinity used in a day; else the book's.")
@click.option("--store-temperature", metavar="AMOUNT", help="Where it stands; else 25 °C.")
@said_options(("volume", "alkalinity", "salinity", "temperature", "co2", "evaporation"))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    strength: str | None,
    hours: str,
    use: str | None,
    store_temperature: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What limewater as top-off brings, its share of the demand, and what a second source adds.

    \b
    brinebook plan limewater
    brinebook plan limewater --evaporation "3.8 L/day" --volume 300L --use "1 dKH"
    """
    from brinebook.desk.plan_limewater import Lime, limewater_plan

    plan, start = limewater_plan(
        session.book,
        system,
        said=said,
        lime=Lime(strength, hours, use, store_temperature),
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
