"""Plain amounts: volume, mass, flow, length, pressure, power, rates a day, differences.

Factors of the pound, ounce, inch, foot and gallons are exact by definition.
Source: nist2008 (appendix B.8)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.texts import say
from brinebook.units.numbers import parse_number, split_amount
from brinebook.units.problems import DimensionMismatch, UnitMissing, UnitUnknown
from brinebook.units.spelling import spelling_key

_GALLON_US = 3.785411784
_GALLON_IMPERIAL = 4.54609
_POUND = 453.59237
_INCH = 0.0254
_GRAVITY = 9.80665

#: Dimension -> unit -> how many of the dimension's first unit it is.
DIMENSIONS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "volume": {
            "L": 1.0, "mL": 1e-3, "gal": _GALLON_US, "gal(US)": _GALLON_US,
            "gal(imp)": _GALLON_IMPERIAL, "m3": 1e3,
        },
        "mass": {"g": 1.0, "mg": 1e-3, "kg": 1e3, "lb": _POUND, "oz": _POUND / 16},
        "flow": {"L/h": 1.0, "L/min": 60.0, "gph": _GALLON_US, "m3/h": 1e3},
        "length": {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "in": _INCH, "ft": 12 * _INCH},
        "pressure": {
            "kPa": 1.0, "bar": 100.0, "psi": _POUND * 1e-3 * _GRAVITY / _INCH**2 / 1e3,
            "mH2O": _GRAVITY,
        },
        "power": {"W": 1.0, "kW": 1e3},
        "volume a day": {"L/day": 1.0, "mL/day": 1e-3},
        "mass a day": {"g/day": 1.0, "mg/day": 1e-3},
        "fraction": {"%": 1.0},
        "fraction a day": {"%/day": 1.0},
        "temperature difference": {"dC": 1.0, "dF": 1 / 1.8},
    }
)  # fmt: skip

_SYNONYMS: Mapping[str, str] = MappingProxyType(
    {
        "litre": "l", "liter": "l", "litres": "l", "liters": "l", "gallon": "gal", "gallons": "gal",
        "usgal": "gal(us)", "impgal": "gal(imp)", "galus": "gal(us)", "galimp": "gal(imp)",
        "gr": "g", "gram": "g", "grams": "g", "lbs": "lb", "pound": "lb", "pounds": "lb",
        "ounce": "oz", "ounces": "oz", "inch": "in", "inches": "in", '"': "in", "foot": "ft",
        "feet": "ft", "metre": "m", "meter": "m", "metres": "m", "meters": "m", "lph": "l/h",
        "l/hr": "l/h", "lpm": "l/min", "gal/h": "gph", "m^3": "m3", "m^3/h": "m3/h", "watt": "w",
        "watts": "w", "ml/d": "ml/day", "g/d": "g/day", "l/d": "l/day", "%/d": "%/day",
        "percent": "%", "mwater": "mh2o", "mwc": "mh2o",
    }
)  # fmt: skip
_BY_KEY: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        spelling_key(unit): (dimension, unit)
        for dimension, units in DIMENSIONS.items()
        for unit in units
    }
)


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit and the dimension it was typed in."""

    value: float
    unit: str
    dimension: str


def amount_unit(unit: str, *, dimension: str | None = None) -> tuple[str, str]:
    """``(dimension, spelling)`` of a unit of amount.

    Raises UnitMissing or UnitUnknown; with ``dimension`` also where it is of another one.
    """
    key = spelling_key(unit)
    about = dimension or say("an amount")
    known = tuple(DIMENSIONS[dimension]) if dimension else ("mL", "L", "g", "kg", "L/h", "m", "kPa")
    if not key:
        raise UnitMissing(about[:1].upper() + about[1:], known)
    found = _BY_KEY.get(key) or _BY_KEY.get(_SYNONYMS.get(key, ""))
    # A lone capital M is no metre: it is read as molar or mega by most people.
    if found is None or unit.strip() == "M" or (dimension is not None and found[0] != dimension):
        raise UnitUnknown(unit.strip(), about, known)
    return found


def dimension_of(unit: str) -> str | None:
    """The dimension of a unit of amount, or None if it isn't one."""
    try:
        return amount_unit(unit)[0]
    except (UnitMissing, UnitUnknown):
        return None


def convert_amount(value: float, unit: str, to_unit: str, *, dimension: str | None = None) -> float:
    """The same amount in another unit: ``convert_amount(1, "gal", "L")`` is 3.785411784.

    Raises UnitUnknown, UnitMissing, or DimensionMismatch where the two don't go together.
    """
    have, spelled = amount_unit(unit, dimension=dimension)
    want, to_spelled = amount_unit(to_unit, dimension=dimension)
    if have != want:
        raise DimensionMismatch(unit, to_unit)
    factors = DIMENSIONS[have]
    return value if spelled == to_spelled else value * factors[spelled] / factors[to_spelled]


def parse_amount(text: str, *, dimension: str | None = None, decimal_comma: bool = False) -> Amount:
    """Read ``30 mL/day`` or ``1.5 kg``; raises what the number's and the unit's readers raise."""
    number, unit = split_amount(text)
    value = parse_number(number, decimal_comma=decimal_comma)
    found, spelled = amount_unit(unit, dimension=dimension)
    return Amount(value, spelled, found)
