"""The keeper's other numbers that plans are held to: each key of [planning], and what is taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.measure import Measure
from brinebook.planning.changes import SHARE_AT_ONCE
from brinebook.planning.corrections import POUR_GAP, POURS_PER_DAY
from brinebook.planning.limits import SATURATION, SATURATION_RISE
from brinebook.planning.mixing import MOISTURE
from brinebook.planning.pours import AIR_HOURS, ROOM_CO2
from brinebook.report.numbers import plain_text
from brinebook.system import Planning
from brinebook.texts import say


@dataclass(frozen=True, slots=True)
class PlanNumber:
    """A number of plans: its key, in ``unit``; ``low`` to ``high`` where it is a range.

    ``own``: it is the keeper's. ``taken`` is what holds where nobody said.
    """

    key: str
    value: float
    unit: str
    own: bool
    low: float | None = None
    high: float | None = None
    taken: str = ""

    @property
    def text(self) -> str:
        """“30 %”, “420 to 1000 ppm”."""
        return self.taken if not self.own else _with_unit(plain_text(self.value), self.unit)

    @property
    def typed(self) -> str:
        """As it is typed into the description: “30 %”, else a bare number; a range isn't typed."""
        if self.low is not None:
            return ""
        return _with_unit(plain_text(self.value), self.unit if self.unit == "%" else "")


#: Key -> its unit, what is taken where it isn't said, and by how much the value is shown larger.
#: Common practice, no source, all of them.
_TAKEN: Mapping[str, tuple[str, tuple[float, ...], float]] = MappingProxyType(
    {
        "saturation": ("", (SATURATION,), 1.0),
        "saturation_rise": ("", (SATURATION_RISE,), 1.0),
        "change_share": ("%", (SHARE_AT_ONCE,), 100.0),
        "pours_per_day": ("", (POURS_PER_DAY,), 1.0),
        "pour_gap": ("h", (POUR_GAP,), 1.0),
        "mixing_share": ("%", (1.0,), 100.0),
        "air_co2": ("ppm", ROOM_CO2, 1.0),
        "air_hours": ("h", AIR_HOURS, 1.0),
        "salt_moisture": ("", (MOISTURE,), 1.0),
    }
)


def plan_numbers(planning: Planning) -> tuple[PlanNumber, ...]:
    """Every key of [planning] with the keeper's number, or what is taken for want of one."""
    return tuple(_number(planning, key) for key in _TAKEN)


def _number(planning: Planning, key: str) -> PlanNumber:
    unit, usual, factor = _TAKEN[key]
    taken = [factor * each for each in usual]
    low, middle, high = (taken[0], taken[len(taken) // 2], taken[-1])
    text = _with_unit(plain_text(middle), unit)
    if low < high:
        low_text, high_text = plain_text(low), _with_unit(plain_text(high), unit)
        text = say("{low} to {high}", low=low_text, high=high_text)
    said = getattr(planning, key)
    if said is not None:
        value = said.value if isinstance(said, Measure) else said
        return PlanNumber(key, factor * value, unit, own=True, taken=text)
    if low < high:
        return PlanNumber(key, middle, unit, own=False, low=low, high=high, taken=text)
    return PlanNumber(key, middle, unit, own=False, taken=text)


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if unit else text
