"""The keeper's limits, and what is suggested where there is none; each with its origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from brinebook.system import System
from brinebook.water.quantities import DKH_PER_MEQ

#: How likely a plan may at most pass a limit or the far edge of a band.
CHANCE = 0.02


@dataclass(frozen=True, slots=True)
class CommonLimit:
    """A figure in common use: its value, what it is, and what others use. No source."""

    SAID: ClassVar[tuple[str, ...]] = ("says",)

    value: float
    unit: str
    says: str


#: Most change in a day, canonical unit. Common practice, no source.
PER_DAY: Mapping[str, CommonLimit] = MappingProxyType(
    {
        "alkalinity": CommonLimit(1.0 / DKH_PER_MEQ, "meq/L", "others use 0.5 to 1.4 dKH a day"),
        "calcium": CommonLimit(30.0, "mg/L", "others use 20 to 50 mg/L a day"),
        "magnesium": CommonLimit(75.0, "mg/L", "others use 50 to 100 mg/L a day"),
        "potassium": CommonLimit(20.0, "mg/L", "others use 10 to 20 mg/L a day"),
        "strontium": CommonLimit(1.0, "mg/L", "others use 0.5 to 2 mg/L a day"),
        "iodine": CommonLimit(20.0, "ug/L", "others use 10 to 20 µg/L a day"),
        "nitrate": CommonLimit(2.0, "mg/L", "others use 1 to 5 mg/L a day, upwards"),
        "phosphate": CommonLimit(0.03, "mg/L", "others use 0.02 to 0.05 mg/L a day"),
        "salinity": CommonLimit(1.0, "PSU", "upwards; downwards others use up to 2 a day"),
        "silicate": CommonLimit(0.5, "mg/L", "hardly anybody doses it"),
        "iron": CommonLimit(5.0, "ug/L", "hardly anybody measures it"),
        "temperature": CommonLimit(1.0, "dC", "a deliberate change"),
    }
)

#: Bands in common use, canonical unit. Common practice, no source.
BANDS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "alkalinity": (7.0 / DKH_PER_MEQ, 9.0 / DKH_PER_MEQ),
        "calcium": (380.0, 450.0),
        "magnesium": (1250.0, 1400.0),
        "potassium": (360.0, 440.0),
        "strontium": (6.0, 12.0),
        "iodine": (30.0, 90.0),
        "nitrate": (2.0, 20.0),
        "phosphate": (0.02, 0.10),
        "salinity": (34.0, 36.0),
        "temperature": (24.0, 27.0),
    }
)

#: Aragonite saturation that a pour may not pass, or so much above where the water stands, whichever
#: is higher. Common practice, no source.
SATURATION = 5.0
SATURATION_RISE = 1.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a plan for one quantity is held to, in its canonical unit.

    ``own`` names what is the keeper's own: "per_day", "band", "saturation"; the rest is suggested.
    """

    per_day: float
    band: tuple[float, float]
    saturation: float = SATURATION
    saturation_rise: float = SATURATION_RISE
    own: frozenset[str] = frozenset()
    per_day_says: str = ""

    def origin(self, name: str) -> str:
        """Where a limit comes from, in a few words."""
        return "your own" if name in self.own else "common practice, no source"


def limits_for(quantity: str, system: System | None, *, target: float) -> Limits:
    """The limits of one quantity: the keeper's own, else those in common use.

    A quantity with neither has a band of a fifth about the target and a tenth of it a day.
    """
    own = set()
    suggested = PER_DAY.get(quantity)
    per_day = suggested.value if suggested else max(0.1 * abs(target), 1e-9)
    band = BANDS.get(quantity, (0.8 * target, 1.2 * target))
    saturation, rise = SATURATION, SATURATION_RISE
    if system is not None:
        if quantity in system.limits_per_day:
            per_day = system.limits_per_day[quantity]
            own.add("per_day")
        if quantity in system.bands:
            band = system.bands[quantity]
            own.add("band")
        if system.planning.saturation is not None:
            saturation = system.planning.saturation
            own.add("saturation")
        if system.planning.saturation_rise is not None:
            rise = system.planning.saturation_rise
            own.add("saturation")
    says = suggested.says if suggested and "per_day" not in own else ""
    return Limits(per_day, band, saturation, rise, frozenset(own), says)
