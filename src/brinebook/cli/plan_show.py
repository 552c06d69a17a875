"""What every ``brinebook plan …`` shares: its options, and how a plan is shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from brinebook.cli import options, output

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from brinebook.plan import Plan

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def why_option(function: Decorated) -> Decorated:
    """``--why``, as the argument ``why``."""
    return click.option(
        "--why", is_flag=True, help="Unfold it: figures, courses, inputs, equations, sources."
    )(function)


def reckoning_options(function: Decorated) -> Decorated:
    """The options of a plan that needs no book: --why and --json."""
    return why_option(options.json_option(function))


def book_options(function: Decorated) -> Decorated:
    """The options of a plan made from a book."""
    for option in (
        options.json_option,
        options.system_option,
        options.known_option,
        options.at_option,
        why_option,
    ):
        function = option(function)
    return function


def show_plan(plan: Plan, zone: ZoneInfo | None = None, *, as_json: bool, why: bool) -> None:
    """Show a plan to a person, or as its JSON."""
    from zoneinfo import ZoneInfo as Zone

    from brinebook.report.plan_json import plan_json
    from brinebook.report.plan_text import plan_lines, why_lines

    if as_json:
        output.emit_json(plan_json(plan))
        return
    for line in (why_lines if why else plan_lines)(plan, zone or Zone("UTC")):
        output.show(line)
