"""Whether use grows or falls, and what that makes of a setting in the weeks to come."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.measure import Measure

#: Weeks for which amounts are told: a trend says little of what lies further off.
WEEKS = 4
#: A trend is spoken of as one where its sign is at least this sure: as for a turn of the knob.
_SURE = 0.85


@dataclass(frozen=True, slots=True)
class Trend:
    """What is used in a day then and now, canonical, ``days`` apart."""

    quantity: str
    before: Measure
    now: Measure
    days: float

    @property
    def per_week(self) -> Measure:
        """The change of daily use in a week.

        Both ends are taken as known apart, though the same tests tell them: that makes the doubt
        rather too large than too small.
        """
        weeks = self.days / 7.0
        spread = math.hypot(self.before.sd, self.now.sd) / weeks
        return Measure((self.now.value - self.before.value) / weeks, spread, self.now.unit)

    @property
    def sureness(self) -> float:
        """How sure the sign of the trend is, 0.5 to 1."""
        change = self.per_week
        if change.sd <= 0.0:
            return 1.0 if change.value else 0.5
        return 0.5 * (1.0 + math.erf(abs(change.value) / change.sd / math.sqrt(2.0)))

    @property
    def is_sure(self) -> bool:
        """Whether it may be called growing or falling."""
        return self.sureness >= _SURE


def weekly(setting: float, trend: Trend | None, *, per_unit: float) -> tuple[float, ...]:
    """Settings for the coming weeks: the first as set, each later one with the trend's own share.

    ``per_unit`` is what one unit a day truly brings, canonical. A trend whose sign isn't sure
    changes nothing; one that is, is followed by its middle.
    """
    if trend is None or not trend.is_sure or per_unit <= 0.0:
        return (setting,) * WEEKS
    step = trend.per_week.value / per_unit
    return tuple(max(setting + week * step, 0.0) for week in range(WEEKS))
