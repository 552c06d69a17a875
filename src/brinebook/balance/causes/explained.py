"""The shape of an explanation: what it is about, rival causes with shares, and the reasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from brinebook.balance.causes.clues import Clue
from brinebook.balance.rivals import Rival, Sign, Weighed, weigh

#: Every explanation leaves at least so much to what nobody thought of (common practice).
LEAST_OTHER = 0.02


@dataclass(frozen=True, slots=True)
class Word:
    """What a keeper said in a verdict: on which id, what, when (days), and who."""

    about: str
    says: str
    t: float
    by: str


@dataclass(frozen=True, slots=True)
class Explained:
    """One explanation. ``kind`` says where it comes from: ``tests`` for what their stories say,
    else the slow thing that was noticed. ``causes`` sum to one, likeliest first. ``settled`` is the
    keeper's word, where there is one; ``numbers`` hold what sentences about it need.
    """

    kind: str
    about: tuple[str, ...]
    begins: float
    ends: float
    causes: tuple[Weighed, ...]
    signs: Mapping[str, Sign]
    settled: Word | None = None
    numbers: Mapping[str, float | str] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def lead(self) -> Weighed:
        """The likeliest cause that isn't ``other``, or ``other`` where nothing else is left."""
        named = [cause for cause in self.causes if cause.cause != "other"]
        return named[0] if named else self.causes[0]

    def share(self, cause: str) -> float:
        """The probability of a cause."""
        return sum(one.probability for one in self.causes if one.cause == cause)


def explained(
    kind: str,
    about: Sequence[str],
    *,
    begins: float,
    ends: float,
    shares: Mapping[str, float],
    asks: Mapping[str, str],
    clues: Sequence[Clue],
    numbers: Mapping[str, float | str] | None = None,
) -> Explained:
    """Weigh causes, given by their shares before the clues, into an explanation."""
    total = sum(shares.values())
    full = dict(shares)
    full["other"] = max(full.get("other", 0.0), LEAST_OTHER * total)
    rivals = [
        Rival(
            cause,
            share,
            {clue.sign.name: clue.expects[cause] for clue in clues if cause in clue.expects},
            asks.get(cause, ""),
        )
        for cause, share in sorted(full.items())
        if share > 0.0
    ]
    return Explained(
        kind,
        tuple(about),
        begins,
        ends,
        weigh(rivals, [clue.sign for clue in clues]),
        {clue.sign.name: clue.sign for clue in clues},
        numbers=numbers or MappingProxyType({}),
    )


def asks_of(cause: str, about: str) -> str:
    """What a verdict names where no test and no change of the balance has an id of its own."""
    return f"{cause}-{about}".replace(" ", "_")
