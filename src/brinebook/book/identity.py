"""What a fact is, as one line of text and as a short id that comes from nothing else."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from types import MappingProxyType

from brinebook.timeline import Fact

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)

#: 12 letters of base32 are 60 bits: among 30,000 facts the chance of two alike is 4 in 10^10.
ID_LETTERS = 12

_ENCODED = {ord(sign): f"%{ord(sign):02X}" for sign in ";=%\r\n"}
_NO_DETAIL: Mapping[str, str] = MappingProxyType({})


def to_us(when: datetime) -> int:
    """Whole microseconds from 1970-01-01T00:00:00Z to an aware instant."""
    return (when - EPOCH) // MICROSECOND


def from_us(microseconds: int) -> datetime:
    """The instant in UTC, so many microseconds after 1970-01-01T00:00:00Z."""
    return EPOCH + timedelta(microseconds=microseconds)


def encode(text: str) -> str:
    """The text with ``; = %`` and line ends percent-encoded."""
    return text.translate(_ENCODED)


def detail_text(detail: Mapping[str, str]) -> str:
    """``key=value`` pairs, by key, separated by ``;``: the form of the file and of the book."""
    return ";".join(f"{encode(key)}={encode(detail[key])}" for key in sorted(detail))


@lru_cache(maxsize=4096)
def stored_detail(text: str) -> Mapping[str, str]:
    """The detail that `detail_text` wrote, read back."""
    from urllib.parse import unquote

    if not text:
        return _NO_DETAIL
    pairs = (pair.partition("=") for pair in text.split(";"))
    return MappingProxyType({unquote(key): unquote(value) for key, _, value in pairs})


@lru_cache(maxsize=8192)
def _same_number(value: str) -> str:
    """One spelling for equal numbers, so that 8.20 and 8.2 are the same fact."""
    sign = value[:1] if value[:1] in "<>" else ""
    try:
        number = Decimal(value[len(sign) :])
        return sign + format(number.normalize() + 0, "f") if number.is_finite() else value
    except (InvalidOperation, ValueError):
        return value


def fact_id(*, happened: str, kind: str, what: str, value: str, unit: str, detail: str) -> str:
    """The id that a fact of this content has in every book.

    ``happened`` is the instant in UTC in ISO 8601, ``detail`` the text of `detail_text`.
    """
    content = "\x1f".join((happened, kind, what, _same_number(value), unit, detail))
    digest = hashlib.sha256(content.encode("utf-8", "surrogatepass")).digest()
    return base64.b32encode(digest[:10])[:ID_LETTERS].decode("ascii").lower()


def make_fact(
    when: datetime,
    kind: str,
    *,
    what: str = "",
    value: str = "",
    unit: str = "",
    detail: Mapping[str, str] = _NO_DETAIL,
) -> Fact:
    """A fact with the id that its content gives it. ``when`` is aware."""
    when = when.astimezone(UTC)
    identifier = fact_id(
        happened=when.isoformat(),
        kind=kind,
        what=what,
        value=value,
        unit=unit,
        detail=detail_text(detail),
    )
    return Fact(identifier, when, kind, what, value, unit, detail)


def sort_key(fact: Fact) -> tuple[datetime, str, str, str]:
    """Rows by time, then kind, then what; ties by id, so that the order never depends on entry."""
    return (fact.when, fact.kind, fact.what, fact.id)
