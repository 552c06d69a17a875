"""``brinebook plan change``: water changes to a value, or what a change does to every number."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.plan_options import FiniteRange
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session


@click.command("change")
@click.argument("quantity", required=False)
@click.option("--to", metavar="VALUE", help="Where to; else your target, else mid-band.")
@click.option("--amount", metavar="AMOUNT", help="“15 %” or “45L”: what such a change does.")
@click.option("--every", type=FiniteRange(0.5, 60), metavar="DAYS", help="Days between.")
@click.option("--times", type=click.IntRange(1, 60), help="In so many changes.")
@click.option("--made", metavar="AMOUNT", help="What the system makes a day, such as 1mg/L.")
@click.option("--incoming", metavar="VALUE", help="What the new water holds of it.")
@click.option("--mix", default="", metavar="NAME", help="Which salt mix; else your first.")
@click.option("--new-salinity", metavar="AMOUNT", help="Of the new water; else your target.")
@click.option("--new-temperature", metavar="AMOUNT", help="Of the new water.")
@click.option("--moisture", type=FiniteRange(1, 2), help="Grams from the bag for a dry gram.")
@click.option("--from", "level", metavar="VALUE", help="Where it stands, instead of the book's.")
@click.option("--volume", metavar="AMOUNT", help="Net volume, with --from: then no book is needed.")
@click.option("--salinity", metavar="AMOUNT", help="Of the water now; else the book's.")
@click.option("--temperature", metavar="AMOUNT", help="Of the water now; else the book's.")
@click.option("--alkalinity", metavar="AMOUNT", help="Of the water now; else the book's.")
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    quantity: str | None,
    to: str | None,
    amount: str | None,
    every: float | None,
    times: int | None,
    made: str | None,
    incoming: str | None,
    mix: str,
    new_salinity: str | None,
    new_temperature: str | None,
    moisture: float | None,
    level: str | None,
    volume: str | None,
    salinity: str | None,
    temperature: str | None,
    alkalinity: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Water changes that bring QUANTITY to a value while the system goes on making it.

    \b
    brinebook plan change nitrate --to 10mg/L
    brinebook plan change nitrate --amount 10% --every 7
    brinebook plan change --amount 45L --new-temperature "18 C"
    brinebook plan change nitrate --from 40mg/L --to 10mg/L --volume 300L --times 3

    With --amount: where such a change leads, or what one does to every number; with --to too, no
    more than that at once.
    """
    from brinebook.desk.plan_change import Change, change_plan
    from brinebook.desk.plan_now import Said

    plan, start = change_plan(
        session.book,
        quantity,
        system,
        said=Said(volume=volume, salinity=salinity, temperature=temperature, alkalinity=alkalinity),
        typed=Change(
            to, amount, every, times, made, incoming, mix, new_salinity, new_temperature, moisture
        ),
        level=level,
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
