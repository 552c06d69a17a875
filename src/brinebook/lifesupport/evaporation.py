"""How fast an open water surface dries into a room.

Two published relations, their spread, and what a lid leaves of it. The spread is wide: pools
measured still evaporated a quarter less than the older formula says, stirred ones half as much
again. The keeper's own litres of top-off are better than any of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.lifesupport.humid_air import (
    Air,
    dry_air_density,
    humidity_ratio,
    saturation_pressure,
    vapour_pressure,
)

SECONDS_A_DAY = 86_400.0

#: What measured pools did, over what the formula of 1918 says: still, as it is, stirred.
#: Source: smith1998 (74 % of it still, 40 to 70 % more than it when active)
STILL, AS_WRITTEN, STIRRED = 0.74, 1.0, 1.7


@dataclass(frozen=True, slots=True)
class Surface:
    """An open water surface: m2, air speed over it in m/s, and the share that a lid leaves open.

    ``open_share`` is 1 without a lid. A lid with the usual gaps leaves about 0.25 (common practice,
    no source).
    """

    area: float
    air_speed: float = 0.0
    open_share: float = 1.0


def latent_heat(temperature: float) -> float:
    """Heat that a kilogram of vapour takes from seawater of 35 PSU, kJ/kg.

    A straight line through the standard's own function: within 0.02 % from 20 to 30 °C, 0.1 % from
    0 to 40.
    Source: ioc2010 (evaporation enthalpy of seawater)
    """
    return 2500.9 - 2.4775 * temperature


def latent_heat_of_pure_water(temperature: float) -> float:
    """Heat that a kilogram of vapour takes from pure water, kJ/kg, for comparison with tables.

    A cubic of ours through the values of the standard: within 0.01 kJ/kg from 0 to 45 °C.
    Source: wagner2002 (table 13.1)
    """
    t = temperature
    return 2500.92757 + t * (-2.38015562 + t * (7.99279938e-4 - t * 1.59545302e-5))


def water_activity(salinity: float) -> float:
    """Vapour pressure over seawater over that of pure water; 0 to 40 PSU, 0 to 40 °C.

    Source: weiss1980 (eq. 10, its last term)
    """
    return math.exp(-0.000544 * salinity)


def evaporation_carrier_1918(
    water_pressure: float, air_pressure: float, *, air_speed: float, latent: float
) -> float:
    """Water lost from a square metre of still pool, kg/s; negative where the air rains on it.

    Vapour pressures in kPa at the surface and in the air, air speed in m/s, latent heat in kJ/kg.
    Fitted to air speeds up to 7 m/s; see ``STILL`` and ``STIRRED`` for what pools do.
    Source: carrier1918 (in the units of smith1998)
    """
    return (0.089 + 0.0782 * air_speed) * (water_pressure - air_pressure) / latent


def evaporation_shah_2014(water_temperature: float, air: Air, *, activity: float = 1.0) -> float:
    """Water lost from a square metre of undisturbed pool into quiet air, kg/s.

    The larger of what rises by itself, as moist air is lighter, and what the slow currents of any
    room carry off. Pools of 0.07 to 425 m2, 7 to 94 °C, air of 6 to 35 °C and 28 to 95 %; mean
    deviation 18 %.
    Source: shah2014 (undisturbed pools), shah2002 (range and deviation)
    """
    at_surface = Air(water_temperature, activity, air.pressure)
    surface_density, room_density = dry_air_density(at_surface), dry_air_density(air)
    wetter = humidity_ratio(at_surface) - humidity_ratio(air)
    lift: float = max(room_density - surface_density, 0.0) ** (1.0 / 3.0)
    rising = 35.0 * surface_density * lift * wetter
    over = activity * saturation_pressure(water_temperature) - vapour_pressure(air)
    carried = 0.00005 * over * 1000.0
    return max(rising, carried) / 3600.0


def evaporation(
    surface: Surface,
    water_temperature: float,
    *,
    air: Air,
    salinity: float = 35.0,
    factor: float = AS_WRITTEN,
) -> float:
    """Water lost from one surface, kg/s; factor times the formula of 1918.

    Source: carrier1918, smith1998, weiss1980
    """
    activity = water_activity(salinity)
    a_square_metre = evaporation_carrier_1918(
        activity * saturation_pressure(water_temperature),
        vapour_pressure(air),
        air_speed=surface.air_speed,
        latent=latent_heat(water_temperature),
    )
    return factor * surface.open_share * surface.area * a_square_metre


@dataclass(frozen=True, slots=True)
class FactorRange:
    """By what to multiply the formula of 1918: at least, as a middle, at most."""

    low: float
    middle: float
    high: float


def factor_range(
    surfaces: tuple[Surface, ...], water_temperature: float, *, air: Air, salinity: float = 35.0
) -> FactorRange:
    """How far the published figures lie apart over these surfaces, as factors.

    The low end is the lesser of still pools as measured and of the relation for undisturbed water,
    the high end that of stirred pools.
    Source: smith1998, shah2014
    """
    activity = water_activity(salinity)
    still = evaporation_shah_2014(water_temperature, air, activity=activity)
    undisturbed = still * sum(surface.area * surface.open_share for surface in surfaces)
    written = sum(
        evaporation(surface, water_temperature, air=air, salinity=salinity) for surface in surfaces
    )
    low = min(STILL, undisturbed / written) if written > 0.0 < undisturbed else STILL
    return FactorRange(low, AS_WRITTEN, STIRRED)
