"""Looking at what the book holds: its facts with their revisions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from brinebook.book import facts as stored
from brinebook.book.facts import Revision
from brinebook.book.identity import sort_key, to_us
from brinebook.desk.opening import OpenSystem, aware
from brinebook.timeline import Fact


@dataclass(frozen=True, slots=True)
class Chosen:
    """Which facts are asked for; what is left empty chooses all.

    ``since`` and ``until`` bound when it happened, naive ones in the system's zone; a bare day as
    ``until`` counts to its end.
    """

    kinds: tuple[str, ...] = ()
    what: str = ""
    fact: str = ""
    since: datetime | None = None
    until: datetime | None = None
    undone: bool = False
    last: int | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """A fact as it stands, with every revision that it went through."""

    fact: Fact
    revisions: tuple[Revision, ...] = field(default=())

    @property
    def newest(self) -> Revision:
        """The revision that stands."""
        return self.revisions[-1]


def history(
    opened: OpenSystem,
    chosen: Chosen,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Sequence[Story]:
    """The chosen facts with their revisions, by time, then kind, then what."""
    at_us = None if at is None else to_us(aware(at, opened.zone) or at)
    known_us = None if known is None else to_us(aware(known, opened.zone) or known)
    with opened.book.read() as connection:
        if chosen.fact:
            chain = stored.chain_of(connection, opened.system_id, chosen.fact)
            rows = stored.revisions(connection, opened.system_id, [chain])
        else:
            rows = stored.all_revisions(connection, opened.system_id)
    chains: dict[str, list[Revision]] = {}
    for row in rows:
        if known_us is None or row.entered.at_us <= known_us:
            chains.setdefault(row.chain, []).append(row)
    found = []
    for revisions in chains.values():
        revisions.sort(key=lambda one: one.number)
        story = Story(revisions[-1].fact, tuple(revisions))
        gone = story.newest.withdrawn and not (chosen.undone or chosen.fact)
        late = at_us is not None and to_us(story.fact.when) > at_us
        if not gone and not late and _fits(story.fact, chosen, opened):
            found.append(story)
    found.sort(key=lambda story: sort_key(story.fact))
    return found if chosen.last is None else found[len(found) - min(chosen.last, len(found)) :]


def _fits(fact: Fact, chosen: Chosen, opened: OpenSystem) -> bool:
    if chosen.kinds and fact.kind not in chosen.kinds:
        return False
    if chosen.what and fact.what.casefold() != chosen.what.casefold():
        return False
    since = aware(chosen.since, opened.zone)
    if since is not None and fact.when < since:
        return False
    until = chosen.until
    if until is not None and until.tzinfo is None and until.time() == datetime.min.time():
        until += timedelta(days=1)
        return fact.when < (aware(until, opened.zone) or until)
    end = aware(until, opened.zone)
    return end is None or fact.when <= end
