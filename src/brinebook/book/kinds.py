"""What each kind of fact may say: the one place that import, `add` and `edit` ask."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from brinebook.units import DIMENSIONS

Presence = Literal["needed", "free", "none"]
#: ``reading``: a test's value; ``amount``: a number of the kind's dimensions; ``any``: free text.
ValueForm = Literal["reading", "amount", "any", "none"]

#: The most that a fact may name, in the first unit of the dimension. A slip of three places in a
#: home reef stays below; a number that can't be anybody's (10^9) doesn't.
MOST: Mapping[str, float] = MappingProxyType(
    {
        "volume": 1e5,
        "mass": 1e5,
        "volume a day": 1e5,
        "mass a day": 1e5,
        "fraction": 100.0,
        "fraction a day": 1e4,
    }
)

VERDICTS = ("wrong", "sound", "yes", "no")
#: Said of any fact: who did it, and a remark.
COMMON_KEYS = ("by", "text")


@dataclass(frozen=True, slots=True)
class KindRule:
    """What a kind's columns may hold. ``keys`` are the detail keys it gives a meaning to."""

    what: Presence
    value: ValueForm
    about_what: str = ""
    dimensions: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    free_keys: bool = False

    @property
    def units(self) -> tuple[str, ...]:
        """The units that an amount of this kind is read in."""
        return tuple(unit for dimension in self.dimensions for unit in DIMENSIONS[dimension])


KIND_RULES: Mapping[str, KindRule] = MappingProxyType(
    {
        "test": KindRule(
            "needed", "reading", "a quantity, such as alkalinity",
            keys=("method", "lot", "replicate", "of", "temperature"),
        ),
        "dose": KindRule(
            "needed", "amount", "an additive or a salt's formula", ("volume", "mass")
        ),
        "dosing": KindRule(
            "needed", "amount", "an additive", ("volume a day", "mass a day"), keys=("hours",)
        ),
        "water_change": KindRule(
            "free", "amount", "a salt mix",
            ("volume", "fraction", "volume a day", "fraction a day"),
        ),
        "level": KindRule("needed", "amount", "an additive, or top-off", ("volume",)),
        "top_off": KindRule("free", "amount", "", ("volume", "volume a day")),
        "removed": KindRule("none", "amount", "", ("volume",)),
        "feed": KindRule("needed", "amount", "a food", ("mass",), keys=("n", "p")),
        "media": KindRule(
            "needed", "amount", "ferric, carbon, or a name of your own", ("mass",), keys=("flow",)
        ),
        "harvest": KindRule("needed", "amount", "an algae", ("mass",), keys=("dry", "n", "p")),
        "done": KindRule("needed", "none", "a chore"),
        "event": KindRule("needed", "any", "a name, such as livestock", free_keys=True),
        "verdict": KindRule("needed", "none", "the id of what it judges", keys=("says",)),
        "note": KindRule("none", "none"),
    }
)  # fmt: skip

_CLOCK = r"(?:[01]?\d|2[0-3])(?::[0-5]\d)?|24(?::00)?"
HOURS = re.compile(rf"(?:{_CLOCK})-(?:{_CLOCK})", re.ASCII)
