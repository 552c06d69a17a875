"""``brinebook plan slip …``: something went wrong; what it did, by when it is gone, what to do."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

import click

from brinebook.cli.plan_options import food_options, said_options
from brinebook.cli.plan_show import book_options, show_plan
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.plan_food import Label
    from brinebook.desk.plan_now import Said, WaterNow

Decorated = TypeVar("Decorated", bound=Callable[..., Any])

_SAID = (
    "volume", "alkalinity", "calcium", "salinity", "temperature", "ph", "co2", "evaporation",
)  # fmt: skip


def slip_options(function: Decorated) -> Decorated:
    """Everything that the slips share; what is said of the water is as before the slip."""
    return said_options(_SAID, use=True)(book_options(function))


@click.group("slip", no_args_is_help=True)
def command() -> None:
    """Something went wrong: what it did, by when it is gone, what to do and what not.

    \b
    brinebook plan slip dose "carbonate solution" 60mL
    brinebook plan slip salt-top-off 12L
    """


def _now(
    session: Session, system: str | None, said: Said, at: datetime | None, known: datetime | None
) -> WaterNow:
    from brinebook.desk.plan_now import water_now

    return water_now(session.book, system, said=said, at=at, known=known)


@command.command("dose")
@click.argument("what")
@click.argument("amount")
@click.option("--strength", metavar="AMOUNT", help="Of a salt's own solution: “80 g/L”.")
@slip_options
@click.pass_obj
def dose(
    session: Session,
    *,
    what: str,
    amount: str,
    strength: str | None,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Too much went in: AMOUNT of WHAT (an additive, or a salt's formula) beyond what was meant.

    \b
    brinebook plan slip dose "carbonate solution" 60mL
    brinebook plan slip dose NaHCO3 10.8g --volume 300L --alkalinity "6.9 dKH"
    """
    from brinebook.desk.plan_pour import poured
    from brinebook.desk.plan_slip_dose import dose_slip

    now = _now(session, system, said, at, known)
    plan = dose_slip(now, poured(now, what, amount, strength=strength))
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("met")
@click.argument("first")
@click.argument("first_amount")
@click.argument("second")
@click.argument("second_amount")
@slip_options
@click.pass_obj
def met(
    session: Session,
    *,
    first: str,
    first_amount: str,
    second: str,
    second_amount: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Two parts met before they reached the water: FIRST and SECOND, with their amounts.

    \b
    brinebook plan slip met "carbonate solution" 30mL "calcium solution" 30mL
    """
    from brinebook.desk.plan_pour import poured
    from brinebook.desk.plan_slip_lime import met_slip

    now = _now(session, system, said, at, known)
    plan = met_slip(now, poured(now, first, first_amount), poured(now, second, second_amount))
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("limewater")
@click.argument("amount")
@click.option("--strength", metavar="AMOUNT", help="Grams of Ca(OH)2 in a litre: “1.5 g/L”.")
@slip_options
@click.pass_obj
def limewater(
    session: Session,
    *,
    amount: str,
    strength: str | None,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Limewater ran in at once: AMOUNT of it.

    \b
    brinebook plan slip limewater 10L
    brinebook plan slip limewater 10L --volume 300L --alkalinity "8 dKH" --ph 8.2
    """
    from brinebook.desk.plan_amounts import litres_of
    from brinebook.desk.plan_pour import lime_strength
    from brinebook.desk.plan_slip_lime import lime_slip

    now = _now(session, system, said, at, known)
    plan = lime_slip(now, litres_of(amount), strength=lime_strength(strength))
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("salt-top-off")
@click.argument("amount")
@click.option("--of", "of", metavar="AMOUNT", help="Salinity of what was poured; else yours.")
@click.option("--seen", is_flag=True, help="Salinity was tested since, so the book has the rise.")
@slip_options
@click.pass_obj
def salt_top_off(
    session: Session,
    *,
    amount: str,
    of: str | None,
    seen: bool,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Salt water was used as top-off: AMOUNT of it in all.

    \b
    brinebook plan slip salt-top-off 12L
    brinebook plan slip salt-top-off 42L --volume 300L
    """
    from brinebook.desk.plan_amounts import litres_of
    from brinebook.desk.plan_slip_salt import salt_top_off_slip
    from brinebook.desk.typed import read_quantity

    now = _now(session, system, said, at, known)
    salinity = None if of is None else read_quantity("salinity", of)
    plan = salt_top_off_slip(now, litres_of(amount), salinity=salinity, seen=seen)
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("fresh-flood")
@click.argument("amount")
@slip_options
@click.pass_obj
def fresh_flood(
    session: Session,
    *,
    amount: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Too much fresh water ran in: AMOUNT, such as by a top-off that stuck.

    \b
    brinebook plan slip fresh-flood 25L
    brinebook plan slip fresh-flood 25L --volume 300L --evaporation "4 L/day"
    """
    from brinebook.desk.plan_amounts import litres_of
    from brinebook.desk.plan_slip_salt import flood_slip

    now = _now(session, system, said, at, known)
    show_plan(flood_slip(now, litres_of(amount)), now.zone, as_json=as_json, why=why)


@command.command("dried-out")
@click.argument("amount")
@slip_options
@click.pass_obj
def dried_out(
    session: Session,
    *,
    amount: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Water evaporated and was not replaced: AMOUNT is missing.

    \b
    brinebook plan slip dried-out 15L
    """
    from brinebook.desk.plan_amounts import litres_of
    from brinebook.desk.plan_slip_salt import dried_slip

    now = _now(session, system, said, at, known)
    show_plan(dried_slip(now, litres_of(amount)), now.zone, as_json=as_json, why=why)


@command.command("fresh-change")
@click.argument("amount")
@slip_options
@click.pass_obj
def fresh_change(
    session: Session,
    *,
    amount: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """A water change was made with fresh water: AMOUNT of it.

    \b
    brinebook plan slip fresh-change 30L
    """
    from brinebook.desk.plan_amounts import litres_of
    from brinebook.desk.plan_slip_salt import fresh_change_slip

    now = _now(session, system, said, at, known)
    show_plan(fresh_change_slip(now, litres_of(amount)), now.zone, as_json=as_json, why=why)


@command.command("skimmate")
@click.argument("amount")
@click.option("--days", type=float, default=30.0, metavar="DAYS", help="For how long; else 30.")
@slip_options
@click.pass_obj
def skimmate(
    session: Session,
    *,
    amount: str,
    days: float,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """The skimmer runs wet: AMOUNT a day is thrown away and made up with fresh water.

    \b
    brinebook plan slip skimmate "0.5 L/day"
    """
    from brinebook.desk.plan_amounts import litres_a_day
    from brinebook.desk.plan_slip_salt import skimmate_slip

    now = _now(session, system, said, at, known)
    plan = skimmate_slip(now, litres_a_day(amount), days)
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("off-salinity")
@slip_options
@click.pass_obj
def off_salinity(
    session: Session,
    *,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Salinity is off, whatever the cause: the ways back to your target.

    \b
    brinebook plan slip off-salinity
    brinebook plan slip off-salinity --salinity 33 --volume 300L --evaporation "4 L/day"
    """
    from brinebook.desk.plan_slip_salt import off_slip

    now = _now(session, system, said, at, known)
    show_plan(off_slip(now), now.zone, as_json=as_json, why=why)


@command.command("overfed")
@click.argument("amount")
@click.option("--food", metavar="NAME", help="Which food of the book; else the last fed.")
@food_options
@slip_options
@click.pass_obj
def overfed(
    session: Session,
    *,
    amount: str,
    food: str | None,
    label: Label,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Far too much food went in: AMOUNT of it, as when a jar is emptied.

    \b
    brinebook plan slip overfed 30g
    brinebook plan slip overfed 30g --protein "45 %" --phosphorus "1.2 %" --volume 300L
    """
    from brinebook.desk.plan_amounts import grams_of
    from brinebook.desk.plan_food import content_of, daily_grams
    from brinebook.desk.plan_slip_waste import overfed_slip

    now = _now(session, system, said, at, known)
    content = content_of(label, now.facts, food)
    plan = overfed_slip(now, grams_of(amount), content, daily=daily_grams(now.facts, now.at))
    show_plan(plan, now.zone, as_json=as_json, why=why)


@command.command("death")
@click.argument("amount")
@slip_options
@click.pass_obj
def death(
    session: Session,
    *,
    amount: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """An animal died unseen and rots: AMOUNT is its mass, wet.

    \b
    brinebook plan slip death 80g
    """
    from brinebook.desk.plan_amounts import grams_of
    from brinebook.desk.plan_slip_waste import death_slip

    now = _now(session, system, said, at, known)
    show_plan(death_slip(now, grams_of(amount)), now.zone, as_json=as_json, why=why)


@command.command("foreign")
@click.argument("what")
@click.option("--change", metavar="AMOUNT", default="30 %", help="Of each change; else 30 %.")
@click.option("--left", metavar="AMOUNT", default="10 %", help="What may be left; else 10 %.")
@slip_options
@click.pass_obj
def foreign(
    session: Session,
    *,
    what: str,
    change: str,
    left: str,
    said: Said,
    at: datetime | None,
    known: datetime | None,
    system: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """Something got in that doesn't belong there: WHAT, in your words. Dilution only.

    \b
    brinebook plan slip foreign "window cleaner"
    """
    from brinebook.desk.plan_food import share_of
    from brinebook.desk.plan_slip_waste import foreign_slip

    now = _now(session, system, said, at, known)
    plan = foreign_slip(now, what, share=share_of(change), left=share_of(left))
    show_plan(plan, now.zone, as_json=as_json, why=why)
