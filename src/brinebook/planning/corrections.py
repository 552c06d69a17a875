"""A correction: how much, in how many days and pours, so that no limit is passed.

From the belief about level, use, volume and bottle, never from one test. The chance of passing the
daily limit, the far edge of the band or the cap of saturation stays under 2 in 100, or the plan is
smaller, or there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from brinebook.balance.drawn import Drawn, Put, ahead
from brinebook.balance.season import Floats
from brinebook.planning.daylevel import day_level
from brinebook.planning.limits import CHANCE, Limits
from brinebook.planning.pourable import (
    Air,
    Parting,
    Scene,
    fewest_pours,
    most_in_a_day,
    moves_saturation,
    scene,
)
from brinebook.planning.substances import Substance, split_of
from brinebook.planning.worth import Worth, weighted_quantile, worth_of_a_test

#: A correction takes no longer: by then the belief has moved on.
MOST_DAYS = 14
#: Into how many pours a day's amount may be parted, and the hours between two: common practice, no
#: source.
POURS_PER_DAY, POUR_GAP = 4, 3.0
#: Days after the last pour that the far edge is watched: until the test that the plan asks for.
WATCHED = 3
#: A gap smaller than this share of the belief's own spread isn't worth a pour.
_IN_DOUBT = 0.3
#: Nor is one smaller than this share of a test's own deviation.
_UNTESTABLE = 0.5
_HALVINGS = 40


@dataclass(frozen=True, slots=True)
class Ask:
    """What is asked of a correction, all in canonical units.

    ``noise`` is the standard deviation of one test with its bias, for the worth of testing first;
    None: testing first is no answer. ``tolerance`` is how near the target counts as there. ``days``
    is the fewest days to take.
    """

    quantity: str
    target: float
    parts: tuple[Substance, ...]
    limits: Limits
    air: Air
    ph: Floats | None = None
    conditions: tuple[float, float] = (35.0, 25.0)
    pours_per_day: int = POURS_PER_DAY
    gap: float = 3.0
    mixing_share: float = 1.0
    noise: float | None = None
    tolerance: float = 0.0
    days: int = 1


@dataclass(frozen=True, slots=True)
class Correction:
    """What came of it.

    ``amounts`` are units (grams, millilitres) of each part a day, on each of ``days`` days;
    ``wanted`` the units of each part in all that would reach the target if nothing limited it.
    ``levels[k]`` are the draws ``k`` days from now with the plan, ``without`` those without it.
    ``short_of`` says what kept the plan from the target: "daily", "saturation", "edge", "days" or
    nothing. The three chances are those of passing a limit at any time of the plan.
    """

    ask: Ask
    amounts: tuple[float, ...]
    days: int
    wanted: tuple[float, ...]
    levels: Floats
    without: Floats
    rise_per_day: Floats
    parting: Parting | None = None
    scene: Scene | None = None
    passes_daily: float = 0.0
    passes_edge: float = 0.0
    worth: Worth | None = None
    short_of: str = ""

    @property
    def is_needed(self) -> bool:
        """Whether there is anything to pour."""
        return self.days > 0

    @property
    def reached(self) -> Floats:
        """The draws of the level a day after the last pour; now's, if there is none."""
        return np.asarray(self.levels[self.days])


@dataclass(frozen=True, slots=True)
class _Case:
    """The question in one unknown: amounts of the quantity, canonical unit times litre.

    ``units`` turn an amount into units of each part, ``factor`` into a rise of each draw. ``free``
    are the levels at this hour of each day, ``peak`` is how far over them a day goes in between.
    """

    drawn: Drawn
    ask: Ask
    units: tuple[float, ...]
    factor: Floats
    free: Floats
    peak: float
    scene: Scene | None

    def weighed(self, amount: float) -> tuple[float, ...]:
        """Units of each part for an amount."""
        return tuple(amount * each for each in self.units)


