"""What a pour does to pH, CO2 and saturation at once, and what air makes of it.

Alkalinity and inorganic carbon are what a pour brings; everything else follows from them. Between
pours CO2 goes between water and air, and the water ends where its new alkalinity and the air put
it, whatever the salt was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from brinebook.balance.season import Floats
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.arrays import solve_many
from brinebook.water.carbonate.state import CarbonateState, Sample
from brinebook.water.salinity import kilograms_per_litre

#: Hours in which CO2 goes two thirds of the way to balance with the air, where nobody said: low,
#: middle and high. Skimmers and overflows make it short, a lid long. Common practice, no source.
AIR_HOURS = (2.0, 6.0, 24.0)
#: CO2 of a room's air where nobody said, uatm: low, middle, high. Common practice, no source.
ROOM_CO2 = (420.0, 600.0, 1000.0)
#: Hours of one step of the exchange with the air.
_HOURS = 0.5


@dataclass(frozen=True, slots=True)
class Water:
    """Carbonate water, floats or arrays of draws: umol/kg, PSU, °C.

    ``kilograms`` is of a litre.
    """

    alkalinity: Any
    dic: Any
    calcium: Any
    salinity: float
    temperature: float
    kilograms: float

    def state(self) -> CarbonateState[Floats]:
        """pH, CO2, saturation and the rest of every draw."""
        return solve_many(
            Sample(
                alkalinity=self.alkalinity,
                dic=self.dic,
                calcium=self.calcium,
                salinity=self.salinity,
                temperature=self.temperature,
            )
        )


def water_of(
    alkalinity: Any,
    *,
    salinity: float = 35.0,
    temperature: float = 25.0,
    calcium: Any = None,
    pco2: Any = None,
    ph: Any = None,
) -> Water:
    """Water of an alkalinity (meq/L) and a pH (NBS), else in balance with CO2 of ``pco2`` uatm.

    ``calcium`` in mg/L; left out, that of natural seawater of the salinity. Range and accuracy are
    those of the carbonate system. Arrays are taken element by element.
    """
    kilograms = kilograms_per_litre(salinity, temperature)
    total = np.asarray(alkalinity, dtype=np.float64) * 1000.0 / kilograms
    micro = None
    if calcium is not None:
        micro = np.asarray(calcium, dtype=np.float64) * 1000.0 / molar_mass("Ca") / kilograms
    sample: Sample[Any] = Sample(
        alkalinity=total, calcium=micro, salinity=salinity, temperature=temperature
    )
    sample = replace(sample, ph=ph, scale="NBS") if ph is not None else replace(sample, pco2=pco2)
    state = solve_many(sample)
    if micro is None:
        micro = np.full(np.shape(total), 0.02128 / 40.087 * salinity / 1.80655 * 1e6)
    return Water(total, state.dic, micro, salinity, temperature, kilograms)


def poured(water: Water, *, alkalinity: Any = 0.0, carbon: Any = 0.0, calcium: Any = 0.0) -> Water:
    """The water right after a pour, before CO2 has come or gone: meq, mmol and mg a litre."""
    scale = 1000.0 / water.kilograms
    return replace(
        water,
        alkalinity=water.alkalinity + np.asarray(alkalinity) * scale,
        dic=water.dic + np.asarray(carbon) * scale,
        calcium=water.calcium + np.asarray(calcium) * scale / molar_mass("Ca"),
    )


def calcified(water: Water, alkalinity: Any) -> Water:
    """The water after so much alkalinity (meq/L) was laid down as CaCO3, with its carbon."""
    calcium = np.asarray(alkalinity) * molar_mass("Ca") / 2.0
    half = np.asarray(alkalinity) / 2.0
    return poured(water, alkalinity=-np.asarray(alkalinity), carbon=-half, calcium=-calcium)


def aired(water: Water, hours: float, *, pco2: Any, air_hours: Any) -> Water:
    """The water after so long over air of ``pco2`` uatm.

    ``air_hours``: the hours in which a small departure of CO2 falls to 37 %. The flux follows the
    difference of dissolved CO2, as gas exchange does; a step is solved in its middle, good to a few
    thousandths of pH.
    """
    if hours <= 0.0:
        return water
    settled = _settled(water, pco2)
    slope = (_settled(water, pco2 * 1.01).dic - settled.dic) / (0.01 * settled.co2)
    rate = slope / np.asarray(air_hours)  # 1/h, on dissolved CO2
    steps = max(math.ceil(hours / _HOURS), 1)
    length = hours / steps
    for _ in range(steps):
        here = water.state()
        gap = here.co2 - settled.co2
        # d(co2)/d(dic) is about 1/slope, so that the implicit step never passes the balance.
        moved = rate * gap * length / (1.0 + rate * length / slope / 2.0)
        half = replace(water, dic=water.dic - moved / 2.0)
        gap = half.state().co2 - settled.co2
        water = replace(water, dic=water.dic - rate * gap * length)
    return water


def _settled(water: Water, pco2: Any) -> CarbonateState[Floats]:
    return solve_many(
        Sample(
            alkalinity=water.alkalinity,
            pco2=np.asarray(pco2, dtype=np.float64),
            calcium=water.calcium,
            salinity=water.salinity,
            temperature=water.temperature,
        )
    )


def in_balance(water: Water, pco2: Any) -> Water:
    """The water once it has come to balance with air of ``pco2`` uatm."""
    return replace(water, dic=_settled(water, pco2).dic)


@dataclass(frozen=True, slots=True)
class PourCourse:
    """States at times (hours), each with its draws: closed to the air, and open to it."""

    hours: Floats
    closed: tuple[CarbonateState[Floats], ...]
    open: tuple[CarbonateState[Floats], ...]


def course(
    water: Water,
    pours: Sequence[tuple[float, Any, Any, Any]],
    *,
    until: float,
    pco2: Any,
    air_hours: Any,
    every: float = 2.0,
) -> PourCourse:
    """pH, CO2 and saturation through pours of (hour, meq/L, mmol/L of carbon, mg/L of calcium).

    Told at the start, right after each pour, and every so many hours until the end.
    """
    grid = {k * every for k in range(math.floor(until / every) + 1)}
    marks = sorted({0.0, *grid, *(pour[0] for pour in pours), until})
    shut = free = water
    told: list[tuple[float, CarbonateState[Floats], CarbonateState[Floats]]] = []
    before = 0.0
    for mark in marks:
        free = aired(free, mark - before, pco2=pco2, air_hours=air_hours)
        before = mark
        told.append((mark, shut.state(), free.state()))
        for _, alkalinity, carbon, calcium in (pour for pour in pours if pour[0] == mark):
            shut = poured(shut, alkalinity=alkalinity, carbon=carbon, calcium=calcium)
            free = poured(free, alkalinity=alkalinity, carbon=carbon, calcium=calcium)
            told.append((mark, shut.state(), free.state()))
    hours, closed, opened = zip(*told, strict=True)
    return PourCourse(np.array(hours), closed, opened)
