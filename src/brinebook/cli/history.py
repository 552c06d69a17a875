"""``brinebook history``: what the book holds."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from brinebook.cli import output
from brinebook.cli.options import at_option, json_option, known_option, read_when, system_option
from brinebook.cli.session import Session
from brinebook.cli.telling import fact_text, local_time, revision_json
from brinebook.report.facts_json import fact_object

if TYPE_CHECKING:
    from brinebook.desk.looking import Story
    from brinebook.desk.opening import OpenSystem


@click.command("history")
@click.argument("fact", required=False)
@click.option("--kind", "kinds", multiple=True, metavar="KIND", help="Only of this kind.")
@click.option("--what", metavar="NAME", default="", help="Only about this.")
@click.option("--from", "since", metavar="WHEN", callback=read_when, help="From then on.")
@click.option("--to", "until", metavar="WHEN", callback=read_when, help="Until then.")
@click.option("--last", type=click.IntRange(min=1), metavar="N", help="Only the last N.")
@click.option("--undone", is_flag=True, help="Also what was undone.")
@system_option
@at_option
@known_option
@json_option
@click.pass_obj
def command(
    session: Session,
    fact: str | None,
    *,
    kinds: tuple[str, ...],
    what: str,
    since: datetime | None,
    until: datetime | None,
    last: int | None,
    undone: bool,
    system: str | None,
    at: datetime | None,
    known: datetime | None,
    as_json: bool,
) -> None:
    """Show what the book holds, newest last, each fact with its id.

    \b
    brinebook history --last 20
    brinebook history --kind test --what alkalinity --from 2026-02-01
    brinebook history FACT

    With FACT, every revision of that one. --known shows the book as it was known then.
    """
    from brinebook.desk.looking import Chosen, history
    from brinebook.desk.opening import open_system
    from brinebook.desk.wording import KIND_WORDS, quantity_name

    opened = open_system(session.book, system)
    chosen = Chosen(
        kinds=tuple(KIND_WORDS.get(kind, kind) for kind in kinds),
        what=quantity_name(what),
        fact=fact or "",
        since=since,
        until=until,
        undone=undone,
        last=last,
    )
    stories = history(opened, chosen, at=at, known=known)
    if as_json:
        answer = {"system": opened.system.name, "facts": [_story_json(one) for one in stories]}
        output.emit_json(answer)
        return
    for story in stories:
        _tell(opened, story, every=bool(fact))
    if not stories:
        output.show("Nothing.")


def _story_json(story: Story) -> dict[str, object]:
    newest = story.newest
    return {
        **fact_object(story.fact),
        "entered_at": newest.entered_at.isoformat(),
        "entered_by": newest.entered.by,
        "entered_through": newest.entered.through,
        "revision": newest.number,
        "withdrawn": newest.withdrawn,
        "revisions": [revision_json(one) for one in story.revisions],
    }


def _tell(opened: OpenSystem, story: Story, *, every: bool) -> None:
    mark = "  (undone)" if story.newest.withdrawn else ""
    output.show(f"{story.fact.id}  {fact_text(story.fact, opened.zone)}{mark}")
    if not every:
        return
    for one in story.revisions:
        by = f" by {one.entered.by}" if one.entered.by else ""
        entered = f"{local_time(one.entered_at, opened.zone)}{by}, {one.entered.through}"
        output.show(f"  {one.number}. {one.action} {entered}: {fact_text(one.fact, opened.zone)}")