def correct(drawn: Drawn, ask: Ask) -> Correction:
    """Plan the correction of a quantity upwards.

    Raises ValueError where the belief doesn't hold the quantity.
    """
    case = _case(drawn, ask)
    gap = ask.target - case.free[1]
    wanted = max(float(np.median(gap)) / float(np.median(case.factor)), 0.0)
    none = (0.0,) * len(ask.parts)
    found = Correction(
        ask, none, 0, case.weighed(wanted), case.free, case.free, np.zeros(drawn.count)
    )
    most, bound = _most_a_day(case)
    if float(np.median(gap)) <= _enough(case):
        return replace(found, worth=_worth(case, days=1, daily=0.0, most=most))
    if most <= 0.0:
        return replace(found, short_of=bound)
    days, daily, short_of = _days_and_daily(case, most, bound)
    if daily <= 0.0:
        return replace(
            found, short_of=short_of, worth=_worth(case, days=days, daily=0.0, most=most)
        )
    return _judged(
        case,
        replace(
            found,
            amounts=case.weighed(daily),
            days=days,
            rise_per_day=daily * case.factor,
            short_of=short_of,
            worth=_worth(case, days=days, daily=daily, most=most),
        ),
    )


def _case(drawn: Drawn, ask: Ask) -> _Case:
    shares = split_of(ask.quantity, ask.parts)
    units = tuple(
        share / part.brings(ask.quantity) for share, part in zip(shares, ask.parts, strict=True)
    )
    strengths = [drawn.strength(part.name) for part in ask.parts]
    factor = sum(
        (share * strength for share, strength in zip(shares, strengths, strict=True)),
        np.zeros(drawn.count),
    )
    free = ahead(drawn, MOST_DAYS + WATCHED).of(ask.quantity)
    peak = day_level(drawn, ask.quantity).high
    place = _scene(drawn, ask, units, strengths)
    return _Case(drawn, ask, units, factor / drawn.litres, free, peak, place)


def _scene(
    drawn: Drawn, ask: Ask, units: Sequence[float], strengths: Sequence[Floats]
) -> Scene | None:
    if not moves_saturation(ask.parts) or "alkalinity" not in drawn.quantities:
        return None
    return scene(
        alkalinity=drawn.level("alkalinity"),
        calcium=drawn.level("calcium") if "calcium" in drawn.quantities else None,
        litres=drawn.litres,
        parts=list(zip(ask.parts, units, strengths, strict=True)),
        air=ask.air,
        ph=ask.ph,
        conditions=ask.conditions,
        limits=ask.limits,
        share=ask.mixing_share,
    )


def _enough(case: _Case, weights: Floats | None = None) -> float:
    """A gap that isn't worth a pour: within the tolerance, or lost in the belief's own spread.

    Nor one that no test could tell from none.
    """
    level = case.free[0]
    mean = np.average(level, weights=weights)
    spread = float(np.sqrt(np.average((level - mean) ** 2, weights=weights)))
    return max(case.ask.tolerance, _IN_DOUBT * spread, _UNTESTABLE * (case.ask.noise or 0.0), 1e-12)


def _most_a_day(case: _Case) -> tuple[float, str]:
    """The most a day that keeps the daily limit and the cap of saturation, and which binds."""
    limits = case.ask.limits
    drift = np.maximum(np.diff(case.free[: MOST_DAYS + 1], axis=0), 0.0).max(axis=0)
    daily = max(float(np.quantile((limits.per_day - drift) / case.factor, CHANCE)), 0.0)
    if case.scene is None or daily <= 0.0:
        return daily, "daily"
    ask = case.ask
    pourable = most_in_a_day(case.scene, daily, most=ask.pours_per_day, gap=ask.gap)
    return (pourable, "saturation") if pourable < daily else (daily, "daily")


def _days_and_daily(case: _Case, most: float, bound: str) -> tuple[int, float, str]:
    """On how many days, how much a day, and what keeps it from the target."""
    target, short_of = case.ask.target, "days" if bound == "daily" else bound
    days, daily = MOST_DAYS, most
    for n in range(max(case.ask.days, 1), MOST_DAYS + 1):
        needed = _solve(partial(_reached, case, n), target)
        if needed <= most * (1.0 + 1e-9):
            days, daily, short_of = n, needed, ""
            break
    if _passes_edge(case, days, daily) < CHANCE:
        return days, daily, short_of
    room = _largest(lambda u: _passes_edge(case, days, u) < CHANCE, daily)
    return days, room, "edge"


