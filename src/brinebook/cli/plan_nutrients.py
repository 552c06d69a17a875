"""``brinebook plan nutrients``: nitrogen and phosphorus, where they go, which lever helps."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli.plan_options import algae_options, food_options, said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_algae_typed import Typed
    from brinebook.desk.plan_food import Label
    from brinebook.desk.plan_now import Said


@click.command("nutrients")
@click.argument("quantity", required=False)
@click.option("--food", metavar="AMOUNT", help="Fed in a day, such as “3 g/day”; else the book's.")
@click.option("--kept", metavar="AMOUNT", help="What growing animals keep of it: “25 %”.")
@food_options
@algae_options
@said_options(("volume", "nitrate", "phosphate"))
@book_options
@click.pass_obj
def command(
    session: Session,
    *,
    quantity: str | None,
    food: str | None,
    kept: str | None,
    label: Label,
    algae: Typed,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What food brings and where it goes, and which lever brings nitrate or phosphate into band.

    \b
    brinebook plan nutrients
    brinebook plan nutrients phosphate
    brinebook plan nutrients --food "3 g/day" --protein "45 %" --phosphorus "1.2 %" --volume 300L

    With QUANTITY (nitrate or phosphate), its levers, whether it needs one or not.
    """
    from brinebook.desk.nutrient_story import nutrient_story
    from brinebook.desk.plan_algae_typed import read_content
    from brinebook.desk.plan_food import share_of
    from brinebook.desk.plan_now import water_now
    from brinebook.desk.plan_nutrients import nutrients_plan
    from brinebook.desk.plan_nutrients_typed import known_nutrient, read_food

    now = water_now(session.book, system, said=said, at=at, known=known)
    story = nutrient_story(
        now,
        label=label,
        content=read_content(algae),
        food=None if food is None else read_food(food),
        kept=None if kept is None else share_of(kept),
    )
    about = None if quantity is None else known_nutrient(story, quantity)
    show_plan(nutrients_plan(now, story, about=about), now.zone, as_json=as_json, why=why)
