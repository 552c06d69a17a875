"""``brinebook plan acclimate``: from the water of a bag to that of the system."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session


@click.command("acclimate")
@click.option("--bag", "bag", metavar="AMOUNT", default="1.5 L", help="Water in it; else 1.5 L.")
@click.option("--salinity", metavar="AMOUNT", required=True, help="Of the bag, PSU.")
@click.option("--ph", metavar="AMOUNT", help="Of the bag as it was opened, NBS.")
@click.option("--ammonia", metavar="AMOUNT", help="Of the bag as opened, such as “1 mg/L N”.")
@click.option("--alkalinity", metavar="AMOUNT", help="Of the bag; else that of sea water.")
@click.option("--fish", metavar="AMOUNT", help="Mass of the fish in it, where nothing was tested.")
@click.option("--hours", type=float, metavar="HOURS", help="How long the bag was closed.")
@click.option("--flow", metavar="AMOUNT", help="Of the drip, such as “2 L/h”; else an hour's.")
@click.option("--drops", type=float, metavar="NUMBER", help="Drops a second, instead of --flow.")
@click.option("--fills", is_flag=True, help="The vessel only fills up; nothing runs over.")
@click.option("--swap", metavar="AMOUNT", help="Pour out this share each time instead: “50 %”.")
@click.option("--until", metavar="AMOUNT", help="Salinity at the end; else within 0.5 PSU.")
@click.option("--to", "to_salinity", metavar="AMOUNT", help="Salinity of the system, PSU.")
@click.option("--to-temperature", metavar="AMOUNT", help="Temperature of the system.")
@click.option("--to-alkalinity", metavar="AMOUNT", help="Alkalinity of the system.")
@click.option("--to-ph", metavar="AMOUNT", help="pH of the system, NBS.")
@click.option("--co2", metavar="AMOUNT", help="CO2 of the room, such as “600 ppm”.")
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    bag: str,
    salinity: str,
    ph: str | None,
    ammonia: str | None,
    alkalinity: str | None,
    fish: str | None,
    hours: float | None,
    flow: str | None,
    drops: float | None,
    fills: bool,
    swap: str | None,
    until: str | None,
    to_salinity: str | None,
    to_temperature: str | None,
    to_alkalinity: str | None,
    to_ph: str | None,
    co2: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """From the water of a bag to that of the system: drip or swaps, in stated steps.

    \b
    brinebook plan acclimate --salinity 31 --fish 8g --hours 10
    brinebook plan acclimate --salinity 31 --bag 1.5L --flow "2 L/h" --to 35 --until 34
    brinebook plan acclimate --salinity 31 --ph 7.1 --ammonia "2 mg/L N"

    With --to, needs no book.
    """
    from brinebook.desk.plan_acclimate import acclimate_plan
    from brinebook.desk.plan_acclimate_typed import read_bag, read_way
    from brinebook.desk.plan_now import Said, water_now

    said = Said(
        volume=None if to_salinity is None else "100 L",  # the system's litres don't matter
        salinity=to_salinity,
        temperature=to_temperature,
        alkalinity=to_alkalinity,
        ph=to_ph,
        co2=co2,
    )
    now = water_now(session.book, system, said=said, at=at, known=known)
    inside = read_bag(
        bag, salinity, ph=ph, ammonia=ammonia, alkalinity=alkalinity, fish=fish, hours=hours
    )
    way = read_way(flow=flow, drops=drops, fills=fills, swap=swap, until=until)
    show_plan(acclimate_plan(now, inside, way), now.zone, as_json=as_json, why=why)
