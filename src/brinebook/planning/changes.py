"""Water changes: what one does to every number, what a series does while the system goes on making.

A batch change takes a share of the water out and puts new water in; between changes the system
makes (or uses) so much a day. Litres are of the net volume.
Source: levenspiel1999
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from brinebook.balance.drawn import Drawn, Swap, ahead
from brinebook.balance.season import Floats
from brinebook.errors import UsageProblem
from brinebook.texts import say

#: Share of the water that is changed at once where the keeper has no number of their own, and how
#: much of it in a week: common practice, no source.
SHARE_AT_ONCE, SHARE_A_WEEK = 0.3, 0.5
#: A series takes no longer, days; and no longer where so many changes were asked for.
MOST_DAYS = 70
MOST_DAYS_ASKED = 366
#: Draws that a share is sought on.
_SEARCHED = 400
_HALVINGS = 20


class ChangeImpossible(UsageProblem):
    """No water change does what was asked."""

    code = "E-PLAN-CHANGE"

    def __init__(self, why: str, hint: str = "") -> None:
        super().__init__(say("No water change does that: {why}.", why=why), hint)


class ChangesTooMany(UsageProblem):
    """So many changes so far apart go beyond what can be looked ahead."""

    code = "E-PLAN-CHANGES"

    def __init__(self, times: int, every: float) -> None:
        super().__init__(
            say(
                "{times} changes {every:g} days apart take more than a year, and nobody can tell "
                "the water so far ahead.",
                times=times,
                every=every,
            ),
            say("Ask for fewer changes, or for fewer days between them."),
        )


# ---- arithmetic of one number -------------------------------------------------------------------


def after_change(level: float, incoming: float, share: float) -> float:
    """The level once a share of the water is new."""
    return level + share * (incoming - level)


def batch_series(
    start: float, *, made: float, every: float, share: float, incoming: float, times: int
) -> tuple[float, ...]:
    """The level after each of so many changes, ``made`` a day going on between them.

    The first change comes after a first interval.
    """
    found = []
    level = start
    for _ in range(times):
        level = after_change(level + made * every, incoming, share)
        found.append(level)
    return tuple(found)


Rate = TypeVar("Rate", float, Floats)


def fixed_point(*, made: Rate, every: float, share: float, incoming: float) -> tuple[Rate, Rate]:
    """Where a change of a share every so many days leads in the end: just after one, and before."""
    gained = made * every
    return incoming + gained * (1.0 - share) / share, incoming + gained / share


def share_to_hold(trough: float, *, made: float, every: float, incoming: float) -> float:
    """The share every so many days that leads to a level just after the change.

    Raises ChangeImpossible where the new water itself holds as much or more (or as little).
    """
    gap, gained = trough - incoming, made * every
    if gap * gained <= 0.0:
        raise ChangeImpossible(
            say("the new water alone is not on that side of what is wanted"),
            say("Look at the new water's own level, or choose another target."),
        )
    return gained / (gap + gained)


def share_once(start: float, target: float, *, incoming: float) -> float:
    """The share of one change from a level to a target. Raises ChangeImpossible."""
    if start == target:
        return 0.0
    share = (start - target) / (start - incoming) if start != incoming else math.inf
    if not 0.0 < share <= 1.0:
        raise ChangeImpossible(
            say(
                "new water at {incoming:g} can't take it from {start:g} to {target:g}",
                incoming=incoming,
                start=start,
                target=target,
            )
        )
    return share


def share_each(start: float, target: float, *, incoming: float, times: int) -> float:
    """The equal share of each of so many changes, nothing made between them."""
    return float(1.0 - (1.0 - share_once(start, target, incoming=incoming)) ** (1.0 / times))


def continuous_share(start: float, target: float, *, incoming: float) -> float:
    """New water over net volume that a continuous change needs: more than a batch, always."""
    once = share_once(start, target, incoming=incoming)
    return -math.log1p(-once) if once < 1.0 else math.inf


def continuous_level(*, made: float, flow: float, litres: float, incoming: float) -> float:
    """Where a continuous change of ``flow`` litres a day ends with ``made`` a litre a day."""
    return incoming + made * litres / flow


# ---- a series over the draws --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NewWater:
    """New water by quantity, canonical units, with its own doubt, and its temperature, °C."""

    levels: Mapping[str, float]
    spread: Mapping[str, float]
    temperature: float | None = None


@dataclass(frozen=True, slots=True)
class ChangePlan:
    """So many equal changes, one every so many days, and what becomes of the water.

    ``levels[k]`` are the draws of each quantity ``k`` days from now, ``without`` those with no
    change at all. ``reaches`` is the chance of being at or past the target after the last change.
    """

    quantity: str
    target: float
    litres: float
    times: int
    every: float
    share: float
    levels: Floats
    without: Floats
    quantities: tuple[str, ...]
    reaches: float

    def of(self, quantity: str) -> Floats:
        """Days x draws of one quantity with the plan."""
        return np.asarray(self.levels[:, :, self.quantities.index(quantity)])


def play(
    drawn: Drawn, new: NewWater, *, litres: float, times: int, every: float, days: float
) -> Floats:
    """Levels (day x draw x quantity) with so many changes of so many litres, the first today."""
    swaps = [
        Swap(drawn.at + k * every + 1e-3, litres, new.levels, new.spread) for k in range(times)
    ]
    return ahead(drawn, days, swaps=swaps).levels


def plan_changes(
    drawn: Drawn,
    quantity: str,
    target: float,
    *,
    new: NewWater,
    every: float,
    most_share: float,
    times: int | None = None,
) -> ChangePlan | None:
    """The smallest equal changes that bring the middle of belief to the target; None: none does.

    With ``times`` exactly so many; else as few as stay under ``most_share`` each. Raises ValueError
    where the belief doesn't hold the quantity, and ChangesTooMany.
    """
    place = drawn.quantities.index(quantity)
    middle = float(np.median(drawn.litres))
    days = float(MOST_DAYS if times is None else max(MOST_DAYS, day_of_last(times, every)))
    if times is not None and days > MOST_DAYS_ASKED:
        raise ChangesTooMany(times, every)
    without = ahead(drawn, days).levels
    down = target < float(np.median(without[0][:, place]))
    seeking = _Seeking(drawn.thinned(_SEARCHED), new, place, target, every, down, middle)
    count = times or seeking.fewest(most_share)
    share = None if count is None else seeking.share(count, most_share)
    if count is None or share is None:
        return None
    litres = share * middle
    levels = play(drawn, new, litres=litres, times=count, every=every, days=days)
    last = levels[day_of_last(count, every)][:, place]
    reached = float(np.mean(last <= target if down else last >= target))
    return ChangePlan(
        quantity, target, litres, count, every, share, levels, without, drawn.quantities, reached
    )


def day_of_last(times: int, every: float) -> int:
    """The day's end by which the last change is made."""
    return math.ceil((times - 1) * every + 1e-6) if times > 1 else 1