def _reached(case: _Case, days: int, daily: float) -> float:
    """The middle of belief after so many days of an amount."""
    return float(np.median(case.free[days] + days * daily * case.factor))


def _passes_edge(case: _Case, days: int, daily: float) -> float:
    """Chance that the level passes the far edge at any time until the test after the plan."""
    rise = daily * case.factor
    high = case.ask.limits.band[1] - case.peak
    passed = np.zeros(rise.size, dtype=bool)
    for k in range(days + WATCHED):
        done = min(k + 1, days)
        passed |= case.free[k] + done * rise > high
        passed |= case.free[k + 1] + done * rise > high
    # What lies past the edge already isn't the plan's doing.
    return float(np.mean(passed & (case.free[0] <= high)))


def _rooms(case: _Case, days: int) -> Floats:
    """The most a day by which each draw stays under the far edge: as ``_passes_edge`` has it."""
    high = case.ask.limits.band[1] - case.peak
    rooms = np.full(case.factor.size, np.inf)
    for k in range(days + WATCHED):
        highest = np.maximum(case.free[k], case.free[k + 1])
        rooms = np.minimum(rooms, (high - highest) / (min(k + 1, days) * case.factor))
    return np.where(case.free[0] <= high, rooms, np.inf)


def _solve(reached: Callable[[float], float], target: float) -> float:
    """The smallest amount that reaches the target: ``reached`` rises with it."""
    low, high = 0.0, 1.0
    if reached(0.0) >= target:
        return 0.0
    while reached(high) < target and high < 1e12:
        high *= 2.0
    for _ in range(_HALVINGS + 20):
        middle = (low + high) / 2.0
        low, high = (low, middle) if reached(middle) >= target else (middle, high)
    return high


def _largest(holds: Callable[[float], bool], most: float) -> float:
    """The largest amount up to ``most`` that still holds; 0 where none does."""
    low, high = 0.0, most
    if not holds(1e-6 * most):
        return 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _worth(case: _Case, *, days: int, daily: float, most: float) -> Worth | None:
    """What a test first would do to the first day's amount."""
    if case.ask.noise is None:
        return None
    target = case.ask.target
    rooms = _rooms(case, days)
    gaps = (target - case.free[days]) / (days * case.factor)

    def act(weights: Floats) -> float:
        gap = weighted_quantile(gaps, weights, 0.5)
        enough = _enough(case, weights) / (days * float(np.median(case.factor)))
        if gap <= enough:
            return 0.0
        return float(np.clip(weighted_quantile(rooms, weights, CHANCE), 0.0, min(gap, most)))

    return worth_of_a_test(case.free[0], noise=case.ask.noise, planned=daily, act=act)


def _judged(case: _Case, found: Correction) -> Correction:
    """The plan played through on the draws: levels to come and chances."""
    drawn, ask = case.drawn, case.ask
    puts = []
    for day in range(found.days):
        for part, units in zip(ask.parts, found.amounts, strict=True):
            brings = {name: units * each for name, each in part.per_unit.items()}
            puts.append(Put(drawn.at + day + 1e-3, brings, part.name))
    levels = ahead(drawn, MOST_DAYS + WATCHED, puts=puts).of(ask.quantity)
    drift = np.maximum(np.diff(case.free[: found.days + 1], axis=0), 0.0)
    passes_daily = float(np.mean((drift + found.rise_per_day).max(axis=0) > ask.limits.per_day))
    parting = None
    if case.scene is not None:
        amount = found.amounts[0] / case.units[0]
        parting = fewest_pours(case.scene, amount, most=ask.pours_per_day, gap=ask.gap)
    daily = found.amounts[0] / case.units[0]
    return replace(
        found,
        levels=levels,
        parting=parting,
        scene=case.scene,
        passes_daily=passes_daily,
        passes_edge=_passes_edge(case, found.days, daily),
    )
