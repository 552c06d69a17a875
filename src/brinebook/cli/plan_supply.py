"""``brinebook plan supply``: which pack of a salt to buy."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.plan_options import FiniteRange
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session


@click.command("supply")
@click.argument("salt")
@click.option(
    "--pack", "packs", multiple=True, required=True, metavar="PACK", help="Such as “5 kg 24+9”."
)
@click.option("--use", metavar="AMOUNT", help="Used in a year, “0.9 kg”; else as it is dosed now.")
@click.option(
    "--life", type=FiniteRange(0.1, 30), default=3.0, metavar="YEARS", help="It keeps; else 3."
)
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    salt: str,
    packs: tuple[str, ...],
    use: str | None,
    life: float,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Which pack of SALT costs least for what is used of it before it is too old.

    \b
    brinebook plan supply NaHCO3 --pack "1 kg 9+6" --pack "5 kg 24+9" --pack "25 kg 60+25"
    brinebook plan supply NaHCO3 --pack "5 kg 24+9" --use "0.876 kg" --life 1

    A pack is what is in it, its price and what its sending costs. With --use, needs no book.
    """
    from brinebook.desk.plan_supply import Shop, supply_plan

    plan, start = supply_plan(
        session.book, salt, system, shop=Shop(packs, use, life), at=at, known=known
    )
    show_plan(plan, None if start is None else start.zone, as_json=as_json, why=why)
