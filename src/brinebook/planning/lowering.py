"""What is too high, brought down by dosing less for a while: use does the rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.drawn import Drawn, Extra, ahead
from brinebook.balance.season import Floats
from brinebook.planning.dosing import Pump

#: A pause takes no longer.
MOST_DAYS = 21
#: Of a day's limit: no day more for so little.
_NEAR = 0.02


@dataclass(frozen=True, slots=True)
class Pause:
    """A lower setting for some days: ``levels[k]`` are the draws ``k`` days from now with it.

    ``days`` is None where it isn't enough within three weeks. ``falls`` are the draws of the most
    that it falls in a day.
    """

    pump: Pump
    setting: float
    days: int | None
    levels: Floats
    falls: Floats


def pause(drawn: Drawn, pump: Pump, *, target: float, per_day: float) -> Pause:
    """The fewest days in which a lower setting brings it to ``target``, and that setting.

    98 of 100 draws fall no faster than ``per_day``; the middle of belief ends at the target.
    Raises ValueError where the belief doesn't hold the pump's quantity.
    """
    free = ahead(drawn, MOST_DAYS).of(pump.quantity)
    off = Extra(pump.substance.name, -pump.setting, pump.substance.per_unit)
    without = ahead(drawn, MOST_DAYS, extras=[off]).of(pump.quantity)
    share = _largest_share(free, without, per_day)
    levels = free + share * (without - free)
    there = np.nonzero(np.median(levels, axis=1) <= target + _NEAR * per_day)[0]
    days = int(there[0]) if there.size and there[0] > 0 else None
    if days is not None:
        share = _share_that_lands(free[days], without[days], target, share)
        levels = free + share * (without - free)
    last = days or MOST_DAYS
    falls = -np.diff(levels[: last + 1], axis=0).min(axis=0)
    return Pause(pump, pump.setting * (1.0 - share), days, levels, falls)


def _largest_share(free: Floats, without: Floats, per_day: float) -> float:
    """How much of the dosing may be left out, so that 98 of 100 draws fall no faster."""

    def keeps(share: float) -> bool:
        levels = free + share * (without - free)
        falls = -np.diff(levels, axis=0).min(axis=0)
        return float(np.quantile(falls, 0.98)) <= per_day

    if keeps(1.0):
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2.0
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return low


def _share_that_lands(free: Floats, without: Floats, target: float, most: float) -> float:
    """The share that brings the middle of belief to the target on the last day, and no lower."""
    low, high = 0.0, most
    for _ in range(30):
        middle = (low + high) / 2.0
        above = float(np.median(free + middle * (without - free))) > target
        low, high = (middle, high) if above else (low, middle)
    return high
