"""Two readings of one water that can't both be right: replicates, or two methods of one quantity.

How far such a pair usually lies apart is taken from all pairs of its kind in the system, so that a
steady offset between two methods is no disagreement, and neither is the scatter of a coarse kit.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from statistics import median

from brinebook.balance.neighbours import Neighbours, Reading

#: Pairs this many of their usual spread apart are told (common practice, no source).
FAR = 6.0
#: With fewer pairs of a kind, what is usual for them is taken from the methods' noise.
FEWEST_PAIRS = 6
#: Tests within this time are of one water.
_ONE_WATER_DAYS = 1.0 / 24.0
_MAD = 1.4826  # median absolute deviation to standard deviation, of a normal
#: The third largest difference of a dozen or more is still usual: four spreads (common practice).
_RARE, _STILL_USUAL, _ENOUGH_FOR_RARE = 3, 4.0, 12


@dataclass(frozen=True, slots=True)
class WrongPair:
    """Two readings of one water that lie too far apart.

    ``off`` is by how many of the usual spreads; ``likelier`` the one of the two that lies further
    from its neighbours in time, or None where they don't tell.
    """

    first: Reading
    second: Reading
    off: float
    likelier: Reading | None


def wrong_pairs(one: Neighbours) -> tuple[WrongPair, ...]:
    """The pairs of one system that disagree far beyond what is usual for them, in time order.

    Where several pairs of a kind share a reading, the pair furthest apart is told.
    """
    kinds: dict[tuple[str, str, str], list[tuple[Reading, Reading]]] = defaultdict(list)
    for first, second in _pairs(one):
        kinds[first.quantity, first.method, second.method].append((first, second))
    found: list[WrongPair] = []
    for pairs in kinds.values():
        middle, spread = _usual(pairs)
        judged = [(abs(a.value - b.value - middle) / spread, a, b) for a, b in pairs]
        named: set[str] = set()
        for off, a, b in sorted(judged, key=lambda j: (-j[0], j[1].t, j[1].fact, j[2].fact)):
            if off <= FAR or {a.fact, b.fact} & named:
                continue
            named |= {a.fact, b.fact}
            found.append(WrongPair(a, b, off, _likelier(one, a, b)))
    return tuple(sorted(found, key=lambda w: (w.first.t, w.first.quantity, w.first.fact)))


def _pairs(one: Neighbours) -> Iterator[tuple[Reading, Reading]]:
    for day in sorted(one.by_day):
        for first, second in combinations(one.by_day[day], 2):
            if first.quantity != second.quantity or second.t - first.t > _ONE_WATER_DAYS:
                continue
            if not (first.sound and second.sound):
                yield (first, second) if first.method <= second.method else (second, first)


def _usual(pairs: list[tuple[Reading, Reading]]) -> tuple[float, float]:
    """Middle and spread of the differences of one kind of pair."""
    differences = [a.value - b.value for a, b in pairs]
    noise = median(math.hypot(a.noise, b.noise) for a, b in pairs)
    if len(pairs) < FEWEST_PAIRS:
        return 0.0, noise
    # Replicates of one method have no offset: only how they scatter is theirs.
    middle = 0.0 if pairs[0][0].method == pairs[0][1].method else median(differences)
    apart = sorted(abs(each - middle) for each in differences)
    # Water that is layered on some days makes some pairs lie far apart each month: that is usual.
    rare = apart[-_RARE] / _STILL_USUAL if len(apart) >= _ENOUGH_FOR_RARE else 0.0
    spread = max(_MAD * median(apart), rare)
    return middle, max(spread, 0.25 * noise)


def _likelier(one: Neighbours, a: Reading, b: Reading) -> Reading | None:
    guesses = [one.guess(r.quantity, r.method, r.day) for r in (a, b)]
    if guesses[0] is None or guesses[1] is None:
        return None
    off = [abs(g.off(r.value)) for g, r in zip(guesses, (a, b), strict=True) if g is not None]
    if abs(off[0] - off[1]) < 1.0:
        return None
    return a if off[0] > off[1] else b
