"""``brinebook plan treatment``: a label's amount for a volume, and what changes leave of it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_now import Said


@click.command("treatment")
@click.argument("label")
@click.option("--change", metavar="AMOUNT", help="A water change, such as “25 %”.")
@said_options(("volume",))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    label: str,
    change: str | None,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What LABEL (“5 mL per 100 L”) comes to for the water, and what changes leave of it.

    \b
    brinebook plan treatment "5 mL per 100 L" --volume 60L --change "25 %"

    Volume arithmetic only: the label and a vet decide.
    """
    from brinebook.desk.plan_now import water_now
    from brinebook.desk.plan_treatment import treatment_plan

    now = water_now(session.book, system, said=said, at=at, known=known)
    plan = treatment_plan(now, label, change=change)
    show_plan(plan, now.zone, as_json=as_json, why=why)
