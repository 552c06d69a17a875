"""``brinebook plan ferric``: ferric media for phosphate."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("ferric")
@click.option("--grams", metavar="AMOUNT", help="At most so much; else by what you ever put in.")
@click.option("--flow", metavar="AMOUNT", help="Through the media, such as “60 L/h”; else as now.")
@click.option("--load", metavar="AMOUNT", help="Phosphorus a day, such as “27 mg/day”: arithmetic.")
@click.option("--others", metavar="AMOUNT", help="With --load: what other routes take, “60 %”.")
@click.option("--held", metavar="AMOUNT", help="With --load: mg of P on the media already.")
@click.option("--factor", type=float, default=1.0, help="With --load: of the isotherm; else 1.")
@click.option("--down-to", metavar="AMOUNT", help="With --load: grams for a fall to this level.")
@said_options(("volume", "phosphate"))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    grams: str | None,
    flow: str | None,
    load: str | None,
    others: str | None,
    held: str | None,
    factor: float,
    down_to: str | None,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """How long ferric media last, how much to put in, or whether to take them out.

    \b
    brinebook plan ferric
    brinebook plan ferric --flow "30 L/h"
    brinebook plan ferric --load "27 mg/day" --grams 100g --phosphate "0.09 mg/L" --volume 300L

    With --load it is the plain arithmetic of the isotherm for what you state.
    """
    from brinebook.desk.plan_amounts import grams_of
    from brinebook.desk.plan_ferric import ferric_plan
    from brinebook.desk.plan_ferric_stated import flow_of, stated_plan
    from brinebook.desk.plan_now import water_now

    now = water_now(session.book, system, said=said, at=at, known=known)
    mass = None if grams is None else grams_of(grams)
    if load is not None:
        plan = stated_plan(
            now, load, grams=mass, others=others, held=held, factor=factor, down_to=down_to
        )
    else:
        plan = ferric_plan(now, grams=mass, flow=None if flow is None else flow_of(flow))
    show_plan(plan, now.zone, as_json=as_json, why=why)
