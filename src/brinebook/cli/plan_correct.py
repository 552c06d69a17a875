"""``brinebook plan correct``: bring a quantity to a value, within the keeper's limits."""

from __future__ import annotations

from datetime import datetime

import click

from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session


@click.command("correct")
@click.argument("quantity")
@click.option("--to", metavar="VALUE", help="Where to; else your target, else mid-band.")
@click.option(
    "--with",
    "substance",
    metavar="WHAT",
    help="An additive, a salt or “NaHCO3 80 g/L”; “A+B” for two.",
)
@click.option("--days", type=click.IntRange(1, 14), default=1, help="Take at least so many days.")
@click.option("--from", "level", metavar="VALUE", help="Where it stands, instead of the book's.")
@click.option("--volume", metavar="AMOUNT", help="Net volume, with --from: then no book is needed.")
@click.option("--salinity", metavar="AMOUNT", help="Of the water; else the book's.")
@click.option("--temperature", metavar="AMOUNT", help="Of the water; else the book's.")
@click.option("--ph", metavar="AMOUNT", help="Of the water now, NBS; else tested, else by the air.")
@click.option("--co2", metavar="AMOUNT", help="Of the room, such as “600 ppm”.")
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    quantity: str,
    to: str | None,
    substance: str | None,
    days: int,
    level: str | None,
    volume: str | None,
    salinity: str | None,
    temperature: str | None,
    ph: str | None,
    co2: str | None,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """How much to put in to bring QUANTITY to a value, in how many days and pours.

    \b
    brinebook plan correct alkalinity
    brinebook plan correct calcium --to "430 mg/L" --with CaCl2.2H2O
    brinebook plan correct alkalinity --from "6.9 dKH" --to "8.1 dKH" --volume 300L --with Na2CO3

    From all that is believed of level, use and volume, so that your limit a day, the far end of
    your band and the cap of saturation are passed with a chance under 2 in 100.
    """
    from brinebook.desk.plan_correct import correction_plan
    from brinebook.desk.plan_now import Said

    said = Said(volume=volume, salinity=salinity, temperature=temperature, ph=ph, co2=co2)
    plan, start = correction_plan(
        session.book,
        quantity,
        system,
        said=said,
        to=to,
        level=level,
        substance=substance,
        days=days,
        at=at,
        known=known,
    )
    show_plan(plan, start.zone, as_json=as_json, why=why)
