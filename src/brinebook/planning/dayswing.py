"""What the hours of dosing do to the day's pH: the doses alone, without light and animals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

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


def days_of_ph(water: Water, days: Sequence[Daily], *, pco2: float, air_hours: float) -> Floats:
    """pH (NBS) at the end of each clock hour (rows) of each day (columns), once days are alike.

    The water, one state, starts in balance with the air; what is used goes evenly round the clock.
    The lights' own swing, larger as a rule, isn't in it.
    """
    count = len(days)
    here = replace(
        water,
        alkalinity=np.broadcast_to(water.alkalinity, (count,)),
        dic=np.broadcast_to(water.dic, (count,)),
        calcium=np.broadcast_to(water.calcium, (count,)),
    )
    per_hour = np.array([(day.alkalinity, day.carbon, day.calcium) for day in days]).T
    per_hour = per_hour / np.array([day.length for day in days])
    use = np.array([day.use for day in days]) / 24.0
    told = []
    for step in range(_DAYS * 24):
        on = np.array([day.is_on(step % 24) for day in days])
        alkalinity, carbon, calcium = per_hour * on
        here = poured(here, alkalinity=alkalinity, carbon=carbon, calcium=calcium)
        here = aired(calcified(here, use), 1.0, pco2=pco2, air_hours=air_hours)
        if step >= (_DAYS - 1) * 24:
            told.append(here.state().ph_nbs)
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
