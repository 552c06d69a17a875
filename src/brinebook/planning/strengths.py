"""The strength of a solution as it is typed: grams in a litre, or what a millilitre brings."""

from __future__ import annotations

from brinebook.planning.solutions import StrengthImpossible, strength_for
from brinebook.texts import say
from brinebook.units import QUANTITIES, parse_number, split_amount
from brinebook.water.quantities import substance_amount
from brinebook.water.salts import find_salt

#: More than any salt dissolves.
_MOST = 2000.0


def grams_in_a_litre(formula: str, strength: str) -> float:
    """“80 g/L”, “1 meq/mL” or “20 mg/mL” of a salt, in grams of it in a litre.

    Raises SaltUnknown, SaltAddsNone, StrengthImpossible (another unit; none or over 2000 g/L), and
    what the readers of numbers raise.
    """
    value, unit = split_amount(strength)
    number = parse_number(value, decimal_comma=True)
    plain = unit.replace(" ", "")
    amount, slash, per = plain.partition("/")
    if plain.lower() == "g/l":
        grams = number
    elif plain.lower() == "g/ml":
        grams = 1000.0 * number
    elif slash and per.lower() == "ml":
        quantity = _carried(formula)
        each = substance_amount(QUANTITIES[quantity], number, amount)
        grams = strength_for(formula, quantity, per_ml=each)
    else:
        raise StrengthImpossible(
            strength, say("{unit} isn't one of its units", unit=unit or say("no unit"))
        )
    if not 0.0 < grams <= _MOST:
        raise StrengthImpossible(
            strength, say("a solution holds more than none and less than 2000 g/L")
        )
    return grams


def _carried(formula: str) -> str:
    """The quantity that a salt is dosed for: the first of the table that it brings."""
    per_gram = find_salt(formula).per_gram
    order = ("calcium", "magnesium", "strontium", "iodine", "phosphate", "nitrate", "alkalinity",
             "potassium", "silicate", "iron")  # fmt: skip
    for name in order:
        if per_gram.get(name, 0.0) > 0.0:
            return name
    raise StrengthImpossible(formula, say("it brings nothing that is dosed by the millilitre"))
