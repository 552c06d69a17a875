"""Which cautions stand beside which part of what is told of the rig."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from brinebook.desk.rig_figures import Json
from brinebook.lifesupport.cautions import cautions
from brinebook.plan import Caution
from brinebook.texts import say

#: Part -> ids of ``lifesupport.cautions``, the ones for people first.
BESIDE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "overview": ("mains", "flood", "glass", "floor"),
        "flows": ("mains", "glass"),
        "levels": ("flood", "mains", "people_below", "glass", "hoses"),
        "heat": ("mains",),
        "damp": ("damp", "mains"),
        "power": ("mains", "overload", "protection_trips", "drip_loops"),
        "outage": ("animals_first", "engines_outdoors", "batteries"),
        "floor": ("floor", "lifting"),
        "form": ("mains", "glass"),
        "drills": ("no_alarm", "animals_first", "mains", "flood"),
        "size": ("mains", "glass"),
    }
)


def cautions_for(*parts: str) -> tuple[Caution, ...]:
    """The cautions of these parts, each once, in their order."""
    return cautions(*(one for part in parts for one in BESIDE.get(part, ())))


def cautions_json(*parts: str) -> list[Json]:
    """The same for programs."""
    return [
        {"id": one.id, "text": one.text, "ask": one.ask, "lasting": one.lasting}
        for one in cautions_for(*parts)
    ]


def caution_lines(*parts: str) -> Iterator[str]:
    """The same for people."""
    for one in cautions_for(*parts):
        yield f"! {one.text}" + (say(" (Ask: {ask}.)", ask=one.ask) if one.ask else "")
