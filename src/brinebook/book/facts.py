"""Facts and their revisions: append, look up, revise. No row is ever changed or removed.

A chain is one fact through all its revisions; its key is the id of the first. Each content belongs
to one chain for good, so an id that was ever shown keeps meaning the same fact.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import ColumnElement, Row, and_, exists, func, insert, select

from brinebook.book import faults
from brinebook.book.identity import detail_text, from_us, sort_key, stored_detail, to_us
from brinebook.book.schema import facts
from brinebook.book.systems import Entered
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection

ENTERED, EDITED, UNDONE, RESTATED = "entered", "edited", "undone", "restated"
#: A verdict that names its fact by a new id, because the fact was edited or that was undone.
FOLLOWED = "followed"

_CONTENT = (
    facts.c.fact_id,
    facts.c.happened_us,
    facts.c.kind,
    facts.c.what,
    facts.c.value,
    facts.c.unit,
    facts.c.detail,
)


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision of a fact: what was done, the content after it, and its entry."""

    chain: str
    number: int
    action: str
    withdrawn: bool
    fact: Fact
    entered: Entered

    @property
    def entered_at(self) -> datetime:
        """When the revision was entered, in UTC."""
        return from_us(self.entered.at_us)


def next_entry(connection: Connection, system_id: str, *, entered: Entered) -> Entered:
    """The same entry, moved on where needed: two writes never share an instant."""
    last = connection.execute(
        select(func.max(facts.c.entered_us)).where(facts.c.system_id == system_id)
    ).scalar_one()
    at = entered.at_us if last is None else max(entered.at_us, int(last) + 1)
    return Entered(at, entered.by, entered.through)


def all_ids(connection: Connection, system_id: str) -> set[str]:
    """Every id that any revision of any fact has or had, also edited and undone ones."""
    rows = connection.execute(select(facts.c.fact_id).where(facts.c.system_id == system_id))
    return set(rows.scalars())


def append_new(
    connection: Connection, system_id: str, new: Iterable[Fact], *, entered: Entered
) -> int:
    """Append first revisions. The caller has checked that none of the contents is known."""
    rows = [
        _row(system_id, fact, chain=fact.id, number=1, action=ENTERED, entered=entered)
        for fact in new
    ]
    if rows:
        connection.execute(insert(facts), rows)
    return len(rows)


def append_revision(
    connection: Connection,
    system_id: str,
    *,
    last: Revision,
    fact: Fact,
    action: str,
    entered: Entered,
    withdrawn: bool = False,
) -> Revision:
    """Append the next revision of a chain and return it."""
    number = last.number + 1
    row = _row(system_id, fact, chain=last.chain, number=number, action=action, entered=entered)
    connection.execute(insert(facts), [row | {"withdrawn": withdrawn}])
    return Revision(last.chain, number, action, withdrawn, fact, entered)


def current(
    connection: Connection,
    system_id: str,
    *,
    at_us: int | None = None,
    known_us: int | None = None,
    chosen: ColumnElement[bool] | None = None,
) -> list[Fact]:
    """The facts that stand, in the order of `sort_key`.

    ``at_us`` leaves out what happened later, ``known_us`` what was entered later: a fact edited
    since is then as it was.
    """
    newer = facts.alias("newer")
    superseded = [
        newer.c.system_id == facts.c.system_id,
        newer.c.chain == facts.c.chain,
        newer.c.revision > facts.c.revision,
    ]
    wanted = [facts.c.system_id == system_id, facts.c.withdrawn.is_(False)]
    if known_us is not None:
        superseded.append(newer.c.entered_us <= known_us)
        wanted.append(facts.c.entered_us <= known_us)
    if at_us is not None:
        wanted.append(facts.c.happened_us <= at_us)
    if chosen is not None:
        wanted.append(chosen)
    query = select(*_CONTENT).where(*wanted, ~exists().where(and_(*superseded)))
    found = [_fact(row) for row in connection.execute(query)]
    found.sort(key=sort_key)
    return found


def any_after(connection: Connection, system_id: str, at_us: int) -> bool:
    """Whether the book knows of a fact that happened after an instant (withdrawn ones count)."""
    later = exists().where(facts.c.system_id == system_id, facts.c.happened_us > at_us)
    return bool(connection.execute(select(later)).scalar_one())


