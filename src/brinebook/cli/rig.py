"""``brinebook rig``: what moves the water, what warms it, and where it ends up."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

import click

from brinebook.cli import output
from brinebook.cli.options import at_option, json_option, system_option
from brinebook.cli.session import Session

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def rig_options(function: Decorated) -> Decorated:
    """What everything about a rig takes: which system, or a file in place of a book; as of when."""
    for option in (
        json_option,
        system_option,
        at_option,
        click.option(
            "--file",
            type=click.Path(path_type=Path),
            metavar="FILE",
            help="A system.toml to read, in place of a book.",
        ),
    ):
        function = option(function)
    return function


@click.group(invoke_without_command=True)
@rig_options
@click.pass_context
def command(
    ctx: click.Context,
    *,
    file: Path | None,
    at: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Tell what the described rig does: flows, levels, heat, damp, power, an outage, the floor.

    \b
    brinebook rig
    brinebook rig levels
    brinebook rig --file system.toml --json

    Without a word after it, what is described, what is missing, the flows and the levels; with
    --json everything at once. docs/rig.md has every key of the description.
    """
    if ctx.invoked_subcommand is not None:
        return
    session = ctx.ensure_object(Session)
    from brinebook.desk import rig

    asked = rig.ask(session.book, system, at=at, file=file)
    if as_json:
        output.emit_json(rig.whole_json(asked))
        return
    for line in rig.overview_lines(asked):
        output.show(line)


def _part(name: str, about: str) -> click.Command:
    """The command of one part of the answer."""

    @click.command(name, help=f"{about}\n\n\b\nbrinebook rig {name}")
    @rig_options
    @click.pass_obj
    def part(
        session: Session,
        *,
        file: Path | None,
        at: datetime | None,
        system: str | None,
        as_json: bool,
    ) -> None:
        from brinebook.desk import rig

        asked = rig.ask(session.book, system, at=at, file=file)
        if as_json:
            output.emit_json(rig.part_json(asked, name))
            return
        for line in rig.part_lines(asked, name):
            output.show(line)

    return part


for _name, _about in (
    ("flows", "Tell every flow: pumps, pipes, branches, beds, valves, thin lines."),
    ("levels", "Tell every level: running, when the pump stops, blocked, stuck, burst."),
    ("heat", "Tell where the heat goes, what heaters and fans do, and what a month costs."),
    ("damp", "Tell how damp the stand and the flat get, and what a fan can do."),
    ("power", "Tell what each circuit carries and what shares a fate."),
    ("outage", "Tell how oxygen and warmth run down in the dark, and what buys time."),
    ("floor", "Tell what presses on the floor, as an engineer asks it."),
):
    command.add_command(_part(_name, _about))


@command.command("assumed", help="List every default that stands in.\n\n\b\nbrinebook rig assumed")
@rig_options
@click.pass_obj
def assumed(
    session: Session,
    *,
    file: Path | None,
    at: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    _list(session, "assumed", (file, at, system), as_json=as_json)


@command.command("missing", help="List what isn't described.\n\n\b\nbrinebook rig missing")
@rig_options
@click.pass_obj
def missing(
    session: Session,
    *,
    file: Path | None,
    at: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    _list(session, "missing", (file, at, system), as_json=as_json)


def _list(
    session: Session,
    what: str,
    of: tuple[Path | None, datetime | None, str | None],
    *,
    as_json: bool,
) -> None:
    from brinebook.desk import rig

    file, at, system = of
    asked = rig.ask(session.book, system, at=at, file=file)
    if as_json:
        whole = rig.described_json(asked)
        output.emit_json({"system": whole["system"], what: whole[what]})
        return
    lines = rig.assumed_lines if what == "assumed" else rig.all_missing_lines
    for line in lines(asked):
        output.show(line)


@command.command("draw", help="Draw the rig as SVG.\n\n\b\nbrinebook rig draw --out rig.svg")
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Where it goes.")
@rig_options
@click.pass_obj
def draw(
    session: Session,
    *,
    out: Path | None,
    file: Path | None,
    at: datetime | None,
    system: str | None,
    as_json: bool,
) -> None:
    from brinebook.desk import rig
    from brinebook.desk.files import write_file

    svg = rig.drawing(rig.ask(session.book, system, at=at, file=file))
    if out is not None:
        write_file(out, [svg])
    if as_json:
        output.emit_json({"svg": svg, "file": None if out is None else str(out)})
    elif out is None:
        output.show(svg.rstrip("\n"))
    else:
        output.say(f"Drawn to {out}.")
