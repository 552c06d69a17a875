"""``brinebook plan residue``: what a year of dosing leaves behind."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import FiniteRange, said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("residue")
@click.option("--use", metavar="AMOUNT", help="Alkalinity used in a day, met by a balanced pair.")
@click.option("--amount", metavar="AMOUNT", help="Of each part a day, such as 30mL.")
@click.option("--strength", metavar="AMOUNT", default="80 g/L", help="Of its bicarbonate.")
@click.option("--change", metavar="AMOUNT", help="Water changed, “10 %”, litres; else as you do.")
@click.option("--every", type=FiniteRange(0.5, 90), default=7.0, metavar="DAYS", help="Else 7.")
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    use: str | None,
    amount: str | None,
    strength: str,
    change: str | None,
    every: float,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What stays in the water of a year's two-part dosing, and the water change that undoes it.

    \b
    brinebook plan residue
    brinebook plan residue --amount 30mL --volume 300L --change 10%
    brinebook plan residue --use "1 dKH" --volume 300L
    """
    from brinebook.desk.plan_residue import Dosed, residue_plan

    plan, start = residue_plan(
        session.book,
        system,
        said=said,
        dosed=Dosed(use, amount, strength, change, every),
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
