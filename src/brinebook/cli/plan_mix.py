"""``brinebook plan mix``: salt by mass for a salinity, and the time to warm the water."""

from __future__ import annotations

import click

from brinebook.cli.plan_options import FiniteRange
from brinebook.cli.plan_show import reckoning_options, show_plan


@click.command("mix")
@click.argument("volume")
@click.option("--to", "salinity", metavar="AMOUNT", default="35", help="Salinity wanted; else 35.")
@click.option("--from", "start", metavar="AMOUNT", default="0", help="Salinity now; else fresh.")
@click.option("--temperature", metavar="AMOUNT", help="Of the water; else 25 °C.")
@click.option("--moisture", type=FiniteRange(1, 2), help="Grams from the bag for a dry gram.")
@click.option("--warm-to", metavar="AMOUNT", help="How warm it is to be.")
@click.option("--heater", metavar="AMOUNT", help="Of how many watts: the hours to get there.")
@click.option("--room", metavar="AMOUNT", help="How warm the room is, with --loss.")
@click.option("--loss", type=FiniteRange(0, 500), metavar="W/K", help="Heat lost to the room.")
@reckoning_options
def command(
    *,
    volume: str,
    salinity: str,
    start: str,
    temperature: str | None,
    moisture: float | None,
    warm_to: str | None,
    heater: str | None,
    room: str | None,
    loss: float | None,
    as_json: bool,
    why: bool,
) -> None:
    """How much salt brings VOLUME of water to a salinity, and how long a heater warms it.

    \b
    brinebook plan mix 40L
    brinebook plan mix 38L --from 33 --to 35 --moisture 1.1
    brinebook plan mix 45L --temperature "18 C" --warm-to "25 C" --heater 300W

    Needs no book.
    """
    from brinebook.desk.plan_mix import Batch, mix_plan

    plan = mix_plan(
        Batch(volume, salinity, start, temperature, moisture, warm_to, heater, room, loss)
    )
    show_plan(plan, as_json=as_json, why=why)
