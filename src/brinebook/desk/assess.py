"""What the facts say of the water: the use cases behind ``balance`` and ``today``."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from brinebook.desk import clock
from brinebook.desk.opening import Loaded, load

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer


@dataclass(frozen=True, slots=True)
class Assessed:
    """A system as loaded, and the answer made of its facts."""

    loaded: Loaded
    answer: Answer


def assess(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Assessed:
    """The main answer for one system, as of ``at`` (else the present), as known at ``known``.

    Raises what opening the book raises. Nothing is written.
    """
    from brinebook.balance.answer import answer

    loaded = load(address, name, now=clock.now(), at=at, known=known)
    return Assessed(loaded, answer(loaded.system, loaded.facts, loaded.at))
