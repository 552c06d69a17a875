"""What a check looks at, and what it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from brinebook.book.facts import Revision
from brinebook.desk.opening import OpenSystem
from brinebook.timeline import Fact

Weight = Literal["fault", "hint"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found: a fault (something is wrong) or a hint (something is left open)."""

    check: str
    weight: Weight
    text: str
    items: tuple[str, ...] = ()
    repair: str = ""


@dataclass(frozen=True, slots=True)
class Examined:
    """What the checks look at: the system, its facts that stand, and every revision."""

    opened: OpenSystem
    facts: Sequence[Fact]
    revisions: Sequence[Revision]
    now: datetime


Check = Callable[[Examined], Iterator[Finding]]
