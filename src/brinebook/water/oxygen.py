"""How much oxygen seawater holds in balance with air."""

from __future__ import annotations

import math

from brinebook.water.atoms import molar_mass
from brinebook.water.salinity import kilograms_per_litre

OXYGEN_MOLAR_MASS = molar_mass("O2")

_A = (5.80871, 3.20291, 4.17887, 5.10006, -0.0986643, 3.80369)
_B = (-7.01577e-3, -7.70028e-3, -1.13864e-2, -9.51519e-3)
_C0 = -2.75915e-7
#: Degrees of 1968 for one of 1990. Source: preston1990
_IPTS68_PER_ITS90 = 1.00024


def oxygen_solubility_garcia_gordon_1992(salinity: float, temperature: float) -> float:
    """Oxygen at saturation with moist air of 1 atm, umol/kg; temperature in °C on IPTS-68.

    Range 0 to 42 PSU, freezing to 40 °C; about 0.3 %. The coefficients are those fitted to the data
    of Benson and Krause; their table prints 274.610 at 35 PSU and 10 °C.
    Source: garcia1992 (eq. 8, table 1)
    """
    scaled = math.log((298.15 - temperature) / (273.15 + temperature))
    fresh = sum(a * scaled**power for power, a in enumerate(_A))
    salt = sum(b * scaled**power for power, b in enumerate(_B))
    return math.exp(fresh + salinity * salt + _C0 * salinity**2)


def water_vapour_pressure_weiss_price_1980(salinity: float, temperature: float) -> float:
    """Vapour pressure over seawater in atm.

    Range 0 to 40 PSU, 0 to 40 °C; 0.015 %.
    Source: weiss1980 (eq. 10)
    """
    kelvin = temperature + 273.15
    fresh = math.exp(24.4543 - 67.4509 * (100 / kelvin) - 4.8489 * math.log(kelvin / 100))
    return fresh * math.exp(-0.000544 * salinity)


def oxygen_saturation(salinity: float, temperature: float, *, pressure: float = 1.0) -> float:
    """Oxygen at saturation in mg/L; temperature in °C on ITS-90, pressure in atm.

    Another pressure than 1 atm counts without the vapour's part.
    Source: garcia1992, benson1984 (eq. 24), weiss1980
    """
    at_one = oxygen_solubility_garcia_gordon_1992(salinity, temperature * _IPTS68_PER_ITS90)
    per_litre = at_one * kilograms_per_litre(salinity, temperature) * OXYGEN_MOLAR_MASS / 1000.0
    if pressure == 1.0:
        return per_litre
    vapour = water_vapour_pressure_weiss_price_1980(salinity, temperature)
    return per_litre * (pressure - vapour) / (1.0 - vapour)
