"""``brinebook edit``: correct a fact; the old form is kept."""

from __future__ import annotations

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session
from brinebook.cli.telling import (
    detail_options,
    fact_text,
    read_details,
    recorded_json,
)


@click.command("edit")
@click.argument("fact")
@click.argument("amount", nargs=-1)
@click.option("--what", metavar="NAME", help="Another quantity, additive, mix …")
@click.option("--when", metavar="WHEN", help="Another time.")
@click.option("--by", metavar="NAME", help="Who did it.")
@detail_options
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    fact: str,
    amount: tuple[str, ...],
    *,
    what: str | None,
    when: str | None,
    by: str | None,
    details: tuple[str, ...],
    of: str | None,
    replicate: str | None,
    lot: str | None,
    method: str | None,
    system: str | None,
    as_json: bool,
) -> None:
    """Correct a fact; the old form is kept, and `undo` brings it back.

    \b
    brinebook edit FACT 8.3dKH
    brinebook edit FACT --when "yesterday evening"
    brinebook edit FACT --lot A2 --detail replicate=

    FACT is the id that `brinebook history` shows, or its first letters. What isn't named stays; a
    detail set to nothing is taken out.
    """
    from brinebook.desk import clock, record
    from brinebook.desk.opening import open_system

    detail = read_details(details, method=method, lot=lot, replicate=replicate, of=of, by=by)
    if not amount and what is None and when is None and not detail:
        raise click.UsageError("Nothing to correct was named.")
    opened = open_system(session.book, system)
    done = record.edit(
        opened,
        fact,
        amount=" ".join(amount) or None,
        what=what,
        when=when,
        detail=detail,
        now=clock.now(),
        by=by or "",
    )
    for remark in done.remarks:
        output.say(remark)
    if as_json:
        output.emit_json(recorded_json(done))
        return
    if done.before is not None:
        output.show(f"Was:  {fact_text(done.before, opened.zone)}  ({done.before.id})")
    label = "Now: " if done.done else "As it was, nothing changed:"
    output.show(f"{label} {fact_text(done.fact, opened.zone)}  ({done.fact.id})")
    if done.followed:
        output.say(f"{len(done.followed)} verdict(s) on it now name it by its new id.")
