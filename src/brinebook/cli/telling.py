"""How the commands about the book show facts, for people and for programs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from brinebook.errors import UsageProblem
from brinebook.report.facts_json import fact_object
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from brinebook.book.facts import Revision
    from brinebook.desk.record import Recorded


class DetailUnreadable(UsageProblem):
    """A ``--detail`` isn't key=value."""

    code = "E-DETAIL"

    def __init__(self, text: str) -> None:
        super().__init__(f"--detail {text!r} isn't key=value.", "Write: --detail flow=60")


def read_details(pairs: tuple[str, ...], **named: str | None) -> dict[str, str]:
    """``--detail key=value`` and the options that are details by name, together."""
    found: dict[str, str] = {}
    for pair in pairs:
        key, equals, value = pair.partition("=")
        if not equals or not key.strip():
            raise DetailUnreadable(pair)
        found[key.strip()] = value.strip()
    return found | {key: value for key, value in named.items() if value is not None}


def revision_json(revision: Revision) -> dict[str, object]:
    """One revision for programs."""
    return {
        "revision": revision.number,
        "action": revision.action,
        "entered_at": revision.entered_at.isoformat(),
        "entered_by": revision.entered.by,
        "entered_through": revision.entered.through,
        **fact_object(revision.fact),
    }


def recorded_json(done: Recorded) -> dict[str, object]:
    """What became of an entry, for programs."""
    return {
        **fact_object(done.fact),
        "written": done.done,
        "withdrawn": done.withdrawn,
        "before": None if done.before is None else fact_object(done.before),
        "verdicts": [fact_object(one) for one in done.followed],
        "remarks": list(done.remarks),
    }


def fact_text(fact: Fact, zone: ZoneInfo) -> str:
    """A fact in a line: local time, kind, what, value, detail."""
    parts = [
        local_time(fact.when, zone),
        fact.kind,
        fact.what,
        f"{fact.value} {fact.unit}".strip(),
        details_text(fact.detail),
    ]
    return "  ".join(part for part in parts if part)


def local_time(when: datetime, zone: ZoneInfo) -> str:
    """``2026-03-01 09:00`` on the system's clock."""
    return f"{when.astimezone(zone):%Y-%m-%d %H:%M}"


def details_text(detail: Mapping[str, str]) -> str:
    """``method drop count, lot A1``."""
    return ", ".join(f"{key} {detail[key]}" for key in sorted(detail))


def by_option(function: click.decorators.FC) -> click.decorators.FC:
    """``--by NAME``: who measured or did it."""
    return click.option("--by", metavar="NAME", help="Who did it.")(function)


def detail_options(function: click.decorators.FC) -> click.decorators.FC:
    """The options that set detail keys."""
    for option in (
        click.option("--detail", "details", multiple=True, metavar="KEY=VALUE", help="Any detail."),
        click.option("--of", metavar="NAME", help="What was tested, if not the system."),
        click.option("--replicate", metavar="N", help="Tells a second identical test apart."),
        click.option("--lot", metavar="LOT", help="The reagent bottle."),
        click.option("--method", metavar="NAME", help="How it was tested."),
    ):
        function = option(function)
    return function
