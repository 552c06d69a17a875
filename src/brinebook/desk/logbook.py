"""The book's facts a page at a time, newest first, with what was done to each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.book import facts as stored
from brinebook.book import state
from brinebook.book.facts import Revision
from brinebook.desk.opening import OpenSystem
from brinebook.report.dates import instant_text
from brinebook.report.facts import FactLine, fact_line
from brinebook.timeline import Fact

PAGE = 50


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which facts: of a kind, about a thing, with these words, from before a fact; ``undone``
    asks for those that were taken back instead."""

    kind: str = ""
    what: str = ""
    find: str = ""
    before: str = ""
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact of the page; ``edited`` where it was corrected, ``withdrawn`` where taken back."""

    fact: Fact
    edited: bool
    withdrawn: bool


@dataclass(frozen=True, slots=True)
class LogPage:
    """One page: its entries, the id to go on before ("" at the end), and what one may ask for."""

    entries: tuple[Entry, ...]
    older: str
    whats: tuple[str, ...]
    count: int


def log_page(
    opened: OpenSystem,
    facts: Sequence[Fact],
    wanted: Wanted,
    *,
    texts: Callable[[], Sequence[str]] | None = None,
) -> LogPage:
    """One page of the facts that stand (given in order of time), or of those taken back.

    ``texts`` gives `searched_text` of every fact, where that is kept at hand.
    """
    if wanted.undone:
        return _undone(opened, wanted)
    fitting = [fact for fact in _found(facts, wanted, texts) if _fits(fact, wanted)]
    fitting.reverse()
    start = 0
    if wanted.before:
        places = (place for place, fact in enumerate(fitting) if fact.id == wanted.before)
        start = next(places, -1) + 1
    shown = fitting[start : start + PAGE]
    older = shown[-1].id if start + PAGE < len(fitting) else ""
    edited = _edited(opened, shown)
    entries = tuple(Entry(fact, fact.id in edited, withdrawn=False) for fact in shown)
    return LogPage(entries, older, _whats(facts, wanted.kind), len(fitting))


def _fits(fact: Fact, wanted: Wanted) -> bool:
    if wanted.kind and fact.kind != wanted.kind:
        return False
    return not wanted.what or fact.what == wanted.what


def _found(
    facts: Sequence[Fact], wanted: Wanted, texts: Callable[[], Sequence[str]] | None = None
) -> Iterable[Fact]:
    """The facts in which all the words stand."""
    words = wanted.find.casefold().split()
    if not words:
        return facts
    known = texts() if texts is not None else [searched_text(fact) for fact in facts]
    pairs = zip(facts, known, strict=True)
    return [fact for fact, text in pairs if all(word in text for word in words)]


def searched_text(fact: Fact) -> str:
    """What a search looks through."""
    said = " ".join(fact.detail.values())
    text = f"{fact.id} {fact.kind} {fact.what} {fact.value} {fact.unit} {said}"
    return text.replace("_", " ").casefold()


def _edited(opened: OpenSystem, shown: Sequence[Fact]) -> set[str]:
    """The ids of those that aren't as they were first entered."""
    if not shown:
        return set()
    with opened.book.read() as connection:
        chains = state.chains_of(connection, opened.system_id, [fact.id for fact in shown])
        found = stored.revisions(connection, opened.system_id, sorted(set(chains.values())))
    newest: dict[str, Revision] = {one.chain: one for one in found}
    return {one.fact.id for one in newest.values() if one.number > 1}


def _whats(facts: Sequence[Fact], kind: str) -> tuple[str, ...]:
    if not kind:
        return ()
    return tuple(sorted({fact.what for fact in facts if fact.kind == kind and fact.what}))[:200]


def _undone(opened: OpenSystem, wanted: Wanted) -> LogPage:
    with opened.book.read() as connection:
        chains = state.withdrawn_chains(connection, opened.system_id)
        found = stored.revisions(connection, opened.system_id, chains[:1000])
    newest = {one.chain: one for one in found}
    gone = [newest[chain].fact for chain in chains if chain in newest]
    fitting = [fact for fact in _found(gone, wanted) if _fits(fact, wanted)]
    entries = tuple(Entry(fact, edited=False, withdrawn=True) for fact in fitting[:PAGE])
    return LogPage(entries, "", (), len(fitting))


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One thing done to a fact: what, when, by whom and through what, and the fact after it."""

    number: int
    action: str
    entered: str
    by: str
    through: str
    withdrawn: bool
    line: FactLine


def revision_lines(
    revisions: Sequence[Revision], now: datetime, zone: ZoneInfo
) -> Iterator[RevisionLine]:
    """A fact's history as lines, oldest first."""
    for one in revisions:
        yield RevisionLine(
            one.number,
            one.action,
            instant_text(one.entered_at, now, zone),
            one.entered.by,
            one.entered.through,
            one.withdrawn,
            fact_line(one.fact, now, zone),
        )
