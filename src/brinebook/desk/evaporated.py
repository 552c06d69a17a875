"""What evaporates, month by month, from what was topped off: the keeper's litres beat any model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.desk.slip_ways_back import evaporation_by_marks
from brinebook.timeline import Fact
from brinebook.units import convert_amount

_MONTH = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Evaporation:
    """Litres a day now, and the least and most of the months that are known; how many those are."""

    now: float
    low: float
    high: float
    months: int


def evaporated(facts: Sequence[Fact], at: datetime) -> Evaporation | None:
    """By marks on the top-off's container, what was poured by hand, or a stated rate; else None."""
    told = []
    for back in range(13):
        rate = _rate(facts, at - back * _MONTH)
        if rate is not None:
            told.append(rate)
    if not told:
        return None
    return Evaporation(told[0], min(told), max(told), len(told))


def _rate(facts: Sequence[Fact], at: datetime) -> float | None:
    marked = evaporation_by_marks(tuple(facts), at)
    if marked is not None:
        return marked
    poured = sorted(
        (fact.when, convert_amount(float(fact.value), fact.unit, "L"))
        for fact in facts
        if fact.kind == "top_off" and "/" not in fact.unit and at - _MONTH <= fact.when <= at
    )
    if len(poured) >= 3 and poured[-1][0] > poured[0][0]:
        days = (poured[-1][0] - poured[0][0]) / timedelta(days=1)
        return sum(litres for _, litres in poured[1:]) / days
    stated = [
        fact for fact in facts
        if fact.kind == "top_off" and "/" in fact.unit and at - 2 * _MONTH <= fact.when <= at
    ]  # fmt: skip
    if not stated:
        return None
    last = max(stated, key=lambda fact: fact.when)
    return convert_amount(float(last.value), last.unit, "L/day") or None
