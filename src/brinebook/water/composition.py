"""The composition of reference seawater, and what it means for a quantity at another salinity."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.water.atoms import molar_mass
from brinebook.water.salinity import kilograms_per_litre

#: Kilograms of water in a kilogram of reference seawater of 35 PSU.
#: Source: millero2008 (table 4)
WATER_FRACTION = 0.964835


@dataclass(frozen=True, slots=True)
class Species:
    """One dissolved species: molality at 35 PSU in mol per kg of water, charge, molar mass."""

    formula: str
    molality: float
    charge: int
    molar_mass: float


def _species(formula: str, molality: float, charge: int) -> Species:
    return Species(formula, molality, charge, molar_mass(formula))


#: Source: millero2008 (table 4)
REFERENCE_SEAWATER: Mapping[str, Species] = MappingProxyType(
    {
        name: _species(formula, molality, charge)
        for name, formula, molality, charge in (
            ("sodium", "Na", 0.4860597, 1),
            ("magnesium", "Mg", 0.0547421, 2),
            ("calcium", "Ca", 0.0106568, 2),
            ("potassium", "K", 0.0105797, 1),
            ("strontium", "Sr", 0.0000940, 2),
            ("chloride", "Cl", 0.5657647, -1),
            ("sulfate", "SO4", 0.0292643, -2),
            ("bicarbonate", "HCO3", 0.0017803, -1),
            ("bromide", "Br", 0.0008728, -1),
            ("carbonate", "CO3", 0.0002477, -2),
            ("borate", "B(OH)4", 0.0001045, -1),
            ("fluoride", "F", 0.0000708, -1),
            ("hydroxide", "OH", 0.0000082, -1),
            ("boric acid", "B(OH)3", 0.0003258, 0),
            ("carbon dioxide", "CO2", 0.0000100, 0),
        )
    }
)


def reference_content(name: str, salinity: float = 35.0) -> float:
    """A species of reference seawater in mol per kg of seawater, in proportion to salinity.

    Source: millero2008 (table 4)
    """
    return REFERENCE_SEAWATER[name].molality * WATER_FRACTION * salinity / 35.0


def reference_alkalinity(salinity: float = 35.0) -> float:
    """Total alkalinity of reference seawater in umol/kg: 2304 at 35 PSU.

    Source: millero2008 (table 4), dickson1981
    """
    ones = sum(reference_content(n, salinity) for n in ("bicarbonate", "borate", "hydroxide"))
    return 1e6 * (ones + 2 * reference_content("carbonate", salinity))


def reference_dic(salinity: float = 35.0) -> float:
    """Dissolved inorganic carbon of reference seawater in umol/kg: 1966 at 35 PSU.

    Source: millero2008 (table 4)
    """
    names = ("bicarbonate", "carbonate", "carbon dioxide")
    return 1e6 * sum(reference_content(name, salinity) for name in names)


def reference_concentration(
    name: str, *, salinity: float = 35.0, temperature: float = 25.0
) -> float:
    """What natural seawater holds: mg/L of an ion, meq/L for ``alkalinity``.

    Ions are the keys of ``REFERENCE_SEAWATER``; raises KeyError for another name.
    """
    kilograms = kilograms_per_litre(salinity, temperature)
    if name == "alkalinity":
        return reference_alkalinity(salinity) * kilograms / 1e3
    content = reference_content(name, salinity)
    return content * REFERENCE_SEAWATER[name].molar_mass * 1e3 * kilograms
