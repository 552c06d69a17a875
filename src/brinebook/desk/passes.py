"""Letting machines and helpers in, with as much leave as they need, and out again."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.book import passes
from brinebook.book.identity import from_us, to_us
from brinebook.book.passes import PassRow
from brinebook.book.store import Book
from brinebook.desk.opening import OpenSystem
from brinebook.errors import UsageProblem
from brinebook.texts import say

#: What a token may be allowed.
READ, ADD_FACTS, ADD_READINGS = "read", "facts", "readings"
SCOPES = (READ, ADD_FACTS, ADD_READINGS)
#: The scope of a link that shows one system's pages.
LOOK = "look"
LONGEST_LINK = timedelta(days=90)
_MARK = "brine_"  # so that a token found somewhere can be told for what it is


class PassUnfit(UsageProblem):
    """A token or link can't be made like that."""

    code = "E-PASS"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("That can't be made: {why}.", why=why), say("Look at the form once more.")
        )


@dataclass(frozen=True, slots=True)
class Pass:
    """A token or a link, without its secret."""

    system_id: str
    id: str
    name: str
    scopes: tuple[str, ...]
    made: datetime
    expires: datetime | None
    ended: datetime | None

    def counts(self, now: datetime) -> bool:
        """Whether it still opens anything."""
        return self.ended is None and (self.expires is None or now < self.expires)


def make_token(
    opened: OpenSystem, name: str, scopes: Sequence[str], *, now: datetime
) -> tuple[str, Pass]:
    """A new token for a machine and its record; the token itself is shown once and kept nowhere.

    Raises PassUnfit.
    """
    wanted = tuple(one for one in SCOPES if one in scopes)
    if not wanted:
        raise PassUnfit(say("it would be allowed nothing"))
    return _make(opened, name, wanted, now=now, expires=None)


def make_link(
    opened: OpenSystem, name: str, *, lasts: timedelta, now: datetime
) -> tuple[str, Pass]:
    """A new link that shows the system's pages until it expires. Raises PassUnfit."""
    if not timedelta(0) < lasts <= LONGEST_LINK:
        raise PassUnfit(say("a link lasts up to {days} days", days=LONGEST_LINK.days))
    return _make(opened, name, (LOOK,), now=now, expires=now + lasts)


def find_pass(book: Book, secret: str, *, now: datetime) -> Pass | None:
    """The pass that this secret is of, if it still counts."""
    with book.read() as connection:
        row = passes.pass_by_digest(connection, _digest(secret))
    found = None if row is None else _pass(row)
    return found if found is not None and found.counts(now) else None


def pass_of(book: Book, system_id: str, pass_id: str, *, now: datetime) -> Pass | None:
    """The pass of this id, if it still counts."""
    with book.read() as connection:
        row = passes.one_pass(connection, system_id, pass_id)
    found = None if row is None else _pass(row)
    return found if found is not None and found.counts(now) else None


def all_passes(opened: OpenSystem) -> list[Pass]:
    """Every token and link of a system, the newest first."""
    with opened.book.read() as connection:
        return [_pass(row) for row in passes.all_passes(connection, opened.system_id)]


def end_pass(opened: OpenSystem, pass_id: str, *, now: datetime) -> None:
    """Let a token or link open nothing any more."""
    with opened.book.write() as connection:
        passes.end_pass(connection, opened.system_id, pass_id, now_us=to_us(now))


def _make(
    opened: OpenSystem,
    name: str,
    scopes: tuple[str, ...],
    *,
    now: datetime,
    expires: datetime | None,
) -> tuple[str, Pass]:
    said = " ".join(name.split())
    if not said or len(said) > 80 or not said.isprintable():
        raise PassUnfit(say("it needs a name of up to 80 letters"))
    secret = _MARK + secrets.token_urlsafe(32)
    row = PassRow(
        opened.system_id,
        secrets.token_hex(6),
        said,
        scopes,
        to_us(now),
        None if expires is None else to_us(expires),
        None,
    )
    with opened.book.write() as connection:
        passes.add_pass(connection, row, digest=_digest(secret))
    return secret, _pass(row)


def _digest(secret: str) -> str:
    # 256 random bits need no slow hash: nobody guesses them.
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _pass(row: PassRow) -> Pass:
    return Pass(
        row.system_id,
        row.pass_id,
        row.name,
        row.scopes,
        from_us(row.made_us),
        None if row.expires_us is None else from_us(row.expires_us),
        None if row.ended_us is None else from_us(row.ended_us),
    )
