"""Solutions: what to weigh, whether it dissolves, how warm it gets, what must never meet it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.water.atoms import molar_mass
from brinebook.water.dissolving import Solubility, anhydrous, solubility, warming
from brinebook.water.salts import SALTS, Salt, SaltAddsNone, find_salt

#: Alkalinity and calcium laid down together as CaCO3: meq for each mmol.
MEQ_PER_MMOL = 2.0
#: Share of what the water can hold above which a solution soon drops crystals in the cold.
NEARLY_FULL = 0.9
_WATER_GRAMS_PER_LITRE = 997.0


@dataclass(frozen=True, slots=True)
class Recipe:
    """A solution to make.

    ``per_ml``: what one millilitre brings (canonical unit times litre: meq, mg, ug). ``fullness``:
    the share of what the water can hold at the temperature; None where that isn't known.
    ``warms_by``: kelvin, all the salt at once and no heat lost (below zero it cools); None where
    that isn't known.
    """

    salt: Salt
    grams: float
    litres: float
    grams_per_litre: float
    per_ml: Mapping[str, float]
    temperature: float
    holds: Solubility | None
    fullness: float | None
    warms_by: float | None

    @property
    def dissolves(self) -> bool:
        """Whether all of it goes into solution; True where the solubility isn't known."""
        return self.fullness is None or self.fullness <= 1.0


class StrengthImpossible(UsageProblem):
    """No such strength can be made."""

    code = "E-STRENGTH"

    def __init__(self, text: str, why: str) -> None:
        super().__init__(
            say("{text} is no strength of a solution: {why}.", text=text, why=why),
            say(
                "Write grams of the salt in a litre (“80 g/L”), or what a millilitre "
                "brings (“1 meq/mL”, “20 mg/mL”)."
            ),
        )


def recipe(formula: str, grams_per_litre: float, *, litres: float, temperature: float) -> Recipe:
    """What to weigh for so many litres of a strength; ``temperature`` is where it will stand, °C.

    Raises SaltUnknown, and StrengthImpossible outside 0 to 2000 g/L.
    """
    salt = find_salt(formula)
    if not 0.0 < grams_per_litre <= 2000.0:
        raise StrengthImpossible(
            f"{grams_per_litre:g} g/L", say("it isn't above 0 and up to 2000 g/L")
        )
    holds = solubility(salt.formula, temperature)
    grams = grams_per_litre * litres
    water = max(_WATER_GRAMS_PER_LITRE * litres - 0.25 * grams, 0.2 * grams)
    per_gram = {name: each for name, each in salt.per_gram.items() if name != "salinity"}
    return Recipe(
        salt=salt,
        grams=grams,
        litres=litres,
        grams_per_litre=grams_per_litre,
        per_ml=MappingProxyType({n: e * grams_per_litre / 1000.0 for n, e in per_gram.items()}),
        temperature=temperature,
        holds=holds,
        fullness=None if holds is None else grams_per_litre / holds.grams_per_litre,
        warms_by=warming(salt.formula, grams=grams, water_grams=water),
    )


def strength_for(formula: str, quantity: str, *, per_ml: float) -> float:
    """Grams in a litre, so that a millilitre brings so much of a quantity (meq, mg or ug).

    Raises SaltUnknown and SaltAddsNone.
    """
    salt = find_salt(formula)
    per_gram = salt.per_gram.get(quantity, 0.0)
    if per_gram <= 0.0:
        raise SaltAddsNone(salt.formula, quantity)
    return per_ml * 1000.0 / per_gram


def matching_strength(formula: str, other: str, *, other_grams_per_litre: float) -> float:
    """Grams in a litre of a salt, so that equal volumes of it and of another solution go together.

    Together: 2 meq of alkalinity for each mmol of calcium, as CaCO3 takes them. One of the two
    brings alkalinity, the other calcium; raises SaltUnknown, and SaltAddsNone where that isn't so.
    """
    salt, partner = find_salt(formula), find_salt(other)
    calcium_per_meq = molar_mass("Ca") / MEQ_PER_MMOL
    if salt.per_gram.get("calcium") and partner.per_gram.get("alkalinity"):
        brings = partner.per_gram["alkalinity"] * calcium_per_meq
        return other_grams_per_litre * brings / salt.per_gram["calcium"]
    if salt.per_gram.get("alkalinity") and partner.per_gram.get("calcium"):
        brings = partner.per_gram["calcium"] / calcium_per_meq
        return other_grams_per_litre * brings / salt.per_gram["alkalinity"]
    needed = "calcium" if partner.per_gram.get("alkalinity") else "alkalinity"
    raise SaltAddsNone(salt.formula, needed)


