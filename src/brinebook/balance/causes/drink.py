"""How much fresh water the system drinks, whether that is usual, and what may have changed it.

A leak takes salt with it and evaporation doesn't, so salinity tells them apart: water lost and made
up with fresh water lowers it by S times the litres over the volume.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from brinebook import units
from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.causes.case import Case, occasions
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.causes.happened import event_clues
from brinebook.balance.rivals import Numbers, Sign

TOP_OFF = "top-off"
_RECENT_DAYS, _USUAL_DAYS = 8.0, 70.0
_FEWEST = 4
#: What counts as another rate: deviations of the usual intervals, and share of the usual rate.
_ENOUGH_SDS, _ENOUGH_SHARE = 3.0, 0.2
#: The scatter of daily evaporation about its mean, least share (common practice, no source).
_LEAST_SCATTER = 0.06
_MAD_TO_SD = 1.4826
#: How many times the usual a changed evaporation and a leak come to (common practice, no source).
_RATIO_BY_AIR, _RATIO_ANY = (1.3, 0.25), (1.5, 0.6)
_MORE = {"evaporation_changed": 0.7, "leak": 0.15, "equipment": 0.1, "other": 0.05}
_LESS = {"evaporation_changed": 0.75, "equipment": 0.2, "other": 0.05}


@dataclass(frozen=True, slots=True)
class Interval:
    """Fresh water that went in between two times: litres a day."""

    begins: float
    ends: float
    per_day: float

    @property
    def middle(self) -> float:
        """The time in its middle."""
        return (self.begins + self.ends) / 2.0


@dataclass(frozen=True, slots=True)
class Drink:
    """What is drunk of late and what is usual, litres a day, with the sd of their difference."""

    recent: float
    usual: float
    sd: float
    begins: float
    ends: float


def intervals_of(case: Case) -> list[Interval]:
    """How the top-off container went down between its marks; else what was topped off by hand."""
    marks = [(t, units.convert_amount(float(fact.value), fact.unit, "L"))
             for t, fact in case.of_kind("level") if fact.what == TOP_OFF]  # fmt: skip
    found = [
        Interval(before[0], after[0], (before[1] - after[1]) / (after[0] - before[0]))
        for before, after in pairwise(marks)
        if after[1] < before[1] and after[0] - before[0] > 0.4
    ]
    return found or _by_hand(case)


def _by_hand(case: Case) -> list[Interval]:
    poured = [(t, units.convert_amount(float(fact.value), fact.unit, "L"))
              for t, fact in case.of_kind("top_off") if "/" not in fact.unit]  # fmt: skip
    return [
        Interval(before[0], after[0], after[1] / (after[0] - before[0]))
        for before, after in pairwise(poured)
        if after[0] - before[0] > 0.4
    ]


def drink_of(found: Sequence[Interval], at: float) -> Drink | None:
    """The drink of the last days against that of the weeks before; None where too little is known.

    The usual rate is a median and its scatter a median deviation: one odd interval moves neither.
    """
    recent = [one for one in found if one.middle > at - _RECENT_DAYS]
    usual = [one for one in found if at - _USUAL_DAYS < one.middle <= at - _RECENT_DAYS]
    if not recent or len(usual) < _FEWEST:
        return None
    days = math.fsum(one.ends - one.begins for one in recent)
    now = math.fsum(one.per_day * (one.ends - one.begins) for one in recent) / days
    middle = median(one.per_day for one in usual)
    scatter = _MAD_TO_SD * median(abs(one.per_day - middle) for one in usual)
    scatter = max(scatter, _LEAST_SCATTER * middle)
    sd = scatter * math.sqrt(1.0 / len(recent) + 1.0 / len(usual))
    return Drink(now, middle, sd, min(one.begins for one in recent), recent[-1].ends)


def changed_drink(case: Case) -> list[Explained]:
    """One explanation where the system drinks clearly more or less than is usual, else none."""
    found = drink_of(intervals_of(case), case.at)
    if found is None or found.usual <= 0.0:
        return []
    more = found.recent - found.usual
    if abs(more) < max(_ENOUGH_SDS * found.sd, _ENOUGH_SHARE * found.usual):
        return []
    shares = _MORE if more > 0.0 else _LESS
    clues = [*_ratio(found), *_salinity(case, found)]
    clues += event_clues(case, set(shares), found.begins)
    numbers: Numbers = {
        "salinity_a_day": _salinity_a_day(case, more),
        "recent": found.recent, "usual": found.usual, "more": more, "sd": found.sd,
        "since": found.begins,
    }  # fmt: skip
    asks = {cause: asks_of(cause, TOP_OFF) for cause in shares if cause != "other"}
    return [
        explained(
            "drink",
            (TOP_OFF,),
            begins=found.begins,
            ends=found.ends,
            shares=shares,
            asks=asks,
            clues=clues,
            numbers=numbers,
        )
    ]


def _salinity_a_day(case: Case, litres: float) -> float:
    """By how much a day's loss of so many litres, made up with fresh water, lowers salinity."""
    quantity = case.answer.quantities.get("salinity")
    start = quantity.now.value if quantity is not None else 35.0
    return start - salinity_after_loss(start, litres, case.answer.volume.value)


def _ratio(found: Drink) -> list[Clue]:
    ratio = found.recent / found.usual
    if ratio <= 1.0:
        return []
    sign = Sign("ratio", ratio, found.sd / found.usual, _RATIO_ANY, {"ratio": ratio})
    return [Clue(sign, {"evaporation_changed": _RATIO_BY_AIR})]


def _salinity(case: Case, found: Drink) -> list[Clue]:
    """What salinity did meanwhile, beside what a leak of the difference would have done to it."""
    seen = occasions(case.tests_of("salinity"))
    before = [one for one in seen if found.begins - 30.0 < one.t <= found.begins + 0.5]
    after = [one for one in seen if one.t > found.begins + 1.0]
    if not before or not after:
        return []
    start = math.fsum(one.value for one in before[-3:]) / len(before[-3:])
    changed = after[-1].value - start
    sd = math.hypot(after[-1].sd, before[-1].sd / math.sqrt(len(before[-3:])))
    litres = (found.recent - found.usual) * (after[-1].t - found.begins)
    by_leak = salinity_after_loss(start, litres, case.answer.volume.value) - start
    numbers: Numbers = {
        "quantity": "salinity", "before": start, "after": after[-1].value, "sd": sd,
        "changed": changed, "by_leak": by_leak, "litres": litres, "since": found.begins,
        "until": after[-1].t,
    }  # fmt: skip
    sign = Sign("salinity", changed, sd, (0.0, 0.4 * BELIEFS["salinity"].noise), numbers)
    expects = {"leak": (by_leak, 0.2 * abs(by_leak))}
    if litres < 0.0:  # less fresh water than evaporates: the rest concentrates
        expects["equipment"] = (by_leak, 0.2 * abs(by_leak))
    return [Clue(sign, expects)]


def salinity_after_loss(salinity: float, litres: float, volume: float) -> float:
    """Salinity once ``litres`` of system water were lost and made up with fresh water.

    Lost as it goes, so it falls exponentially; negative litres are fresh water that is missing.
    Mass balance of salt in a well-mixed volume.
    """
    return salinity * math.exp(-litres / volume)
