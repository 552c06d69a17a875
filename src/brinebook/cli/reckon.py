"""``brinebook reckon …``: sums about water, heat, air, power and weight, without a book."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import click

from brinebook.cli import options, output
from brinebook.errors import UsageProblem

if TYPE_CHECKING:
    from brinebook.desk.reckon import Answered, Sum

#: What can be reckoned: name -> the table of the desk that holds it.
SUMS: Mapping[str, str] = MappingProxyType(
    {
        "pipe": "water", "working-point": "water", "valve": "water", "weir": "water",
        "notch": "water", "hole": "water", "drain": "water", "drain-back": "water",
        "blocked-drain": "water", "top-off": "water", "bed": "water", "line": "water",
        "size": "water", "friction": "water", "widening": "water", "siphon": "water",
        "evaporation": "heat", "heat": "heat", "swap": "heat", "ice": "heat", "electricity": "heat",
        "wall": "heat", "air": "air", "stand": "air", "flat": "air", "circuit": "power",
        "dark": "power", "battery": "power",
        "floor": "power", "gas": "power", "doser": "dose",
    }
)  # fmt: skip


class SumUnknown(UsageProblem):
    """There is no sum of that name."""

    code = "E-RECKON-UNKNOWN"

    def __init__(self, name: str) -> None:
        listed = ", ".join(SUMS)
        super().__init__(f"There is no sum called “{name}”.", f"There are: {listed}.")


class SumTable(click.Group):
    """The sums, whose options follow from their inputs; made when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click calls it so
        """Every name, in the table's order."""
        return list(SUMS)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002 - click calls it so
        cmd_name: str,
    ) -> click.Command | None:
        """The command of a sum; None where there is none of that name."""
        return _command(cmd_name, _sum(cmd_name)) if cmd_name in SUMS else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, but an unknown name is our own error with its hint."""
        name = str(args[0]) if args else ""
        if name and not name.startswith("-") and name not in SUMS:
            raise SumUnknown(name)
        return super().resolve_command(ctx, args)


@click.group(
    cls=SumTable,
    epilog="\b\n"
    'brinebook reckon evaporation --display "0.72 m2" --room "22 C" --humidity "50 %"\n'
    'brinebook reckon circuit --volts "230 V" --breaker "16 A" --load "tank=800 W"',
)
def command() -> None:
    """Reckon with a few figures: pipes, levels, heat, damp, circuits, an outage, the floor.

    Each sum says what it took for what you left out. What hangs together in your own rig is told by
    “brinebook rig” and “brinebook drill”.
    """


def _sum(name: str) -> Sum:
    """The sum of that name; only the table that holds it is imported."""
    table = SUMS[name]
    module = importlib.import_module(f"brinebook.desk.reckon_{table}")
    found: Sum = getattr(module, f"{table.upper()}_SUMS")[name]
    return found


def _command(name: str, asked: Sum) -> click.Command:
    def run(as_json: bool, **typed: Any) -> None:
        from brinebook.desk.reckon import reckon

        answer = reckon(asked, {option.replace("_", "-"): text for option, text in typed.items()})
        if as_json:
            output.emit_json(_json(answer))
        else:
            _show(answer)

    made: Any = run
    made = options.json_option(made)
    for one in reversed(asked.inputs):
        left_out = f"  [{one.default}]" if one.default is not None else ""
        must = "  [needed]" if one.needed else ""
        made = click.option(
            f"--{one.name}",
            one.name.replace("-", "_"),
            metavar="AMOUNT",
            multiple=one.several,
            help=f"{one.meaning[0].upper()}{one.meaning[1:]}.{left_out}{must}",
        )(made)
    summary = f"{asked.summary[0].upper()}{asked.summary[1:]}."
    return click.command(name, help=summary, epilog=f"\b\nbrinebook reckon {name} {asked.example}")(
        made
    )


def _json(answer: Answered) -> dict[str, object]:
    return {
        "figures": {
            name: None
            if one is None
            else {"value": one.value, "unit": one.unit}
            | ({} if one.low is None else {"low": one.low, "high": one.high})
            for name, one in answer.figures.items()
        },
        "notes": list(answer.notes),
        "assumed": dict(answer.assumed),
        "cautions": [
            {"id": one.id, "text": one.text, "ask": one.ask, "lasting": one.lasting}
            for one in answer.cautions
        ],
    }


def _show(answer: Answered) -> None:
    for one in answer.cautions:
        output.show(f"! {one.text}" + (f" (Ask: {one.ask}.)" if one.ask else ""))
    if answer.cautions:
        output.show()
    width = max(len(name) for name in answer.figures)
    for name, found in answer.figures.items():
        words = name.replace("_", " ")
        if found is None:
            output.show(f"  {words:<{width}}  none")
            continue
        ends = "" if found.low is None else f"  ({found.low:.3g} to {found.high:.3g})"
        output.show(f"  {words:<{width}}  {found.value:.4g} {found.unit}{ends}".rstrip())
    for note in answer.notes:
        output.show()
        output.show(note)
    if answer.assumed:
        taken = ", ".join(f"--{name} {text}" for name, text in answer.assumed.items())
        output.hint(f"taken for what you left out: {taken}.")