def revisions(connection: Connection, system_id: str, chains: Sequence[str]) -> list[Revision]:
    """Every revision of these chains, chain by chain, oldest first."""
    found: list[Revision] = []
    for start in range(0, len(chains), 500):  # SQLite bounds the variables of a statement
        query = (
            select(facts)
            .where(facts.c.system_id == system_id, facts.c.chain.in_(chains[start : start + 500]))
            .order_by(facts.c.chain, facts.c.revision)
        )
        found += [_revision(row) for row in connection.execute(query)]
    return found


def all_revisions(connection: Connection, system_id: str) -> list[Revision]:
    """Every revision of every fact of a system, in the order of entry."""
    query = (
        select(facts)
        .where(facts.c.system_id == system_id)
        .order_by(facts.c.entered_us, facts.c.happened_us, facts.c.chain, facts.c.revision)
    )
    return [_revision(row) for row in connection.execute(query)]


def chain_of(connection: Connection, system_id: str, fact: str) -> str:
    """The chain that an id, an earlier id, or the beginning of one (4 letters or more) means.

    Raises FactUnknown or FactAmbiguous.
    """
    wanted = fact.strip().lower()
    chains = list(
        connection.execute(
            select(facts.c.chain)
            .where(facts.c.system_id == system_id, facts.c.fact_id == wanted)
            .distinct()
        ).scalars()
    )
    if not chains and len(wanted) >= 4 and wanted.isalnum():
        chains = list(
            connection.execute(
                select(facts.c.chain)
                .where(facts.c.system_id == system_id, facts.c.fact_id.startswith(wanted))
                .distinct()
                .order_by(facts.c.chain)
                .limit(9)
            ).scalars()
        )
    if not chains:
        raise faults.FactUnknown(fact)
    if len(chains) > 1:
        raise faults.FactAmbiguous(fact, chains)
    return str(chains[0])


def ids_today(
    connection: Connection, system_id: str, ids: Sequence[str], known_us: int | None = None
) -> dict[str, str]:
    """For each of these earlier ids that a chain had, the chain's id now (or as known then)."""
    query = select(facts.c.fact_id, facts.c.chain).where(
        facts.c.system_id == system_id, facts.c.fact_id.in_(list(ids))
    )
    chains: dict[str, str] = {row[0]: row[1] for row in connection.execute(query)}
    last: dict[str, str] = {}
    for revision in revisions(connection, system_id, sorted(set(chains.values()))):
        if known_us is None or revision.entered.at_us <= known_us:
            last[revision.chain] = revision.fact.id
    return {fact_id: last[chain] for fact_id, chain in chains.items() if chain in last}


def last_revision(connection: Connection, system_id: str, chain: str) -> Revision:
    """The newest revision of a chain."""
    return revisions(connection, system_id, [chain])[-1]


def _row(
    system_id: str, fact: Fact, *, chain: str, number: int, action: str, entered: Entered
) -> dict[str, object]:
    return {
        "system_id": system_id,
        "chain": chain,
        "revision": number,
        "action": action,
        "withdrawn": False,
        "fact_id": fact.id,
        "happened_us": to_us(fact.when),
        "kind": fact.kind,
        "what": fact.what,
        "value": fact.value,
        "unit": fact.unit,
        "detail": detail_text(fact.detail),
        "entered_us": entered.at_us,
        "entered_by": entered.by,
        "entered_through": entered.through,
    }


def _fact(row: Row[*tuple[Any, ...]]) -> Fact:
    fact_id, happened_us, kind, what, value, unit, detail = row
    return Fact(fact_id, from_us(happened_us), kind, what, value, unit, stored_detail(detail))


def _revision(row: Row[*tuple[Any, ...]]) -> Revision:
    got = row._mapping
    fact = Fact(
        got["fact_id"],
        from_us(got["happened_us"]),
        got["kind"],
        got["what"],
        got["value"],
        got["unit"],
        stored_detail(got["detail"]),
    )
    return Revision(
        got["chain"],
        got["revision"],
        got["action"],
        bool(got["withdrawn"]),
        fact,
        Entered(got["entered_us"], got["entered_by"], got["entered_through"]),
    )