@dataclass(frozen=True, slots=True)
class _Seeking:
    """The search for a share, on few draws."""

    drawn: Drawn
    new: NewWater
    place: int
    target: float
    every: float
    down: bool
    litres: float

    def middles(self, share: float, times: int) -> Floats:
        """The middle of belief at each day's end until the last change."""
        days = float(day_of_last(times, self.every))
        levels = play(
            self.drawn, self.new, litres=share * self.litres, times=times, every=self.every,
            days=days,
        )  # fmt: skip
        return np.asarray(np.median(levels[:, :, self.place], axis=1))

    def is_short(self, level: float) -> bool:
        """Whether a level hasn't come to the target."""
        slack = 1e-9 * max(abs(self.target), 1e-9)
        return level > self.target + slack if self.down else level < self.target - slack

    def fewest(self, most: float) -> int | None:
        """The fewest changes of the largest share that come to the target: one walk tells."""
        times = max(int(MOST_DAYS / self.every), 1)
        found = self.middles(most, times)
        for count in range(1, times + 1):
            if not self.is_short(float(found[day_of_last(count, self.every)])):
                return count
        return None

    def share(self, times: int, most: float) -> float | None:
        """The smallest share of so many changes that comes to the target."""
        if self.is_short(float(self.middles(most, times)[-1])):
            return None
        low, high = 0.0, most
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            short = self.is_short(float(self.middles(middle, times)[-1]))
            low, high = (middle, high) if short else (low, middle)
        return high


def smaller_or_rarer(
    *, made: float, trough: float, incoming: float, litres: float, intervals: Sequence[float]
) -> tuple[tuple[float, float, float, float], ...]:
    """For each interval in days: the share that holds a trough, its peak, litres a month.

    Intervals that no share can hold are left out.
    """
    found = []
    for every in intervals:
        try:
            share = share_to_hold(trough, made=made, every=every, incoming=incoming)
        except ChangeImpossible:
            continue
        if 0.0 < share < 1.0:
            peak = fixed_point(made=made, every=every, share=share, incoming=incoming)[1]
            found.append((every, share, peak, share * litres * 30.0 / every))
    return tuple(found)
