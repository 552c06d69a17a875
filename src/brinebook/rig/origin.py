"""Where each figure of a described rig comes from: the keeper, or a default, shown as one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: How a figure came to be: written by the keeper, taken as a default, or not there at all.
Origin = Literal["given", "assumed", "missing"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """A figure that the keeper left out and that a default stands in for."""

    where: str  # the key, such as "vessels[display].wall"
    value: str  # as it would be written in system.toml
    reason: str  # what the default rests on


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure that has no default, and what can't be told without it."""

    where: str
    wanted_for: str
    worth: int  # the larger, the more answers wait for it
