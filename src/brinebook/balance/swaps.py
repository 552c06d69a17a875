"""Tests that seem to have changed places: samples of two systems, or the numbers of two columns.

Each reading is held against what its own neighbours in time let one expect, and against what the
neighbours of the place it may belong to let one expect. A change of places is told where it is far
likelier than that both readings are right or wrong by themselves. What both places expect alike
can't be told apart, and nothing is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median

from brinebook.balance.neighbours import Guess, Neighbours, Reading
from brinebook.errors import BrinebookError
from brinebook.water.composition import reference_concentration

#: Chance that a day's samples (or two of its numbers) changed places (common practice, no source).
CHANCE = 1 / 300
#: A change of places is told from this probability on.
ENOUGH = 0.9
#: A reading less far off than this many standard deviations gives no reason to look further.
_ODD = 3.0
#: How far a system may lie from natural seawater, as a share: where a whole column is judged.
_ANY_REEF = 0.25
_NATURAL = ("calcium", "magnesium", "potassium", "strontium")


@dataclass(frozen=True, slots=True)
class Exchanged:
    """Readings of one day that fit the other system: (ours, theirs) by quantity.

    With ``theirs`` of a pair None, ours alone seems to belong there.
    """

    day: int
    pairs: tuple[tuple[Reading, Reading | None], ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Misplaced:
    """Numbers of one day in the wrong column of one system.

    ``kind``: "exchanged" (first and second stand in each other's place) or "copied" (first holds
    the number of second again).
    """

    kind: str
    first: Reading
    second: Reading
    probability: float


@dataclass(frozen=True, slots=True)
class Columns:
    """Two whole columns of one system that stand in each other's place."""

    first: str
    second: str
    probability: float


def _probability(gain: float, chance: float) -> float:
    return 1.0 / (1.0 + math.exp(-min(max(gain + math.log(chance), -700.0), 700.0)))


def exchanged_samples(ours: Neighbours, theirs: Neighbours) -> tuple[Exchanged, ...]:
    """Days on which our tests fit the other system, in time order.

    Either both systems' tests of a day changed places, all of them or those of one quantity, or
    ours belong to the other, which has none of that quantity on that day.
    """
    found = []
    for day in sorted(ours.by_day):
        gains = list(_gains(ours, theirs, day))
        best = max(_sets(gains), key=lambda one: one.probability, default=None)
        if best is not None and best.probability >= ENOUGH:
            found.append(best)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Gain:
    """How much likelier (as a log) a day's readings of one series are in the other place."""

    quantity: str
    gain: float
    pairs: tuple[tuple[Reading, Reading | None], ...]

    @property
    def alone(self) -> bool:
        """Whether the other system has no reading of the quantity on that day."""
        return self.pairs[0][1] is None


def _gains(ours: Neighbours, theirs: Neighbours, day: int) -> Iterator[_Gain]:
    """One gain a quantity and method: what replicates have in common is counted once."""
    for (quantity, method), mine in sorted(ours.of_day(day).items()):
        if any(reading.sound for reading in mine):
            continue
        own, other = ours.guess(quantity, method, day), theirs.guess(quantity, method, day)
        if own is None or other is None:
            continue
        value = median(r.value for r in mine)
        gain = other.log_density(value) - own.log_density(value)
        there = {m: found for (q, m), found in theirs.of_day(day).items() if q == quantity}
        if not there:
            yield _Gain(quantity, gain, tuple((r, None) for r in mine))
            continue
        kind = method if method in there else min(there)
        back = median(r.value for r in there[kind])
        at_home, with_us = theirs.guess(quantity, kind, day), ours.guess(quantity, kind, day)
        if at_home is None or with_us is None:
            continue
        gain += with_us.log_density(back) - at_home.log_density(back)
        yield _Gain(quantity, gain, tuple(_side_by_side(mine, there[kind])))


def _side_by_side(
    mine: Sequence[Reading], there: Sequence[Reading]
) -> Iterator[tuple[Reading, Reading | None]]:
    """Readings side by side; where one side has more, its last ones stand by themselves."""
    for position, reading in enumerate(mine):
        yield reading, there[position] if position < len(there) else None


