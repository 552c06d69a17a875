"""What happened, as plain frozen values: the form in which facts leave the book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

KINDS = (
    "test", "dose", "dosing", "water_change", "level", "top_off", "removed", "feed", "media",
    "harvest", "done", "event", "verdict", "note",
)  # fmt: skip

_EMPTY: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that happened, as typed.

    ``when`` is aware and in UTC. ``value`` keeps the text as typed in canonical number form (a
    decimal point, perhaps a leading ``<`` or ``>``); ``unit`` the unit as typed. ``id`` comes from
    the content alone, so it is the same in every book that holds the fact.
    """

    id: str
    when: datetime
    kind: str
    what: str
    value: str = ""
    unit: str = ""
    detail: Mapping[str, str] = field(default_factory=lambda: _EMPTY)
