"""What a plan puts in: a bottle of the system or a plain salt, and all that a unit of it brings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.balance.described import find_bottle
from brinebook.errors import UsageProblem
from brinebook.planning.strengths import grams_in_a_litre
from brinebook.system import Additive, System
from brinebook.texts import say
from brinebook.water.atoms import molar_mass
from brinebook.water.composition import reference_content
from brinebook.water.salts import SALTS, find_salt, read_formula

#: What raises a quantity where the keeper has named nothing: a plain, common salt of it.
USUAL: Mapping[str, str] = MappingProxyType(
    {
        "alkalinity": "NaHCO3", "calcium": "CaCl2.2H2O", "magnesium": "MgCl2.6H2O+MgSO4.7H2O",
        "potassium": "KCl", "strontium": "SrCl2.6H2O", "iodine": "KI", "nitrate": "NaNO3",
        "phosphate": "KH2PO4", "silicate": "Na2SiO3", "iron": "FeCl3.6H2O",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Substance:
    """Something to weigh out or measure out.

    ``per_unit``: what one gram or millilitre brings of each quantity, canonical unit times litre;
    ``carbon``: the inorganic carbon of it, mmol, None where it isn't known; ``salt``: its formula,
    None where it is described by its effect. ``strength_sd`` is a fraction.
    """

    name: str
    unit: str
    per_unit: Mapping[str, float]
    carbon: float | None
    salt: str | None
    strength_sd: float
    pump_sd: float = 0.05
    grams_per_litre: float | None = None

    def brings(self, quantity: str) -> float:
        """How much of a quantity one unit brings; zero where none."""
        return self.per_unit.get(quantity, 0.0)

    @property
    def carbon_worst(self) -> float:
        """Its inorganic carbon, mmol a unit; where unknown, as if all alkalinity were carbonate.

        Carbonate drives saturation up where bicarbonate hardly does, so this errs to care.
        """
        return self.carbon if self.carbon is not None else self.brings("alkalinity") / 2.0


class SubstanceUnknown(UsageProblem):
    """What should be put in is neither an additive of the system nor a salt."""

    code = "E-SUBSTANCE"

    def __init__(self, text: str, additives: Sequence[str]) -> None:
        known = ", ".join(additives) or say("none is described")
        super().__init__(
            say(
                "“{text}” is neither one of the system's additives nor a salt's formula.", text=text
            ),
            say(
                "Additives: {known}. A salt is named by its formula, such as NaHCO3 or CaCl2.2H2O.",
                known=known,
            ),
        )


class BringsNone(UsageProblem):
    """What should be put in has nothing of the quantity in it."""

    code = "E-BRINGS-NONE"

    def __init__(self, name: str, quantity: str) -> None:
        usual = USUAL.get(quantity, "")
        hint = (
            say("{usual} would.", usual=usual)
            if usual
            else say("Nothing that is poured raises it.")
        )
        super().__init__(say("{name} brings no {quantity}.", name=name, quantity=quantity), hint)


class StaysUndissolved(UsageProblem):
    """What should be poured doesn't dissolve in sea water, so it brings nothing."""

    code = "E-UNDISSOLVED"

    def __init__(self, name: str, quantity: str) -> None:
        super().__init__(
            say(
                "{name} doesn't dissolve in sea water, which holds more of it than it can: poured, "
                "it brings no {quantity}.",
                name=name,
                quantity=quantity,
            ),
            say("{usual} would; chalk dissolves in a calcium reactor.", usual=USUAL[quantity]),
        )


class NothingRaises(UsageProblem):
    """No salt is poured to raise the quantity."""

    code = "E-NOTHING-RAISES"

    def __init__(self, quantity: str) -> None:
        hints = {
            "salinity": say("Salt water does, instead of fresh: see the plan of salinity."),
            "temperature": say("A heater or a fan does: see “brinebook reckon heat”."),
            "ph": say(
                "It follows from alkalinity and the CO2 of the air: fresh air, or limewater."
            ),
        }
        super().__init__(
            say("Nothing is poured to raise {ph}.", ph="pH" if quantity == "ph" else quantity),
            hints.get(quantity, say("What is too high comes down by water changes.")),
        )


def of_salt(formula: str) -> Substance:
    """A plain salt by the gram. Raises SaltUnknown."""
    salt = find_salt(formula)
    return Substance(salt.formula, "g", salt.per_gram, salt.carbon, salt.formula, 0.01)