def _sets(gains: Sequence[_Gain]) -> Iterator[Exchanged]:
    for group in ([g for g in gains if not g.alone], [g for g in gains if g.alone]):
        if not group:
            continue
        # Half of the chance is for all of a day's tests together, half for one quantity's alone.
        yield _exchanged(group, CHANCE / 2.0)
        for quantity in sorted({each.quantity for each in group}):
            some = [each for each in group if each.quantity == quantity]
            yield _exchanged(some, CHANCE / 2.0 / len(group))


def _exchanged(group: Sequence[_Gain], chance: float) -> Exchanged:
    gain = math.fsum(each.gain for each in group)
    pairs = tuple(pair for each in group for pair in each.pairs)
    return Exchanged(pairs[0][0].day, pairs, _probability(gain, chance))


def misplaced_numbers(one: Neighbours) -> tuple[Misplaced, ...]:
    """Numbers of one system that stand in another quantity's place on their day, likeliest first.

    A reading is named once, by what explains it best.
    """
    found = [each for day in sorted(one.by_day) for each in _misplaced(one, day)]
    named: set[str] = set()
    kept = []
    for each in sorted(found, key=lambda m: (-m.probability, m.first.t, m.first.fact)):
        facts = {each.first.fact, each.second.fact} if each.kind == "exchanged" else {
            each.first.fact
        }  # fmt: skip
        if not facts & named:
            named |= facts
            kept.append(each)
    return tuple(sorted(kept, key=lambda m: (m.first.t, m.first.quantity, m.first.fact)))


def _misplaced(one: Neighbours, day: int) -> Iterator[Misplaced]:
    readings = one.by_day[day]
    guesses = {r.fact: one.guess(r.quantity, r.method, day) for r in readings}
    odd = {
        r.fact
        for r in readings
        if (g := guesses[r.fact]) is not None and abs(g.off(r.value)) > _ODD
    }
    if not odd:
        return
    for first, second in combinations(readings, 2):
        if first.quantity == second.quantity or not {first.fact, second.fact} & odd:
            continue
        if first.sound or second.sound:
            continue
        a, b = guesses[first.fact], guesses[second.fact]
        if a is not None and b is not None:
            yield from _judged(first, second, a, b, chance=CHANCE / len(readings))


def _judged(
    first: Reading, second: Reading, a: Guess, b: Guess, *, chance: float
) -> Iterator[Misplaced]:
    try:
        as_first, as_second = a.as_typed(first.quantity, first.unit), b.as_typed(
            second.quantity, second.unit
        )  # fmt: skip
    except BrinebookError:
        return
    ours, theirs = as_first.log_density(first.number), as_second.log_density(second.number)
    gain = as_second.log_density(first.number) + as_first.log_density(second.number)
    probability = _probability(gain - ours - theirs, chance)
    if probability >= ENOUGH:
        yield Misplaced("exchanged", first, second, probability)
    if first.number != second.number:
        return
    # The same number in two columns: one is the other again, to the last digit typed.
    step = max(first.step, second.step)
    for copy, original, density in ((first, second, ours), (second, first, theirs)):
        probability = _probability(-math.log(step) - density, chance)
        if probability >= ENOUGH:
            yield Misplaced("copied", copy, original, probability)


def exchanged_columns(one: Neighbours) -> tuple[Columns, ...]:
    """Pairs of quantities whose tests, over the whole of the system, stand in each other's place.

    Held against natural seawater, which no reef is far from in these: calcium, magnesium, potassium
    and strontium. What lies close together in the sea (calcium and potassium) can't be told.
    """
    typed = {name: _middle_typed(one, name) for name in _NATURAL}
    found = []
    for first, second in combinations((name for name in _NATURAL if typed[name]), 2):
        x, y = typed[first], typed[second]
        assert x is not None
        assert y is not None
        try:
            a, b = (_natural(name).as_typed(name, one.usual_unit(name)) for name in (first, second))
        except BrinebookError:
            continue
        gain = b.log_density(x) + a.log_density(y) - a.log_density(x) - b.log_density(y)
        probability = _probability(gain, CHANCE)
        if probability >= ENOUGH:
            found.append(Columns(first, second, probability))
    return tuple(found)


def _middle_typed(one: Neighbours, quantity: str) -> float | None:
    unit = one.usual_unit(quantity)
    numbers = sorted(r.number for r in one.readings if r.quantity == quantity and r.unit == unit)
    return numbers[len(numbers) // 2] if numbers else None


def _natural(quantity: str) -> Guess:
    middle = reference_concentration(quantity)
    return Guess(middle, _ANY_REEF * middle)
