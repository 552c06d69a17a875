"""Passes: tokens of machines and links of helpers. The book knows only their digests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Row, insert, select, update

from brinebook.book.schema import passes

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class PassRow:
    """A pass as the book has it; instants in microseconds since 1970 UTC, or None."""

    system_id: str
    pass_id: str
    name: str
    scopes: tuple[str, ...]
    made_us: int
    expires_us: int | None
    ended_us: int | None


_SHOWN = (
    passes.c.system_id, passes.c.pass_id, passes.c.name, passes.c.scopes, passes.c.made_us,
    passes.c.expires_us, passes.c.ended_us,
)  # fmt: skip


def add_pass(connection: Connection, row: PassRow, *, digest: str) -> None:
    """Keep a new pass by its digest."""
    connection.execute(
        insert(passes).values(
            system_id=row.system_id,
            pass_id=row.pass_id,
            name=row.name,
            scopes=" ".join(row.scopes),
            digest=digest,
            made_us=row.made_us,
            expires_us=row.expires_us,
            ended_us=row.ended_us,
        )
    )


def pass_by_digest(connection: Connection, digest: str) -> PassRow | None:
    """The pass of a digest; None where there is none."""
    row = connection.execute(select(*_SHOWN).where(passes.c.digest == digest)).first()
    return None if row is None else _row(row)


def one_pass(connection: Connection, system_id: str, pass_id: str) -> PassRow | None:
    """The pass of an id; None where there is none."""
    query = select(*_SHOWN).where(passes.c.system_id == system_id, passes.c.pass_id == pass_id)
    row = connection.execute(query).first()
    return None if row is None else _row(row)


def all_passes(connection: Connection, system_id: str) -> Sequence[PassRow]:
    """Every pass of a system, the newest first."""
    query = (
        select(*_SHOWN)
        .where(passes.c.system_id == system_id)
        .order_by(passes.c.made_us.desc(), passes.c.pass_id)
    )
    return [_row(row) for row in connection.execute(query)]


def end_pass(connection: Connection, system_id: str, pass_id: str, *, now_us: int) -> None:
    """Let a pass count for nothing from now on."""
    connection.execute(
        update(passes)
        .where(
            passes.c.system_id == system_id,
            passes.c.pass_id == pass_id,
            passes.c.ended_us.is_(None),
        )
        .values(ended_us=now_us)
    )


def _row(row: Row[*tuple[Any, ...]]) -> PassRow:
    system_id, pass_id, name, scopes, made_us, expires_us, ended_us = row
    return PassRow(system_id, pass_id, name, tuple(scopes.split()), made_us, expires_us, ended_us)
