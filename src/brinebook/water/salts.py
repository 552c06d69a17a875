"""What a gram of a salt adds to the water: every ion of it, alkalinity, inorganic carbon.

Alkalinity is counted from Dickson's zero level of protons: H2PO4-, NO3-, NH4+, Si(OH)4 and B(OH)3
count none, HCO3- and HPO4-- one, CO3-- and PO4--- two, H+ minus one.
Source: dickson1981
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.units.problems import shown
from brinebook.water.atoms import molar_mass


@dataclass(frozen=True, slots=True)
class _Ion:
    """A part of a salt once dissolved: charge, equivalents of alkalinity and moles of carbon."""

    formula: str
    charge: int
    alkalinity: int = 0
    carbon: int = 0


#: Iron ends as Fe(OH)3 in seawater whatever its start, which takes 2 (Fe++) or 3 (Fe+++) of them.
_IONS: Mapping[str, _Ion] = MappingProxyType(
    {
        "Na": _Ion("Na", 1), "K": _Ion("K", 1), "H": _Ion("H", 1, -1), "NH4": _Ion("NH4", 1),
        "Ca": _Ion("Ca", 2), "Mg": _Ion("Mg", 2), "Sr": _Ion("Sr", 2),
        "Fe2": _Ion("Fe", 2, -2), "Fe3": _Ion("Fe", 3, -3),
        "Cl": _Ion("Cl", -1), "Br": _Ion("Br", -1), "I": _Ion("I", -1), "IO3": _Ion("IO3", -1),
        "F": _Ion("F", -1), "SO4": _Ion("SO4", -2), "NO3": _Ion("NO3", -1), "NO2": _Ion("NO2", -1),
        "HCO3": _Ion("HCO3", -1, 1, 1), "CO3": _Ion("CO3", -2, 2, 1), "OH": _Ion("OH", -1, 1),
        "H2PO4": _Ion("H2PO4", -1), "HPO4": _Ion("HPO4", -2, 1), "PO4": _Ion("PO4", -3, 2),
        "SiO3": _Ion("SiO3", -2, 2), "B4O7": _Ion("B4O7", -2, 2),
    }
)  # fmt: skip

#: The quantity, unit factor (1000: mg from g, 1e6: ug), ion -> the part of it that is counted.
_COUNTED: tuple[tuple[str, float, Mapping[str, str]], ...] = (
    ("calcium", 1e3, {"Ca": "Ca"}),
    ("magnesium", 1e3, {"Mg": "Mg"}),
    ("potassium", 1e3, {"K": "K"}),
    ("strontium", 1e3, {"Sr": "Sr"}),
    ("sodium", 1e3, {"Na": "Na"}),
    ("chloride", 1e3, {"Cl": "Cl"}),
    ("sulfate", 1e3, {"SO4": "SO4"}),
    ("bromide", 1e3, {"Br": "Br"}),
    ("fluoride", 1e3, {"F": "F"}),
    ("boron", 1e3, {"B4O7": "B4"}),
    ("nitrate", 1e3, {"NO3": "NO3"}),
    ("nitrite", 1e3, {"NO2": "N"}),
    ("ammonia", 1e3, {"NH4": "N"}),
    ("phosphate", 1e3, {"H2PO4": "PO4", "HPO4": "PO4", "PO4": "PO4"}),
    ("silicate", 1e3, {"SiO3": "SiO2"}),
    ("iodine", 1e6, {"I": "I", "IO3": "I"}),
    ("iron", 1e6, {"Fe2": "Fe", "Fe3": "Fe"}),
)


@dataclass(frozen=True, slots=True)
class Salt:
    """One salt.

    ``per_gram`` is what ``grams_add`` gives; ``carbon`` the inorganic carbon it brings, mmol/g;
    ``ions`` the moles of each ion in a mole of salt, ``molar_mass`` in g/mol.
    """

    formula: str
    name: str
    molar_mass: float
    ions: Mapping[str, int]
    carbon: float
    per_gram: Mapping[str, float]


class SaltUnknown(UsageProblem):
    """No salt has that formula here."""

    code = "E-SALT"

    def __init__(self, formula: str, close: tuple[str, ...]) -> None:
        listed = ", ".join(close) or say("NaHCO3, CaCl2.2H2O, MgCl2.6H2O")
        super().__init__(
            say(
                "{formula} is not a salt that Brinebook knows by its formula.",
                formula=shown(formula),
            ),
            say(
                "Known are, among others: {listed}. The water of crystallisation counts.",
                listed=listed,
            ),
        )
        self.formula = formula


def _salt(formula: str, name: str, ions: Mapping[str, int]) -> Salt:
    mass = molar_mass(formula)
    per_gram: dict[str, float] = {}
    alkalinity = sum(n * _IONS[ion].alkalinity for ion, n in ions.items())
    if alkalinity:
        per_gram["alkalinity"] = alkalinity * 1e3 / mass
    for quantity, factor, parts in _COUNTED:
        grams = sum(n * molar_mass(parts[ion]) for ion, n in ions.items() if ion in parts)
        if grams:
            per_gram[quantity] = factor * grams / mass
    dissolved = sum(n * molar_mass(_IONS[ion].formula) for ion, n in ions.items())
    per_gram["salinity"] = dissolved / mass
    carbon = sum(n * _IONS[ion].carbon for ion, n in ions.items()) * 1e3 / mass
    return Salt(
        formula, name, mass, MappingProxyType(dict(ions)), carbon, MappingProxyType(per_gram)
    )


_ROWS = (
    ("NaHCO3", "sodium bicarbonate (baking soda)", {"Na": 1, "HCO3": 1}),
    ("Na2CO3", "sodium carbonate (soda ash)", {"Na": 2, "CO3": 1}),
    ("Na2CO3.H2O", "sodium carbonate monohydrate", {"Na": 2, "CO3": 1}),
    ("Na2CO3.7H2O", "sodium carbonate heptahydrate", {"Na": 2, "CO3": 1}),
    ("Na2CO3.10H2O", "sodium carbonate decahydrate (washing soda)", {"Na": 2, "CO3": 1}),
    ("KHCO3", "potassium bicarbonate", {"K": 1, "HCO3": 1}),
    ("K2CO3", "potassium carbonate", {"K": 2, "CO3": 1}),
    ("NaOH", "sodium hydroxide (lye)", {"Na": 1, "OH": 1}),
    ("KOH", "potassium hydroxide", {"K": 1, "OH": 1}),
    ("Ca(OH)2", "calcium hydroxide (slaked lime)", {"Ca": 1, "OH": 2}),
    ("CaCO3", "calcium carbonate", {"Ca": 1, "CO3": 1}),
    ("CaCl2", "calcium chloride, anhydrous", {"Ca": 1, "Cl": 2}),
    ("CaCl2.2H2O", "calcium chloride dihydrate", {"Ca": 1, "Cl": 2}),
    ("CaCl2.6H2O", "calcium chloride hexahydrate", {"Ca": 1, "Cl": 2}),
    ("MgCl2", "magnesium chloride, anhydrous", {"Mg": 1, "Cl": 2}),
    ("MgCl2.6H2O", "magnesium chloride hexahydrate", {"Mg": 1, "Cl": 2}),
    ("MgSO4", "magnesium sulfate, anhydrous", {"Mg": 1, "SO4": 1}),
    ("MgSO4.7H2O", "magnesium sulfate heptahydrate (Epsom salt)", {"Mg": 1, "SO4": 1}),
    ("NaCl", "sodium chloride", {"Na": 1, "Cl": 1}),
    ("Na2SO4", "sodium sulfate", {"Na": 2, "SO4": 1}),
    ("KCl", "potassium chloride", {"K": 1, "Cl": 1}),
    ("K2SO4", "potassium sulfate", {"K": 2, "SO4": 1}),
    ("KBr", "potassium bromide", {"K": 1, "Br": 1}),
    ("NaBr", "sodium bromide", {"Na": 1, "Br": 1}),
    ("NaF", "sodium fluoride", {"Na": 1, "F": 1}),
    ("SrCl2", "strontium chloride, anhydrous", {"Sr": 1, "Cl": 2}),
    ("SrCl2.6H2O", "strontium chloride hexahydrate", {"Sr": 1, "Cl": 2}),
    ("KI", "potassium iodide", {"K": 1, "I": 1}),
    ("NaI", "sodium iodide", {"Na": 1, "I": 1}),
    ("KIO3", "potassium iodate", {"K": 1, "IO3": 1}),
    ("NaNO3", "sodium nitrate", {"Na": 1, "NO3": 1}),
    ("KNO3", "potassium nitrate", {"K": 1, "NO3": 1}),
    ("Ca(NO3)2.4H2O", "calcium nitrate tetrahydrate", {"Ca": 1, "NO3": 2}),
    ("NaNO2", "sodium nitrite", {"Na": 1, "NO2": 1}),
    ("NH4Cl", "ammonium chloride", {"NH4": 1, "Cl": 1}),
    ("KH2PO4", "monopotassium phosphate", {"K": 1, "H2PO4": 1}),
    ("K2HPO4", "dipotassium phosphate", {"K": 2, "HPO4": 1}),
    ("NaH2PO4", "monosodium phosphate, anhydrous", {"Na": 1, "H2PO4": 1}),
    ("NaH2PO4.H2O", "monosodium phosphate monohydrate", {"Na": 1, "H2PO4": 1}),
    ("NaH2PO4.2H2O", "monosodium phosphate dihydrate", {"Na": 1, "H2PO4": 1}),
    ("Na2HPO4", "disodium phosphate, anhydrous", {"Na": 2, "HPO4": 1}),
    ("Na2HPO4.2H2O", "disodium phosphate dihydrate", {"Na": 2, "HPO4": 1}),
    ("Na2HPO4.7H2O", "disodium phosphate heptahydrate", {"Na": 2, "HPO4": 1}),
    ("Na2HPO4.12H2O", "disodium phosphate dodecahydrate", {"Na": 2, "HPO4": 1}),
    ("Na3PO4", "trisodium phosphate, anhydrous", {"Na": 3, "PO4": 1}),
    ("Na3PO4.12H2O", "trisodium phosphate dodecahydrate", {"Na": 3, "PO4": 1}),
    ("Na2SiO3", "sodium metasilicate, anhydrous", {"Na": 2, "SiO3": 1}),
    ("Na2SiO3.5H2O", "sodium metasilicate pentahydrate", {"Na": 2, "SiO3": 1}),
    ("Na2B4O7.10H2O", "sodium tetraborate decahydrate (borax)", {"Na": 2, "B4O7": 1}),
    ("FeSO4.7H2O", "iron(II) sulfate heptahydrate", {"Fe2": 1, "SO4": 1}),
    ("FeCl3.6H2O", "iron(III) chloride hexahydrate", {"Fe3": 1, "Cl": 3}),
    ("HCl", "hydrogen chloride", {"H": 1, "Cl": 1}),
)

#: Every salt by its formula.
SALTS: Mapping[str, Salt] = MappingProxyType({row[0]: _salt(*row) for row in _ROWS})

_POINTS = str.maketrans({"·": ".", "*": ".", "•": ".", "⋅": ".", "∙": "."})
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_BY_KEY: Mapping[str, str] = MappingProxyType({formula.lower(): formula for formula in SALTS})


def read_formula(text: str) -> str | None:
    """The formula as ``SALTS`` spells it, from ``CaCl2·2H2O`` or ``cacl2*2h2o``; else None."""
    key = text.translate(_POINTS).translate(_SUBSCRIPTS)
    key = re.sub(r"\s+", "", key).lower()
    return _BY_KEY.get(key)


def find_salt(text: str) -> Salt:
    """The salt of that formula; raises SaltUnknown with the nearest formulas."""
    formula = read_formula(text)
    if formula is None:
        from difflib import get_close_matches

        raise SaltUnknown(text, tuple(get_close_matches(text[:40], SALTS, n=3, cutoff=0.5)))
    return SALTS[formula]


def grams_add(formula: str) -> Mapping[str, float]:
    """What one gram of the salt adds to a litre, so to speak: amount times litre per gram.

    meq/g for ``alkalinity``; mg/g for calcium, magnesium, potassium, strontium, nitrate (as NO3),
    nitrite and ammonia (as N), phosphate (as PO4), silicate (as SiO2) and the other ions (sodium,
    chloride, sulfate, bromide, fluoride, boron); ug/g for iodine and iron; ``salinity`` is grams
    of dissolved salt per gram, without the water of crystallisation. Quantities not touched are
    absent. Valid for the pure salt; raises SaltUnknown.

    Source: prohaska2022, dickson1981
    """
    return find_salt(formula).per_gram


def grams_needed(formula: str, quantity: str, *, rise: float, litres: float) -> float:
    """Grams of a salt that raise a quantity by ``rise`` (canonical unit) in ``litres`` of water.

    Raises SaltUnknown, and SaltAddsNone where the salt doesn't bring that quantity.
    """
    salt = find_salt(formula)
    per_gram = salt.per_gram.get(quantity, 0.0)
    if per_gram == 0.0:
        raise SaltAddsNone(salt.formula, quantity)
    return rise * litres / per_gram


class SaltAddsNone(UsageProblem):
    """The salt has nothing of the quantity that it was asked to raise."""

    code = "E-SALT-ADDS-NONE"

    def __init__(self, formula: str, quantity: str) -> None:
        super().__init__(
            say("{formula} adds no {quantity}.", formula=formula, quantity=quantity),
            say("Choose a salt or an additive that brings {quantity}.", quantity=quantity),
        )
