"""How far a level swings within a day, where a pump runs in some hours alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.drawn import Drawn, ahead

_DRAWS = 400
_STEP = 1.0 / 12.0


@dataclass(frozen=True, slots=True)
class DayLevel:
    """Against the level at the same hour of each day: the day's lowest (≤ 0) and highest (≥ 0)."""

    low: float
    high: float

    @property
    def swing(self) -> float:
        """From the lowest to the highest."""
        return self.high - self.low


def day_level(drawn: Drawn, quantity: str) -> DayLevel:
    """The next day's swing with dosing as it is, at the middle of belief.

    Raises ValueError where the belief doesn't hold the quantity.
    """
    levels = ahead(drawn.thinned(_DRAWS), 1.0, step=_STEP).of(quantity)
    middle = np.median(levels, axis=1)
    # A trend over the day is no swing: the straight line from now to the same hour tomorrow.
    line = np.linspace(middle[0], middle[-1], middle.size)
    away = middle - line
    return DayLevel(float(min(away.min(), 0.0)), float(max(away.max(), 0.0)))
