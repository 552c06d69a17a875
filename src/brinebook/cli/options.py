"""Options that several commands share, so that they read and behave the same everywhere."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

import click

from brinebook.cli.session import Session

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def json_option(function: Decorated) -> Decorated:
    """``--json``, as the argument ``as_json``."""
    return click.option(
        "--json", "as_json", is_flag=True, help="Answer with one JSON object, for programs."
    )(function)


def system_option(function: Decorated) -> Decorated:
    """``--system NAME``, as the argument ``system``; else the one given before the command."""
    return click.option(
        "--system",
        metavar="NAME",
        callback=_or_session_system,
        help="Which system, where the book holds several.",
    )(function)


def at_option(function: Decorated) -> Decorated:
    """``--at WHEN``, as the argument ``at`` (a datetime as typed, perhaps naive, or None)."""
    return click.option(
        "--at",
        callback=read_when,
        metavar="WHEN",
        help="Answer as of this instant, from what had happened by then.",
    )(function)


def known_option(function: Decorated) -> Decorated:
    """``--known WHEN``, as the argument ``known`` (a datetime as typed, perhaps naive, or None)."""
    return click.option(
        "--known",
        callback=read_when,
        metavar="WHEN",
        help="Leave out what was entered after this instant.",
    )(function)


def read_when(_ctx: click.Context, _param: click.Parameter, value: str | None) -> datetime | None:
    """An instant or a day in ISO 8601, as a click callback.

    Without an offset the result stays naive: the desk reads it in the system's zone.
    """
    if value is None:
        return None
    try:
        return datetime.fromisoformat(value.strip())
    except ValueError:
        raise click.BadParameter(
            f"“{value}” is not a date or time that can be read. "
            "Write 2026-03-01, 2026-03-01T09:00 or 2026-03-01T09:00+01:00."
        ) from None


def _or_session_system(
    ctx: click.Context, _param: click.Parameter, value: str | None
) -> str | None:
    if value is not None:
        return value
    session = ctx.find_object(Session)
    return session.system if session else None
