"""``brinebook add``: write down one fact."""

from __future__ import annotations

import click

from brinebook.cli import output
from brinebook.cli.options import json_option, system_option
from brinebook.cli.session import Session
from brinebook.cli.telling import (
    by_option,
    detail_options,
    fact_text,
    read_details,
    recorded_json,
)


@click.command("add", context_settings={"ignore_unknown_options": True})
@click.argument("kind")
@click.argument("words", nargs=-1, type=click.UNPROCESSED)
@click.option("--when", metavar="WHEN", help="When it happened; left out, just now.")
@by_option
@detail_options
@system_option
@json_option
@click.pass_obj
def command(
    session: Session,
    kind: str,
    words: tuple[str, ...],
    *,
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
    """Write down a test, a dose, a change, anything.

    \b
    brinebook add test alk 8.2dKH --method "drop count"
    brinebook add dose "carbonate solution" 30mL
    brinebook add change 15%
    brinebook add level top-off 18L --when "this morning"
    brinebook add verdict FACT wrong
    brinebook add note "the corals look pale"

    KIND is one of test, dose, dosing, water_change (or change), level, top_off, removed, feed,
    media, harvest, done, event, verdict, note. WHEN is ISO 8601, a clock time, or words such as
    "yesterday evening" or "2 hours ago". A decimal comma is read.
    """
    from brinebook.desk import clock, record
    from brinebook.desk.opening import open_system

    _refuse_unknown_options(words)
    detail = read_details(details, method=method, lot=lot, replicate=replicate, of=of, by=by)
    opened = open_system(session.book, system)
    done = record.add(
        opened, kind, words=words, detail=detail, when=when, now=clock.now(), by=by or ""
    )
    for remark in done.remarks:
        output.say(remark)
    if as_json:
        output.emit_json(recorded_json(done))
        return
    said = "Written down" if done.done else "Already in the book, nothing added"
    output.show(f"{said}: {fact_text(done.fact, opened.zone)}  ({done.fact.id})")


def _refuse_unknown_options(words: tuple[str, ...]) -> None:
    """Negative numbers are words here; everything else that looks like an option is a slip."""
    for word in words:
        if word.startswith("-") and not word[1:2].isdigit() and word[1:2] not in {"", "."}:
            raise click.NoSuchOption(word)
