"""``brinebook plan reactor``: effluent and drip of a calcium reactor, and its CO2."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("reactor")
@click.option(
    "--effluent", required=True, metavar="AMOUNT", help="Alkalinity of what drips out, “25 dKH”."
)
@click.option("--flow", metavar="AMOUNT", help="How much drips: “2 L/h” or “30 mL/min”.")
@click.option("--effluent-ph", metavar="PH", help="Of what drips out: how much CO2 is left over.")
@click.option("--bottle", metavar="AMOUNT", help="CO2 in the bottle, such as “2 kg”.")
@click.option("--use", metavar="AMOUNT", help="Alkalinity used in a day; else the book's.")
@said_options(("volume", "alkalinity", "salinity", "temperature", "ph", "co2"))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    said: Said,
    effluent: str,
    flow: str | None,
    effluent_ph: str | None,
    bottle: str | None,
    use: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """How much of a reactor's effluent supplies the demand, the CO2 it takes, and pH.

    \b
    brinebook plan reactor --effluent "25 dKH" --effluent-ph 6.6 --bottle 2kg
    brinebook plan reactor --effluent "25 dKH" --flow "2 L/h" --volume 300L --use "1 dKH"
    """
    from brinebook.desk.plan_reactor import Drip, reactor_plan

    plan, start = reactor_plan(
        session.book,
        system,
        said=said,
        drip=Drip(effluent, flow, effluent_ph, bottle, use),
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