def of_additive(additive: Additive) -> Substance | None:
    """A bottle of the system by the millilitre; None where nothing says what it brings."""
    bottle = find_bottle(System(name="", additives=(additive,)), additive.name)
    if bottle is None or not bottle.per_unit:
        return None
    salt = SALTS[additive.salt] if additive.salt else None
    carbon = None
    if salt is not None and additive.grams_per_litre:
        carbon = salt.carbon * additive.grams_per_litre / 1000.0
    elif not bottle.per_unit.get("alkalinity"):
        carbon = 0.0
    return Substance(
        additive.name,
        "mL",
        MappingProxyType(dict(bottle.per_unit)),
        carbon,
        salt.formula if salt else None,
        additive.strength_sd,
        additive.pump_sd,
        additive.grams_per_litre,
    )


def solution_of(text: str) -> Substance | None:
    """“NaHCO3 80 g/L” by the millilitre: a solution that no bottle of the system holds; else None.

    Raises what ``grams_in_a_litre`` raises.
    """
    first, _, strength = text.strip().partition(" ")
    formula = read_formula(first)
    if formula is None or "/" not in strength:
        return None
    return of_additive(Additive(text.strip(), formula, grams_in_a_litre(formula, strength)))


def find_substance(text: str, system: System | None = None) -> Substance:
    """The additive of that name, else the salt of that formula or a solution of it.

    Raises SubstanceUnknown.
    """
    additives = system.additives if system else ()
    for additive in additives:
        if additive.name.casefold() == text.strip().casefold():
            found = of_additive(additive)
            if found is not None:
                return found
    made = solution_of(text)
    if made is not None:
        return made
    formula = read_formula(text)
    if formula is None:
        begun = [a for a in additives if a.name.casefold().startswith(text.strip().casefold())]
        if len(begun) == 1 and (found := of_additive(begun[0])) is not None:
            return found
        raise SubstanceUnknown(text, [additive.name for additive in additives])
    return of_salt(formula)


def choose(quantity: str, text: str | None, system: System | None = None) -> tuple[Substance, ...]:
    """What to raise a quantity with: what was named (``A+B`` for a pair), else a bottle, a salt.

    A bottle of the system is taken where it is dosed for that quantity. Raises SubstanceUnknown,
    BringsNone and NothingRaises.
    """
    if text is None:
        bottles = [of_additive(one) for one in (system.additives if system else ())]
        for bottle in bottles:
            if bottle is not None and dosed_for(bottle) == quantity:
                return (bottle,)
        if quantity not in USUAL:
            raise NothingRaises(quantity)
        text = USUAL[quantity]
    found = tuple(find_substance(part, system) for part in text.split("+"))
    for one in found:
        if one.brings(quantity) <= 0.0:
            raise BringsNone(one.name, quantity)
        if one.salt == "CaCO3":
            raise StaysUndissolved(one.name, quantity)
    return found


#: What seawater of 35 PSU holds, per quantity, roughly: to tell what a bottle is for.
_USUAL_LEVEL = {
    "alkalinity": 2.6, "calcium": 420.0, "magnesium": 1310.0, "potassium": 400.0,
    "strontium": 8.0, "nitrate": 5.0, "phosphate": 0.05, "iodine": 60.0, "silicate": 0.5,
    "iron": 5.0,
}  # fmt: skip


def dosed_for(substance: Substance) -> str | None:
    """The quantity that the substance moves most, as a share of what seawater holds of it."""
    shares = {
        name: substance.brings(name) / usual
        for name, usual in _USUAL_LEVEL.items()
        if substance.brings(name) > 0.0
    }
    return max(shares, key=lambda name: shares[name]) if shares else None


def split_of(quantity: str, parts: Sequence[Substance]) -> tuple[float, ...]:
    """The share of the rise that each part of a pair makes; of one, all.

    A chloride and a sulfate are taken in seawater's own proportion of the two, so that a rise of
    magnesium leaves it as it was; any other pair in equal shares.
    Source: millero2008 (table 4)
    """
    if len(parts) == 2:
        chloride = [one.brings("chloride") / molar_mass("Cl") for one in parts]
        sulfate = [one.brings("sulfate") / molar_mass("SO4") for one in parts]
        per = [one.brings(quantity) for one in parts]
        for first, second in ((0, 1), (1, 0)):
            if chloride[first] and sulfate[second] and not sulfate[first] and not chloride[second]:
                # moles of chloride to sulfate as in seawater: x units of one for each of the other
                ratio = reference_content("chloride") / reference_content("sulfate")
                units = ratio * sulfate[second] / chloride[first]
                share = units * per[first] / (units * per[first] + per[second])
                return (share, 1.0 - share) if first == 0 else (1.0 - share, share)
    return tuple(1.0 / len(parts) for _ in parts)
