"""``brinebook plan carbon``: activated carbon."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("carbon")
@click.option("--grams", metavar="AMOUNT", help="Of carbon; else as it was put in last.")
@click.option("--flow", metavar="AMOUNT", help="Through it, such as “80 L/h”; else as written.")
@click.option("--across", metavar="AMOUNT", help="Width of bed or bag; else 70 mm, a bag 120 mm.")
@click.option("--grain", metavar="AMOUNT", help="Of the carbon; else 1.5 mm.")
@click.option("--bag", is_flag=True, help="It lies in a bag, with no pump behind it.")
@click.option("--current", type=float, metavar="CM/S", help="Where the bag lies; else 2 cm/s.")
@click.option("--thick", metavar="AMOUNT", help="Thickness of the bag; else 30 mm.")
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    grams: str | None,
    flow: str | None,
    across: str | None,
    grain: str | None,
    bag: bool,
    current: float | None,
    thick: str | None,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """When to change the carbon, and whether the water meets it: a bed, or a bag.

    \b
    brinebook plan carbon
    brinebook plan carbon --bag --current 1
    brinebook plan carbon --grams 150g --flow "80 L/h" --across "70 mm" --volume 300L
    """
    from brinebook.desk.plan_carbon import carbon_plan
    from brinebook.desk.plan_carbon_typed import read_bed
    from brinebook.desk.plan_now import water_now

    now = water_now(session.book, system, said=said, at=at, known=known)
    bed = read_bed(
        grams=grams, flow=flow, across=across, grain=grain, bag=bag, current=current, thick=thick
    )
    show_plan(carbon_plan(now, bed), now.zone, as_json=as_json, why=why)
