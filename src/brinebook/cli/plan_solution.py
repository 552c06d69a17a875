"""``brinebook plan solution``: what to weigh for a solution, and whether it dissolves."""

from __future__ import annotations

import click

from brinebook.cli.plan_show import reckoning_options, show_plan


@click.command("solution")
@click.argument("salt")
@click.option("--strength", metavar="AMOUNT", help="“80 g/L”, “1 meq/mL” or “20 mg/mL”.")
@click.option(
    "--match", metavar="SOLUTION", help="As strong as goes with equal volumes of “NaHCO3 80 g/L”."
)
@click.option("--volume", metavar="AMOUNT", default="1 L", help="How much; else 1 L.")
@click.option("--temperature", metavar="AMOUNT", help="Where it will stand; else 20 °C.")
@reckoning_options
def command(
    *,
    salt: str,
    strength: str | None,
    match: str | None,
    volume: str,
    temperature: str | None,
    as_json: bool,
    why: bool,
) -> None:
    """What to weigh of SALT (its formula, with its water) for a solution, and what to mind.

    \b
    brinebook plan solution NaHCO3 --strength "80 g/L" --volume 5L
    brinebook plan solution CaCl2.2H2O --match "NaHCO3 80 g/L" --volume 5L
    brinebook plan solution MgCl2.6H2O --strength "30 mg/mL" --temperature "15 C"

    Needs no book.
    """
    from brinebook.desk.plan_solution import solution_plan

    plan = solution_plan(
        salt, strength=strength, match=match, volume=volume, temperature=temperature
    )
    show_plan(plan, as_json=as_json, why=why)
