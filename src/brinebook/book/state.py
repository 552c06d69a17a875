"""In which state a system stands: numbers that change with everything written about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import exists, func, select

from brinebook.book.facts import current
from brinebook.book.identity import from_us, stored_detail
from brinebook.book.schema import descriptions, facts, plans
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class Mark:
    """When the last fact was entered (two writes never share an instant), which description, and
    how many rows there are of accepted plans, which nothing ever takes away."""

    entered_us: int
    described: int
    planned: int = 0


def mark(connection: Connection, system_id: str) -> Mark:
    """The state now. Whatever writes a fact, a description or a word on a plan changes it."""
    entered = connection.execute(
        select(func.max(facts.c.entered_us)).where(facts.c.system_id == system_id)
    ).scalar()
    described = connection.execute(
        select(func.max(descriptions.c.revision)).where(descriptions.c.system_id == system_id)
    ).scalar()
    planned = connection.execute(
        select(func.count()).select_from(plans).where(plans.c.system_id == system_id)
    ).scalar()
    return Mark(int(entered or 0), int(described or 0), int(planned or 0))


def chains_of(connection: Connection, system_id: str, ids: Sequence[str]) -> dict[str, str]:
    """The chain of each of these ids (fewer than a thousand)."""
    query = select(facts.c.fact_id, facts.c.chain).where(
        facts.c.system_id == system_id, facts.c.fact_id.in_(list(ids))
    )
    return {row[0]: row[1] for row in connection.execute(query)}


def withdrawn_chains(connection: Connection, system_id: str) -> list[str]:
    """The chains that were taken back and stand no longer."""
    newest = (
        select(facts.c.chain, func.max(facts.c.revision).label("number"))
        .where(facts.c.system_id == system_id)
        .group_by(facts.c.chain)
        .subquery()
    )
    query = (
        select(facts.c.chain)
        .join(newest, (facts.c.chain == newest.c.chain) & (facts.c.revision == newest.c.number))
        .where(facts.c.system_id == system_id, facts.c.withdrawn.is_(True))
        .order_by(facts.c.happened_us.desc(), facts.c.chain)
    )
    return [str(chain) for chain in connection.execute(query).scalars()]


def superseded_tests(connection: Connection, system_id: str, quantity: str) -> list[Fact]:
    """What tests of a quantity said before they were corrected or taken back."""
    newer = facts.alias("newer")
    later = exists().where(
        newer.c.system_id == facts.c.system_id,
        newer.c.chain == facts.c.chain,
        newer.c.revision > facts.c.revision,
        newer.c.fact_id != facts.c.fact_id,
    )
    query = (
        select(facts)
        .where(
            facts.c.system_id == system_id,
            facts.c.kind == "test",
            facts.c.what == quantity,
            facts.c.withdrawn.is_(False),
            later,
        )
        .order_by(facts.c.happened_us, facts.c.fact_id)
    )
    standing = _standing_ids(connection, system_id, quantity)
    found: dict[str, Fact] = {}
    for row in connection.execute(query):
        got = row._mapping
        if got["fact_id"] in standing:
            continue
        found[got["fact_id"]] = Fact(
            got["fact_id"],
            from_us(got["happened_us"]),
            got["kind"],
            got["what"],
            got["value"],
            got["unit"],
            stored_detail(got["detail"]),
        )
    return list(found.values())


def _standing_ids(connection: Connection, system_id: str, quantity: str) -> set[str]:
    chosen = (facts.c.kind == "test") & (facts.c.what == quantity)
    return {fact.id for fact in current(connection, system_id, chosen=chosen)}
