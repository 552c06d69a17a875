"""Humid air: what it holds, when it drips, what it weighs.

The relations are those of the handbook, by the psychrolib library; this module only gives them our
names and units. Temperatures in °C, humidity as a fraction of saturation (0.5 = 50 %), pressures in
kPa but for that of the air itself, which is in Pa. Range 0 to 60 °C, 0 to 3000 m.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import psychrolib

psychrolib.SetUnitSystem(psychrolib.SI)

#: Courses ask for the air of one room tens of thousands of times.
_REMEMBERED = 4096

#: The atmosphere at sea level, Pa.
STANDARD_PRESSURE = 101_325.0


@dataclass(frozen=True, slots=True)
class Air:
    """Air of a room: temperature in °C, humidity as a fraction, pressure in Pa."""

    temperature: float
    humidity: float
    pressure: float = STANDARD_PRESSURE


@lru_cache(maxsize=_REMEMBERED)
def saturation_pressure(temperature: float) -> float:
    """Pressure of water vapour over pure water in kPa; 0 to 60 °C, 0.03 %.

    Source: ashrae2017 (chapter 1, eq. 6)
    """
    return float(psychrolib.GetSatVapPres(temperature)) / 1000.0


def vapour_pressure(air: Air) -> float:
    """Pressure of the vapour that the air holds, kPa.

    Source: ashrae2017 (chapter 1, eq. 22)
    """
    return air.humidity * saturation_pressure(air.temperature)


@lru_cache(maxsize=_REMEMBERED)
def humidity_ratio(air: Air) -> float:
    """Kilograms of vapour that go with a kilogram of dry air.

    Source: ashrae2017 (chapter 1, eq. 20)
    """
    return float(psychrolib.GetHumRatioFromRelHum(air.temperature, air.humidity, air.pressure))


@lru_cache(maxsize=_REMEMBERED)
def ratio_at_saturation(temperature: float, *, pressure: float = STANDARD_PRESSURE) -> float:
    """The most vapour that a kilogram of dry air holds at this temperature, kg.

    Source: ashrae2017 (chapter 1, eq. 20)
    """
    return float(psychrolib.GetSatHumRatio(temperature, pressure))


def vapour_pressure_of_ratio(ratio: float, *, pressure: float = STANDARD_PRESSURE) -> float:
    """Pressure of the vapour in kPa, from kilograms of it in a kilogram of dry air.

    Source: ashrae2017 (chapter 1, eq. 20 solved for the vapour)
    """
    return float(psychrolib.GetVapPresFromHumRatio(max(ratio, 0.0), pressure)) / 1000.0


def humidity_of_ratio(
    temperature: float, ratio: float, *, pressure: float = STANDARD_PRESSURE
) -> float:
    """Relative humidity as a fraction; above 1 where the air would hold more than it can.

    Source: ashrae2017 (chapter 1, eqs. 20 and 22)
    """
    return vapour_pressure_of_ratio(ratio, pressure=pressure) / saturation_pressure(temperature)


def dew_point(vapour: float) -> float:
    """The temperature in °C at which air with this vapour pressure (kPa, above zero) drips.

    Between 0 and 60 °C it inverts ``saturation_pressure`` to 1e-9 °C; below freezing it is the
    temperature of frost.
    Source: ashrae2017 (chapter 1, eq. 6 solved for the temperature)
    """
    low, high = -60.0, 99.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if saturation_pressure(middle) < vapour:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


@lru_cache(maxsize=_REMEMBERED)
def dry_air_density(air: Air) -> float:
    """Kilograms of dry air in a cubic metre of the air as it is.

    Source: ashrae2017 (chapter 1, eq. 26)
    """
    volume = psychrolib.GetMoistAirVolume(air.temperature, humidity_ratio(air), air.pressure)
    return 1.0 / float(volume)


@dataclass(frozen=True, slots=True)
class AirState:
    """All that hangs together in humid air: kg/kg, °C, kJ/kg and m3/kg of dry air, g/m3, kPa."""

    humidity: float
    ratio: float
    dew_point: float
    wet_bulb: float
    enthalpy: float
    volume: float
    vapour_density: float
    vapour_pressure: float
    saturation_pressure: float
    ratio_at_saturation: float


def air_state(air: Air) -> AirState:
    """Everything that follows from temperature, humidity and pressure.

    Source: ashrae2017 (chapter 1, eqs. 6, 20, 22, 26, 30 and 33)
    """
    ratio, vapour = humidity_ratio(air), vapour_pressure(air)
    volume = float(psychrolib.GetMoistAirVolume(air.temperature, ratio, air.pressure))
    return AirState(
        air.humidity,
        ratio,
        dew_point(vapour) if vapour > 0 else -60.0,
        float(psychrolib.GetTWetBulbFromHumRatio(air.temperature, ratio, air.pressure)),
        float(psychrolib.GetMoistAirEnthalpy(air.temperature, ratio)) / 1000.0,
        volume,
        1000.0 * ratio / volume,
        vapour,
        saturation_pressure(air.temperature),
        ratio_at_saturation(air.temperature, pressure=air.pressure),
    )


def humidity_by_wet_bulb(temperature: float, wet_bulb: float, *, pressure: float) -> float:
    """Relative humidity as a fraction from a wet thermometer in moving air, °C.

    Source: ashrae2017 (chapter 1, eqs. 20, 22 and 33)
    """
    return float(psychrolib.GetRelHumFromTWetBulb(temperature, wet_bulb, pressure))


def pressure_at_height(metres: float) -> float:
    """Pressure of the standard atmosphere, Pa; -500 to 11,000 m above the sea.

    Source: ashrae2017 (chapter 1, eq. 3)
    """
    return float(psychrolib.GetStandardAtmPressure(metres))
