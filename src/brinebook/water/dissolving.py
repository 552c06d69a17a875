"""How much of a salt dissolves at a temperature, and how warm its water gets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.water.atoms import molar_mass

_TEMPERATURES = (0.0, 10.0, 20.0, 25.0, 30.0, 40.0)

#: Grams of the anhydrous salt in 100 g of saturated solution at the temperatures above.
#: Source: rumble2017 (aqueous solubility of inorganic compounds at various temperatures)
_MASS_PERCENT: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "NaHCO3": (6.48, 7.59, 8.73, 9.32, 9.91, 11.13),
        "Na2CO3": (6.44, 10.8, 17.9, 23.5, 28.7, 32.8),
        "KHCO3": (18.62, 21.73, 24.92, 26.6, 28.13, 31.32),
        "K2CO3": (51.3, 51.7, 52.3, 52.7, 53.1, 54.0),
        "NaOH": (30.0, 39.0, 46.0, 50.0, 53.0, 58.0),
        "KOH": (48.7, 50.8, 53.2, 54.7, 56.1, 57.9),
        "CaCl2": (36.7, 39.19, 42.13, 44.83, 49.12, 52.85),
        "MgCl2": (33.96, 34.85, 35.58, 35.9, 36.2, 36.77),
        "MgSO4": (18.2, 21.7, 25.1, 26.3, 28.2, 30.9),
        "NaCl": (26.28, 26.32, 26.41, 26.45, 26.52, 26.67),
        "KCl": (21.74, 23.61, 25.39, 26.22, 27.04, 28.59),
        "K2SO4": (7.11, 8.46, 9.95, 10.7, 11.4, 12.9),
        "KBr": (35.0, 37.3, 39.4, 40.4, 41.4, 43.2),
        "NaBr": (44.4, 45.9, 47.7, 48.6, 49.6, 51.6),
        "NaF": (3.52, 3.72, 3.89, 3.97, 4.05, 4.2),
        "SrCl2": (31.94, 32.93, 34.43, 35.37, 36.43, 38.93),
        "KI": (56.0, 57.6, 59.0, 59.7, 60.4, 61.6),
        "NaI": (61.2, 62.4, 63.9, 64.8, 65.7, 67.7),
        "KIO3": (4.53, 5.96, 7.57, 8.44, 9.34, 11.09),
        "NaNO3": (42.2, 44.4, 46.6, 47.7, 48.8, 51.0),
        "KNO3": (12.0, 17.6, 24.2, 27.7, 31.3, 38.6),
        "Ca(NO3)2": (50.1, 53.1, 56.7, 59.0, 60.9, 65.4),
        "NaNO2": (41.9, 43.4, 45.1, 45.9, 46.8, 48.7),
        "NH4Cl": (22.92, 25.12, 27.27, 28.34, 29.39, 31.46),
        "KH2PO4": (11.74, 14.91, 18.25, 19.97, 21.77, 25.28),
        "K2HPO4": (57.0, 59.1, 61.5, 62.7, 64.1, 67.7),
        "NaH2PO4": (36.54, 41.07, 46.0, 48.68, 51.54, 57.89),
        "Na2HPO4": (1.66, 4.19, 7.51, 10.55, 16.34, 35.17),
        "Na3PO4": (4.28, 7.3, 10.8, 12.6, 14.1, 16.6),
        "Na2B4O7": (1.23, 1.71, 2.5, 3.07, 3.82, 6.02),
        "FeSO4": (13.5, 17.0, 20.8, 22.8, 24.8, 28.8),
        # Slaked lime dissolves better in the cold: the handbook's trend, through the 0.0203 mol/L
        # at 25 °C that a pH standard was made of. Source: perry1997 (table 2-122), bates1956
        "Ca(OH)2": (0.1747, 0.1662, 0.1559, 0.1502, 0.1445, 0.1332),
    }
)  # fmt: skip

#: Heat taken up on dissolving in much water at 25 °C, kJ/mol: below zero it warms.
#: The halides and hydroxides: Source: parker1965
#: The others as differences of enthalpies of formation: Source: wagman1982
_HEAT: Mapping[str, float] = MappingProxyType(
    {
        "NaOH": -44.51, "KOH": -57.61, "NaCl": 3.88, "KCl": 17.22, "KBr": 19.87, "NaBr": -0.60,
        "KI": 20.33, "NaI": -7.53, "KNO3": 34.89, "NaNO3": 20.50, "NaF": 0.91, "NH4Cl": 14.78,
        "KIO3": 27.74, "CaCl2": -81.35, "CaCl2.2H2O": -45.9, "CaCl2.6H2O": 15.8,
        "Na2CO3": -26.7, "Na2CO3.H2O": -11.9, "Na2CO3.10H2O": 65.6, "NaHCO3": 18.7,
        "KHCO3": 18.8, "K2CO3": -30.9, "MgCl2": -159.9, "MgCl2.6H2O": -17.1, "MgSO4": -91.2,
        "MgSO4.7H2O": 11.8, "SrCl2": -51.2, "SrCl2.6H2O": 28.7, "Ca(OH)2": -16.73,
        "Na2SO4": -2.4,
    }
)  # fmt: skip

#: mL that a gram of salt takes up in a strong solution: rough, common practice, no source.
_MILLILITRES_PER_GRAM = 0.25
_WATER_DENSITY = 0.997
_WATER_HEAT = 4.18  # kJ/kg/K; the salt's own share of a strong solution's heat is close to none


@dataclass(frozen=True, slots=True)
class Solubility:
    """What water holds of a salt: g of the salt as weighed in a litre of saturated solution.

    ``mass_percent`` counts the salt without its water. ``within`` is False where the temperature
    is outside the table and its nearest end was taken.
    """

    mass_percent: float
    grams_per_litre: float
    within: bool


def anhydrous(formula: str) -> str:
    """The formula without its water of crystallisation."""
    return formula.partition(".")[0]


def solubility(formula: str, temperature: float) -> Solubility | None:
    """How much of a salt water holds at 0 to 40 °C; None where the table has no such salt.

    The table is of the handbook; grams a litre follow with an estimated density, good to 5 %. Only
    the solid that is stable in water counts: an anhydrous salt dissolves as its hydrate does.
    Source: rumble2017, perry1997
    """
    row = _MASS_PERCENT.get(anhydrous(formula))
    if row is None:
        return None
    at = min(max(temperature, _TEMPERATURES[0]), _TEMPERATURES[-1])
    percent = _between(at, row)
    share = percent / 100.0
    density = _WATER_DENSITY / (1.0 - share * (1.0 - _WATER_DENSITY * _MILLILITRES_PER_GRAM))
    hydrate = molar_mass(formula) / molar_mass(anhydrous(formula))
    return Solubility(percent, 1000.0 * density * share * hydrate, at == temperature)


def _between(at: float, row: tuple[float, ...]) -> float:
    for place in range(1, len(row)):
        if at <= _TEMPERATURES[place]:
            low, high = _TEMPERATURES[place - 1], _TEMPERATURES[place]
            part = (at - low) / (high - low)
            return row[place - 1] + part * (row[place] - row[place - 1])
    return row[-1]


def heat_of_solution(formula: str) -> float | None:
    """Heat taken up per gram of the salt, kJ/g, in much water at 25 °C; below zero it warms.

    Strong solutions give up to 15 % less. None where it isn't known here.
    Source: parker1965, wagman1982
    """
    molar = _HEAT.get(formula)
    return None if molar is None else molar / molar_mass(formula)


def warming(formula: str, *, grams: float, water_grams: float) -> float | None:
    """By how many kelvin the water warms (below zero: cools) if no heat is lost; None: not known.

    Only the water's heat capacity counts, the salt's own water included. Good to 15 %.
    """
    heat = heat_of_solution(formula)
    if heat is None or grams <= 0.0:
        return None if heat is None else 0.0
    crystal = 1.0 - molar_mass(anhydrous(formula)) / molar_mass(formula)
    return -heat * grams / ((water_grams + crystal * grams) / 1000.0 * _WATER_HEAT)
