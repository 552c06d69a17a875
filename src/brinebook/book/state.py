"""In which state a system stands: two numbers that change with everything written about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from brinebook.book.schema import descriptions, facts

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class Mark:
    """When the last fact was entered (two writes never share an instant), and which description."""

    entered_us: int
    described: int


def mark(connection: Connection, system_id: str) -> Mark:
    """The state of a system now. Whatever writes a fact or a description changes it."""
    entered = connection.execute(
        select(func.max(facts.c.entered_us)).where(facts.c.system_id == system_id)
    ).scalar()
    described = connection.execute(
        select(func.max(descriptions.c.revision)).where(descriptions.c.system_id == system_id)
    ).scalar()
    return Mark(int(entered or 0), int(described or 0))


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
