"""Sparse symmetric elimination in plain floats, its order chosen once for a network."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: A joint, its later neighbours with their entries, and the entries between those neighbours.
Step = tuple[int, tuple[tuple[int, int], ...], tuple[tuple[int, int, int], ...]]


@dataclass(frozen=True, slots=True)
class Plan:
    """In which order joints are eliminated, and which entries each touches."""

    steps: tuple[Step, ...]
    entry: tuple[int, ...]  # of each branch, its place among the entries off the diagonal; -1: none
    entries: int


def plan_of(joints: int, ends: Sequence[tuple[int, int]]) -> Plan:
    """Eliminate the joint with the fewest neighbours first (minimum degree)."""
    beside: list[set[int]] = [set() for _ in range(joints)]
    numbers: dict[tuple[int, int], int] = {}
    entry = []
    for one, other in ends:
        if one < 0 or other < 0 or one == other:
            entry.append(-1)
            continue
        beside[one].add(other)
        beside[other].add(one)
        pair = (one, other) if one < other else (other, one)
        entry.append(numbers.setdefault(pair, len(numbers)))
    left = set(range(joints))
    steps: list[Step] = []
    while left:
        pivot = min(left, key=lambda at: (len(beside[at]), at))
        left.remove(pivot)
        around = sorted(beside[pivot])
        for one in around:
            beside[one].discard(pivot)
        pairs = []
        for at, one in enumerate(around):
            for further in range(at + 1, len(around)):
                other = around[further]
                beside[one].add(other)
                beside[other].add(one)
                pairs.append((at, further, numbers.setdefault((one, other), len(numbers))))
        touched = tuple((one, numbers[min(pivot, one), max(pivot, one)]) for one in around)
        steps.append((pivot, touched, tuple(pairs)))
    return Plan(tuple(steps), tuple(entry), len(numbers))


def eliminate(
    diagonal: list[float], right: list[float], beside: list[float], plan: Plan
) -> list[float]:
    """Solve the system in place; the solution is ``right``."""
    for pivot, touched, pairs in plan.steps:
        upon = 1.0 / diagonal[pivot]
        for other, entry in touched:
            share = beside[entry] * upon
            diagonal[other] -= share * beside[entry]
            right[other] -= share * right[pivot]
        for at, further, entry in pairs:
            beside[entry] -= beside[touched[at][1]] * upon * beside[touched[further][1]]
    for pivot, touched, _ in reversed(plan.steps):
        rest = right[pivot]
        for other, entry in touched:
            rest -= beside[entry] * right[other]
        right[pivot] = rest / diagonal[pivot]
    return right
