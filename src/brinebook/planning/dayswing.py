"""What the hours of dosing do to the day's pH: the doses alone, without light and animals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.season import Floats
from brinebook.planning.pours import Water, aired, calcified, poured

_DAYS = 3


@dataclass(frozen=True, slots=True)
class Daily:
    """What goes in and out in a day, meq/L, mmol/L of carbon, mg/L of calcium.

    ``begins`` and ``ends`` are clock hours of dosing; the same twice: round the clock.
    """

    alkalinity: float
    carbon: float
    calcium: float
    use: float
    begins: float = 0.0
    ends: float = 0.0

    @property
    def length(self) -> float:
        """Hours of dosing a day."""
        return (self.ends - self.begins) % 24.0 or 24.0

    def is_on(self, hour: float) -> bool:
        """Whether the pumps run in the hour that begins at this clock hour."""
        return (hour - self.begins) % 24.0 < self.length - 1e-9


def day_of_ph(water: Water, daily: Daily, *, pco2: float, air_hours: float) -> Floats:
    """pH (NBS) at the end of each clock hour of a day, once days follow each other alike.

    The water starts in balance with the air; what is used goes evenly round the clock. The lights'
    own swing, larger as a rule, isn't in it.
    """
    each = daily.length
    told = []
    for step in range(_DAYS * 24):
        hour = step % 24
        if daily.is_on(hour):
            water = poured(
                water,
                alkalinity=daily.alkalinity / each,
                carbon=daily.carbon / each,
                calcium=daily.calcium / each,
            )
        water = calcified(water, daily.use / 24.0)
        water = aired(water, 1.0, pco2=pco2, air_hours=air_hours)
        if step >= (_DAYS - 1) * 24:
            told.append(float(np.ravel(water.state().ph_nbs)[0]))
    return np.array(told)


def clock_hours(text: str) -> tuple[float, float]:
    """``22-06`` as (22, 6); nothing as round the clock."""
    first, _, last = text.partition("-")
    if not last:
        return 0.0, 0.0

    def hour(part: str) -> float:
        whole, _, minutes = part.strip().partition(":")
        return (int(whole) + int(minutes or 0) / 60.0) % 24.0

    return hour(first), hour(last)
