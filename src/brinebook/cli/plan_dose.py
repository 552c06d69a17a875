"""``brinebook plan dose``: what to set the dosing pumps to for the coming weeks."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import FiniteRange, said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("dose")
@click.option(
    "--to", "targets", multiple=True, metavar="QUANTITY=VALUE", help="Another target than yours."
)
@click.option("--worst", metavar="AMOUNT", help="The worst rise of alkalinity by a stuck pump.")
@click.option("--use", metavar="AMOUNT", help="Only tell what meets this use a day, “0.5 dKH”.")
@click.option(
    "--with", "parts", multiple=True, metavar="PART", help="For --use: such as “NaHCO3 80 g/L”."
)
@click.option("--days", type=FiniteRange(0.1, 3650), default=7.0, help="For --use, in all; else 7.")
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    use: str | None,
    parts: tuple[str, ...],
    days: float,
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
    brinebook plan dose --use "0.5 dKH" --volume 300L --with "NaHCO3 80 g/L"

    A setting moves only where the tests can tell that it should, and never far at once.
    """
    from brinebook.desk.plan_demand import Demand, UseUnsaid, demand_plan
    from brinebook.desk.plan_dose import dosing_plan

    if use is not None:
        plan, start = demand_plan(
            session.book, system, said=said, demand=Demand(use, parts, days), at=at, known=known
        )
        show_plan(plan, start.zone, as_json=as_json, why=why)
        return
    if said.volume is not None:
        raise UseUnsaid
    asked = {}
    for text in targets:
        quantity, equals, value = text.partition("=")
        if not equals:
            raise click.BadParameter(f"“{text}” is not QUANTITY=VALUE, as in alkalinity=8.2dKH.")
        asked[quantity.strip()] = value.strip()
    plan, start = dosing_plan(session.book, system, targets=asked, worst=worst, at=at, known=known)
    show_plan(plan, start.zone, as_json=as_json, why=why)
