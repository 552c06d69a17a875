"""The names of changes that nobody wrote down: what a keeper's verdict on one refers to."""

from __future__ import annotations

import re
from dataclasses import dataclass

from brinebook.balance.field import Cause

_SAME_TIME_DAYS = 0.05


def change_id(cause: Cause) -> str:
    """A name for a change that stays the same while its gap does: what a verdict names."""
    what = cause.what or cause.kind
    return f"{cause.kind}-{what.replace(' ', '_')}-{cause.begins:.3f}-{cause.ends:.3f}"


@dataclass(frozen=True, slots=True)
class Said:
    """A change that the keeper spoke of, read back from its name."""

    kind: str
    what: str
    begins: float
    ends: float

    def is_like(self, cause: Cause) -> bool:
        """Whether it is of the same kind, and of the same thing."""
        return self.kind == cause.kind and self.what == (cause.what or cause.kind).replace(" ", "_")

    def overlaps(self, cause: Cause) -> bool:
        """Whether both share some time."""
        return self.begins < cause.ends and cause.begins < self.ends

    def is_met_by(self, cause: Cause) -> bool:
        """Whether it is the same change. One that went on after it was spoken of has grown."""
        near = abs(cause.begins - self.begins) < _SAME_TIME_DAYS
        return near and cause.ends > self.ends - _SAME_TIME_DAYS


def named_change(name: str) -> Said | None:
    """The change that `change_id` named so; None for any other name."""
    parts = re.fullmatch(r"([a-z]+)-(.+)-(\d+\.\d{3})-(\d+\.\d{3})", name)
    return Said(parts[1], parts[2], float(parts[3]), float(parts[4])) if parts else None


def change_begins(name: str) -> float | None:
    """The time at which the change begins that `change_id` named so; None for any other name."""
    said = named_change(name)
    return said.begins if said else None
