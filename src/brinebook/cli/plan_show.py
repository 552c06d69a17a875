"""What every ``brinebook plan …`` shares: its options, and how a plan is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
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


def _remember(ctx: click.Context, param: click.Parameter, value: object) -> None:
    # Every plan takes these two, and show_plan alone deals with them: so they stand in the context
    # and not among each command's arguments.
    ctx.meta[f"brinebook.plan.{param.name}"] = value


def book_options(function: Decorated) -> Decorated:
    """The options of a plan made from a book: --accept among them, which show_plan does."""
    for option in (
        click.option(
            "--by", metavar="NAME", expose_value=False, callback=_remember, help="Who accepts it."
        ),
        click.option(
            "--accept",
            is_flag=True,
            expose_value=False,
            callback=_remember,
            help="Keep it: its steps stand in Today until they are done.",
        ),
        options.json_option,
        options.system_option,
        options.known_option,
        options.at_option,
        why_option,
    ):
        function = option(function)
    return function


def show_plan(plan: Plan, zone: ZoneInfo | None = None, *, as_json: bool, why: bool) -> None:
    """Show a plan to a person, or as its JSON; keep it first where --accept was given."""
    from zoneinfo import ZoneInfo as Zone

    from brinebook.report.plan_json import named, plan_json
    from brinebook.report.plan_text import plan_lines, why_lines

    plan = named(plan)
    accepted = _accepted(plan)
    plan = replace(plan, notes=(*_beside(plan), *plan.notes))
    if as_json:
        told = plan_json(plan)
        output.emit_json(told if accepted is None else told | {"accepted": accepted})
        return
    for line in (why_lines if why else plan_lines)(plan, zone or Zone("UTC")):
        output.show(line)
    if accepted is not None:
        output.show()
        output.show(_accepted_text(plan, accepted))
        output.hint(f"brinebook plan done {plan.id}")


def _accepted_text(plan: Plan, accepted: dict[str, Any]) -> str:
    from brinebook.texts import say

    if not accepted["new"]:
        return say("{id} was accepted already; it stands as it did.", id=plan.id)
    text = say("Accepted as {id}: its steps stand in Today until they are done.", id=plan.id)
    for other in accepted["instead_of"]:
        text += " " + say("What was left of {other} is given up for it.", other=other)
    return text


def _beside(plan: Plan) -> tuple[str, ...]:
    """What a plan of the book should be read with; nothing of one for stated water."""
    context = click.get_current_context()
    of_book = "brinebook.plan.accept" in context.meta and context.params.get("volume") is None
    if not of_book or not plan.steps:
        return ()
    from brinebook.cli.session import Session
    from brinebook.desk import clock, plan_keep
    from brinebook.desk.opening import load
    from brinebook.errors import BrinebookError

    session = context.find_object(Session)
    assert session is not None
    try:
        loaded = load(
            session.book, context.params.get("system"), now=clock.now(),
            at=context.params.get("at"), known=context.params.get("known"),
        )  # fmt: skip
    except BrinebookError:
        return ()  # some plans need no book where enough was stated
    return plan_keep.beside(loaded, plan)


def _accepted(plan: Plan) -> dict[str, Any] | None:
    """What keeping the plan came to, or None where nobody asked for it."""
    context = click.get_current_context()
    if not context.meta.get("brinebook.plan.accept"):
        return None
    if context.params.get("volume") is not None:
        raise click.UsageError(
            "A plan for water that was only stated can't be accepted: leave --volume out, so that "
            "it is made from the book."
        )
    from brinebook.cli.session import Session
    from brinebook.desk import clock, plan_keep
    from brinebook.desk.opening import open_system

    session = context.find_object(Session)
    assert session is not None
    opened = open_system(session.book, context.params.get("system"))
    by = context.meta.get("brinebook.plan.by") or ""
    kept = plan_keep.accept(opened, plan, now=clock.now(), by=by)
    return {"plan": kept.plan.id, "new": kept.new, "instead_of": list(kept.instead_of)}
