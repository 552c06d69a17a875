"""``brinebook plan algae``: growth, and what a cut takes out."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import FiniteRange, algae_options, said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_algae_typed import Typed
    from brinebook.desk.plan_now import Said


@click.command("algae")
@click.option("--cut", metavar="AMOUNT", help="Wet grams of a cut; else the usual one.")
@click.option("--left", metavar="AMOUNT", help="Wet grams left after a cut.")
@click.option("--across", metavar="AMOUNT", help="Width of a ball before: “43 mm”.")
@click.option("--to", "grown_to", metavar="AMOUNT", help="Its width after: “97 mm”.")
@click.option(
    "--days", type=FiniteRange(0.1, 3650), metavar="DAYS", help="Between the two, or between cuts."
)
@algae_options
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    cut: str | None,
    left: str | None,
    across: str | None,
    grown_to: str | None,
    days: float | None,
    algae: Typed,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """How fast the algae grow, and what nitrogen and phosphorus a cut takes out, as ranges.

    \b
    brinebook plan algae
    brinebook plan algae --cut 100g --dry "11 %" --volume 300L
    brinebook plan algae --across "43 mm" --to "97 mm" --days 20 --volume 300L
    """
    from brinebook.desk.plan_algae import algae_plan, known_content
    from brinebook.desk.plan_algae_typed import read_content, read_grown
    from brinebook.desk.plan_amounts import grams_of
    from brinebook.desk.plan_now import water_now

    now = water_now(session.book, system, said=said, at=at, known=known)
    grown = read_grown(across=across, grown_to=grown_to, days=days, left=left)
    plan = algae_plan(
        now,
        known_content(now, read_content(algae)),
        cut=None if cut is None else grams_of(cut),
        grown=grown,
    )
    show_plan(plan, now.zone, as_json=as_json, why=why)
