"""How far a level moves within a day: dosing by the clock against a use that follows the light."""

from __future__ import annotations

import math

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.season import Floats, Season


def light_swing(t: Floats | float, clock: float) -> Floats:
    """How far calcification has run ahead of its mean by each time, in days of it.

    ``t`` in days of the season, ``clock`` days that the system's clock is ahead of UTC.
    """
    phase = 2.0 * math.pi * (t + clock - beliefs.LIGHT_PEAK)
    return np.asarray(beliefs.LIGHT_SWING / (2.0 * math.pi) * np.sin(phase))


def moved_since(
    season: Season, quantity: str, *, begins: float, ends: float, use: float, litres: float
) -> float:
    """What dosing brought a quantity since a time of the same day, less what was used meanwhile.

    ``begins`` <= ``ends``, within a day of each other; ``use`` per day and the answer in the
    canonical unit. Nothing else of that day is counted: it is the day's usual course, as set.
    """
    position = season.quantities.index(quantity)
    brought = math.fsum(
        float(flow.upto(ends) - flow.upto(begins)) * float(flow.brings[position]) / litres
        for flow in season.flows
    )
    ahead = float(light_swing(ends, season.clock) - light_swing(begins, season.clock))
    follows_light = quantity in beliefs.SKELETON
    return brought - use * (ends - begins + (ahead if follows_light else 0.0))
