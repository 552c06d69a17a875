"""A dosing pump that doesn't stop: alkalinity, calcium, pH and saturation by the hour.

Concentrations in canonical units (meq/L, mg/L), volumes in mL of the bottle and L of the system.
What precipitates is left out, so that high saturations are where the water would go, not stay.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from brinebook.lifesupport.ranges import Range
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.salinity import kilograms_per_litre

#: Hours in which CO2 goes two thirds of the way to balance with the room's air, short end first:
#: skimmers and overflows make it short, a lid long (common practice, no source).
AIR_HOURS = (2.0, 6.0, 24.0)


@dataclass(frozen=True, slots=True)
class WaterNow:
    """The system's water as it is believed to stand, and the room's CO2 in uatm."""

    litres: Range
    alkalinity: Range  # meq/L
    calcium: Range  # mg/L
    salinity: float = 35.0
    temperature: float = 25.0
    room_co2: float = 550.0
    pco2: float | None = None  # of the water; left out, that of the room


@dataclass(frozen=True, slots=True)
class Pouring:
    """A bottle that runs into the water: what a mL brings, mmol of carbon in it, mL and mL/h."""

    name: str
    per_ml: Mapping[str, float]
    carbon: float | None
    holds: float
    flow: float

    @property
    def carbon_worst(self) -> float:
        """Carbon in mmol/mL; where nobody knows, as if all alkalinity were carbonate."""
        return self.per_ml.get("alkalinity", 0.0) / 2.0 if self.carbon is None else self.carbon

    @property
    def runs_for(self) -> float:
        """Hours until it is empty."""
        return self.holds / self.flow if self.flow > 0.0 else math.inf


@dataclass(frozen=True, slots=True)
class PouredHour:
    """The water at an hour: mL in by then, and what follows of them."""

    hour: float
    poured: float
    alkalinity: float
    calcium: float
    ph_nbs: float
    omega_aragonite: float


def rise(per_ml: float, millilitres: float, *, litres: float) -> float:
    """By how much a quantity rises, canonical unit; ``per_ml`` is its amount times litre by mL."""
    return per_ml * millilitres / litres


def most_for(per_ml: float, limit: float, *, litres: float) -> float:
    """The most mL that may run in for a rise of no more than ``limit``; infinite if it has none."""
    return limit * litres / abs(per_ml) if per_ml else math.inf


def pouring_course(
    water: WaterNow,
    bottles: tuple[Pouring, ...],
    *,
    hours: int,
    litres: float | None = None,
    air_hours: float = AIR_HOURS[1],
    step: float = 0.25,
) -> tuple[PouredHour, ...]:
    """The water at the start and after every hour, with these bottles running from the start on.

    CO2 goes towards balance with the room at a fixed pace, whatever the surface does. The water's
    volume doesn't grow: a bottle is well under a hundredth of it.
    """
    volume = water.litres.value if litres is None else litres
    kilograms = kilograms_per_litre(water.salinity, water.temperature)
    start = solve(_sample(water, kilograms, alkalinity=water.alkalinity.value,
                          calcium=water.calcium.value, pco2=_pco2(water)))  # fmt: skip
    dic = start.dic
    found = [_hour(water, 0.0, 0.0, bottles, volume=volume, state=start)]
    for number in range(round(hours / step)):
        before, after = number * step, (number + 1) * step
        carbon = sum(
            (_poured(bottle, after) - _poured(bottle, before)) * bottle.carbon_worst
            for bottle in bottles
        )
        dic += carbon * 1000.0 / volume / kilograms
        alkalinity, calcium = _now(water, bottles, after, volume)
        rest = solve(
            _sample(water, kilograms, alkalinity=alkalinity, calcium=calcium, pco2=water.room_co2)
        ).dic
        dic = rest + (dic - rest) * math.exp(-step / air_hours)
        if (number + 1) % round(1.0 / step) == 0:
            state = solve(
                replace(_sample(water, kilograms, alkalinity=alkalinity, calcium=calcium), dic=dic)
            )
            poured = sum(_poured(bottle, after) for bottle in bottles)
            found.append(_hour(water, after, poured, bottles, volume=volume, state=state))
    return tuple(found)


def _pco2(water: WaterNow) -> float:
    return water.room_co2 if water.pco2 is None else water.pco2


def _poured(bottle: Pouring, hour: float) -> float:
    return min(bottle.flow * hour, bottle.holds)


def _now(
    water: WaterNow, bottles: tuple[Pouring, ...], hour: float, volume: float
) -> tuple[float, float]:
    def at(quantity: str, before: float) -> float:
        return before + sum(
            rise(bottle.per_ml.get(quantity, 0.0), _poured(bottle, hour), litres=volume)
            for bottle in bottles
        )

    return at("alkalinity", water.alkalinity.value), at("calcium", water.calcium.value)


def _sample(
    water: WaterNow,
    kilograms: float,
    *,
    alkalinity: float,
    calcium: float,
    pco2: float | None = None,
) -> Sample[float]:
    return Sample(
        alkalinity=alkalinity * 1000.0 / kilograms,
        pco2=pco2,
        salinity=water.salinity,
        temperature=water.temperature,
        calcium=calcium * 1000.0 / molar_mass("Ca") / kilograms,
    )


def _hour(
    water: WaterNow,
    hour: float,
    poured: float,
    bottles: tuple[Pouring, ...],
    *,
    volume: float,
    state: CarbonateState[float],
) -> PouredHour:
    alkalinity, calcium = _now(water, bottles, hour, volume)
    return PouredHour(hour, poured, alkalinity, calcium, state.ph_nbs, state.omega_aragonite)