def heated(grams: float) -> float:
    """Grams of soda ash that bicarbonate leaves once heating makes it no lighter: 2 NaHCO3 give
    Na2CO3, with the same alkalinity and half of the carbon.

    Source: prohaska2022
    """
    return grams * SALTS["Na2CO3"].molar_mass / (2.0 * SALTS["NaHCO3"].molar_mass)


def other_hydrates(formula: str) -> Mapping[str, float]:
    """The salt's other forms, and how much of what is meant a gram of each brings (1: as much).

    ``other_hydrates("CaCl2.2H2O")["CaCl2"]`` is 1.325: weighed for the dihydrate it is a third too
    much. The heat of dissolving differs too. Raises SaltUnknown.
    """
    salt = find_salt(formula)
    stem = anhydrous(salt.formula)
    return {
        other: salt.molar_mass / SALTS[other].molar_mass
        for other in SALTS
        if other != salt.formula and anhydrous(other) == stem
    }


#: What a strong solution holds that may not meet what, and what comes of it.
_NEVER: tuple[tuple[frozenset[str], frozenset[str], str], ...] = (
    (
        frozenset({"CO3", "HCO3"}),
        frozenset({"Ca"}),
        "carbonate and calcium fall out together as chalk, and both are lost",
    ),
    (
        frozenset({"CO3", "HCO3"}),
        frozenset({"Mg", "Sr"}),
        "carbonate and {metal} fall out together, and both are lost",
    ),
    (frozenset({"OH"}), frozenset({"Mg"}), "magnesium hydroxide falls out as a white jelly"),
    (
        frozenset({"OH"}),
        frozenset({"CO3", "HCO3"}),
        "lime and carbonate fall out as chalk; lye turns bicarbonate into carbonate",
    ),
    (frozenset({"SO4"}), frozenset({"Ca"}), "gypsum falls out in time and clogs the line"),
    (frozenset({"SO4"}), frozenset({"Sr"}), "strontium sulfate falls out"),
    (
        frozenset({"H2PO4", "HPO4", "PO4"}),
        frozenset({"Ca", "Mg", "Sr", "Fe2", "Fe3"}),
        "phosphate falls out",
    ),
    (frozenset({"F"}), frozenset({"Ca"}), "calcium fluoride falls out"),
    (frozenset({"IO3"}), frozenset({"I", "H"}), "iodate and iodide with acid make iodine"),
    (frozenset({"H"}), frozenset({"CO3", "HCO3"}), "acid and carbonate fizz and throw droplets"),
    (frozenset({"H"}), frozenset({"OH"}), "acid and lye heat up violently"),
)  # fmt: skip
_METALS = {"Ca": "calcium", "Mg": "magnesium", "Sr": "strontium"}


def must_not_meet(one: str, other: str) -> str | None:
    """What comes of two strong solutions of these salts meeting; None where nothing is known to.

    Raises SaltUnknown.
    """
    first, second = find_salt(one), find_salt(other)
    for here, there, outcome in _NEVER:
        for a, b in ((first, second), (second, first)):
            met = sorted(there & set(b.ions))
            if here & set(a.ions) and met:
                return outcome.format(metal=_METALS.get(met[0], met[0]))
    return None


def enemies(formula: str) -> Mapping[str, str]:
    """Salts of the shelf whose strong solution must not meet this one's, and what comes of it."""
    shelf = ("NaHCO3", "Na2CO3", "NaOH", "Ca(OH)2", "CaCl2.2H2O", "MgCl2.6H2O", "MgSO4.7H2O",
             "SrCl2.6H2O", "KH2PO4", "NaF", "HCl")  # fmt: skip
    found = {other: must_not_meet(formula, other) for other in shelf}
    return {other: outcome for other, outcome in found.items() if outcome is not None}
