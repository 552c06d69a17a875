"""``brinebook plan``: a group whose commands are looked up in a table, each in its own file."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from types import MappingProxyType

import click

from brinebook.errors import UsageProblem

#: What can be planned: name -> where its click command lives, and what it does in a line.
PLANS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "correct": (
            "brinebook.cli.plan_correct:command",
            "bring a quantity to a value: how much, in how many days and pours",
        ),
        "dose": (
            "brinebook.cli.plan_dose:command",
            "what to set the dosing pumps to, and how long their bottles last",
        ),
        "limewater": (
            "brinebook.cli.plan_limewater:command",
            "what limewater can bring at what evaporates",
        ),
        "reactor": (
            "brinebook.cli.plan_reactor:command",
            "effluent and drip of a calcium reactor, and its CO2",
        ),
        "residue": (
            "brinebook.cli.plan_residue:command",
            "what a year of dosing leaves behind, and what undoes it",
        ),
        "change": (
            "brinebook.cli.plan_change:command",
            "water changes to a value, or what a change does to every number",
        ),
        "nutrients": (
            "brinebook.cli.plan_nutrients:command",
            "what food brings and where it goes; which lever helps nitrate or phosphate",
        ),
        "algae": (
            "brinebook.cli.plan_algae:command",
            "how fast algae grow, and what a cut takes out",
        ),
        "ferric": (
            "brinebook.cli.plan_ferric:command",
            "ferric media: how long they last, how much to put in, whether to take them out",
        ),
        "carbon": (
            "brinebook.cli.plan_carbon:command",
            "carbon: when to change it, and whether the water meets it",
        ),
        "salinity": (
            "brinebook.cli.plan_salinity:command",
            "bring salinity back, by salt top-off or fresh water",
        ),
        "mix": (
            "brinebook.cli.plan_mix:command",
            "salt by mass for new water, and the time to warm it",
        ),
        "bottle": (
            "brinebook.cli.plan_bottle:command",
            "when bottles run dry, and what a stuck pump could do",
        ),
        "acclimate": (
            "brinebook.cli.plan_acclimate:command",
            "from the water of a bag to yours: drip or swaps, with ammonia and pH",
        ),
        "treatment": (
            "brinebook.cli.plan_treatment:command",
            "a label's amount for a volume: arithmetic only",
        ),
        "slip": (
            "brinebook.cli.plan_slip:command",
            "something went wrong: what it did, by when it is gone, what to do",
        ),
        "solution": (
            "brinebook.cli.plan_solution:command",
            "what to weigh for a solution, and whether it dissolves",
        ),
        "supply": (
            "brinebook.cli.plan_supply:command",
            "which pack of a salt to buy, by what is used before it is too old",
        ),
        "limits": (
            "brinebook.cli.plan_limits:command",
            "what plans are held to, and whose number it is",
        ),
        "kept": (
            "brinebook.cli.plan_kept:kept",
            "the plans that were accepted, and their state",
        ),
        "show": ("brinebook.cli.plan_kept:show", "an accepted plan, and what came of it"),
        "done": ("brinebook.cli.plan_kept:done", "write a step down as done"),
        "skip": ("brinebook.cli.plan_kept:skip", "leave a step out"),
        "drop": ("brinebook.cli.plan_kept:drop", "give a plan up"),
    }
)


class PlanUnknown(UsageProblem):
    """There is no plan of that name."""

    code = "E-PLAN-UNKNOWN"

    def __init__(self, name: str) -> None:
        import difflib

        near = difflib.get_close_matches(name, PLANS, n=2)
        hint = "“brinebook plan --help” lists what can be planned."
        if near:
            hint = f"Did you mean {' or '.join(f'“{one}”' for one in near)}? {hint}"
        super().__init__(f"There is no plan called “{name}”.", hint)


class PlanTable(click.Group):
    """The commands of the table, imported when they are needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click calls it so
        """Every name, in the table's order."""
        return list(PLANS)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002 - click calls it so
        cmd_name: str,
    ) -> click.Command | None:
        """The command, imported now; None where there is none of that name."""
        if cmd_name not in PLANS:
            return None
        module_name, _, attribute = PLANS[cmd_name][0].partition(":")
        command: click.Command = getattr(importlib.import_module(module_name), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which ones come near what was typed."""
        if args and args[0] not in PLANS and not args[0].startswith("-"):
            raise PlanUnknown(args[0])
        return super().resolve_command(ctx, args)

    def format_commands(
        self,
        ctx: click.Context,  # noqa: ARG002 - click calls it so
        formatter: click.HelpFormatter,
    ) -> None:
        """Names and lines of the table; nothing is imported for them."""
        with formatter.section("Plans"):
            formatter.write_dl([(name, line) for name, (_, line) in PLANS.items()])


@click.group("plan", cls=PlanTable, no_args_is_help=True)
def command() -> None:
    """What to put in, how much and how fast, from what is known of the water; and why.

    \b
    brinebook plan solution NaHCO3 --strength "80 g/L" --volume 5L

    A plan writes nothing into the book. With --accept its steps stand in Today until they are done.
    """
