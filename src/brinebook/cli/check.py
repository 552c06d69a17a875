"""``brinebook check``: look the book over for faults."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session

if TYPE_CHECKING:
    from brinebook.desk.finding import Finding

FOUND_FAULTS = 1


@click.command("check")
@system_option
@json_option
@click.pass_obj
@click.pass_context
def command(ctx: click.Context, session: Session, *, system: str | None, as_json: bool) -> None:
    """Look the book over: each fault with what it concerns and the command that puts it right.

    \b
    brinebook check

    Ends with status 1 where faults were found; hints alone end with 0.
    """
    from brinebook.desk import checking, clock
    from brinebook.desk.opening import open_system

    opened = open_system(session.book, system)
    found = checking.check(opened, now=clock.now())
    faults = [one for one in found if one.weight == "fault"]
    hints = [one for one in found if one.weight == "hint"]
    if as_json:
        output.emit_json(
            {
                "system": opened.system.name,
                "faults": [_finding_json(one) for one in faults],
                "hints": [_finding_json(one) for one in hints],
            }
        )
    else:
        for one in found:
            output.show(f"{'Fault' if one.weight == 'fault' else 'Hint'}: {one.text}")
            if one.items:
                output.show(f"  {', '.join(one.items)}")
            if one.repair:
                output.show(f"  {one.repair}")
        output.show(f"{len(checking.CHECKS) + 1} checks: {len(faults)} faults, {len(hints)} hints.")
    if faults:
        ctx.exit(FOUND_FAULTS)


def _finding_json(one: Finding) -> dict[str, object]:
    return {
        "check": one.check,
        "text": one.text,
        "items": list(one.items),
        "repair": one.repair,
    }
