"""Sums about water, heat, air, power, oxygen and weight from a few typed figures, without a book.

A sum has inputs with their dimension and default, and a function that answers with named figures.
``brinebook reckon`` makes a command of each; the described rig asks the same functions.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from brinebook import units
from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.errors import UsageProblem
from brinebook.lifesupport.cautions import cautions
from brinebook.plan import Caution, Figure
from brinebook.texts import say
from brinebook.water.quantities import to_canonical

#: The unit that a sum gets of each dimension, as it is shown; none where it is a plain number.
SHOWN_UNITS: Mapping[str, str] = {
    "area": "m2", "conductance": "W/K", "current": "A", "energy": "Wh", "flow": "L/h",
    "hours": "h", "length": "m", "mass": "g", "oxygen": "mg/h", "oxygen by weight": "mg/kg/h",
    "power": "W", "pressure": "kPa", "salinity": "PSU", "seconds": "s", "share": "%",
    "sound": "dB", "speed": "m/s", "temperature": "C", "transmittance": "W/m2/K",
    "viscosity": "m2/s", "voltage": "V", "volume": "L", "volume a day": "L/day",
}  # fmt: skip
#: Dimensions that facts don't have: unit in lower case -> how many of the first one it is.
OWN_UNITS: Mapping[str, Mapping[str, float]] = {
    "area": {"m2": 1.0, "m²": 1.0, "cm2": 1e-4, "cm²": 1e-4},
    "conductance": {"w/k": 1.0},
    "current": {"a": 1.0, "ma": 1e-3},
    "energy": {"wh": 1.0, "kwh": 1e3},
    "hours": {"h": 1.0, "min": 1 / 60, "s": 1 / 3600, "days": 24.0, "day": 24.0},
    "oxygen": {"mg/h": 1.0, "g/h": 1e3},
    "oxygen by weight": {"mg/kg/h": 1.0},
    "seconds": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "sound": {"db": 1.0, "db(a)": 1.0},
    "speed": {"m/s": 1.0, "cm/s": 0.01},
    "transmittance": {"w/m2/k": 1.0, "w/m2k": 1.0},
    "viscosity": {"m2/s": 1.0, "m²/s": 1.0, "mm2/s": 1e-6, "cst": 1e-6},
    "voltage": {"v": 1.0},
}
_SHARED = {
    "flow": "L/h", "length": "m", "mass": "g", "power": "W", "volume": "L", "volume a day": "L/day",
    "pressure": "kPa",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Input:
    """One figure that a sum takes: its option, dimension, and what stands in for it.

    A ``word`` is handed on as it was typed. ``default`` is typed like a keeper would; None with
    ``needed`` unset leaves the figure out. ``low`` and ``high`` bound it in the unit that the sum
    gets.
    """

    name: str
    kind: str
    meaning: str
    default: str | None = None
    needed: bool = False
    several: bool = False
    low: float = 0.0
    high: float = 1e9


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The answer: figures in order (None: there is none), remarks, ids of cautions."""

    figures: Mapping[str, Figure | None]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answered:
    """The same with the cautions' words, and what was taken for what was left out."""

    figures: Mapping[str, Figure | None]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    assumed: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum that can be asked for by name."""

    summary: str
    inputs: tuple[Input, ...]
    answer: Callable[[Mapping[str, Any]], Reckoned]
    example: str = ""


class AmountUnreadable(UsageProblem):
    """A typed figure has no unit that fits it, or lies outside what can be."""

    code = "E-RECKON-AMOUNT"

    def __init__(self, option: str, text: str, because: str) -> None:
        super().__init__(
            f"--{option} “{text[:60]}” {because}.",
            say("Such as: {examples_said}.", examples_said=_EXAMPLES_SAID),
        )


class InputMissing(UsageProblem):
    """A figure that a sum can't do without wasn't given."""

    code = "E-RECKON-MISSING"

    def __init__(self, options: Sequence[str]) -> None:
        listed = say(" and ").join(f"--{one}" for one in options)
        super().__init__(
            say("This needs {listed}.", listed=listed),
            say("“--help” lists every figure with its default."),
        )
        self.options = tuple(options)


_EXAMPLES_SAID = "“300 L”, “13.3 W/K”, “0.72 m2”, “40 m3/h”, “25 C”, “45 %”"


def reckon(asked: Sum, typed: Mapping[str, str | Sequence[str] | None]) -> Answered:
    """The sum from what was typed, by option; what was left out is taken at its default, and said.

    Raises InputMissing, AmountUnreadable and what the readers of numbers and units raise.
    """
    missing = [one.name for one in asked.inputs if one.needed and not typed.get(one.name)]
    if missing:
        raise InputMissing(missing)
    values: dict[str, Any] = {}
    assumed: dict[str, str] = {}
    for one in asked.inputs:
        found = typed.get(one.name)
        if one.several:
            values[one.name] = tuple(str(text) for text in found or ())
        elif found:
            is_word = one.kind == "word"
            values[one.name] = str(found).strip() if is_word else read(one, str(found))
        elif one.default is not None:
            values[one.name] = one.default if one.kind == "word" else read(one, one.default)
            assumed[one.name] = one.default
        else:
            values[one.name] = None
    answered = asked.answer(values)
    return Answered(answered.figures, answered.notes, cautions(*answered.cautions), assumed)


def read(asked: Input, text: str) -> float:
    """A typed figure in the unit that the sum gets; raises AmountUnreadable."""
    value = amount(text, asked.kind, option=asked.name)
    return within(value, asked, text)


def within(value: float, asked: Input, text: str) -> float:
    """The value, where it lies in the range of its input; raises AmountUnreadable."""
    if not asked.low <= value <= asked.high:
        times = 100.0 if asked.kind == "share" else 1.0
        unit = SHOWN_UNITS.get(asked.kind, "")
        raise AmountUnreadable(
            asked.name,
            text,
            say(
                "is not from {low} to {high}",
                low=f"{times * asked.low:g} {unit}".strip(),
                high=f"{times * asked.high:g} {unit}".strip(),
            ),
        )
    return value


def amount(text: str, kind: str, *, option: str) -> float:
    """A typed amount of a dimension, ``share``, ``temperature``, ``salinity`` or ``number``.

    Only a temperature may lie under nothing.
    """
    value = _amount(text, kind, option=option)
    if value < 0.0 and kind != "temperature":
        raise AmountUnreadable(option, text, say("is less than nothing"))
    return value


def _amount(text: str, kind: str, *, option: str) -> float:
    if kind == "salinity":
        return read_quantity(kind, text)
    if kind == "temperature":  # of rooms and freezers too, so no range of the water's
        value, unit = number_and_unit(text)
        return to_canonical(units.QUANTITIES[kind], value, unit or "C").value
    if kind in _SHARED:
        parsed = units.parse_amount(text, dimension=kind, decimal_comma=True)
        return units.convert_amount(parsed.value, parsed.unit, _SHARED[kind])
    number, unit = units.split_amount(text)
    value = units.parse_number(number, decimal_comma=True)
    if kind == "number":
        if unit:
            raise AmountUnreadable(option, text, say("is a plain number and takes no unit"))
        return value
    if kind == "share":
        if unit not in ("", "%"):
            raise AmountUnreadable(option, text, say("is a share, such as “45 %” or 0.45"))
        return value / 100.0 if unit == "%" else value
    factor = OWN_UNITS[kind].get(unit.replace(" ", "").lower())
    if factor is None:
        known = ", ".join(OWN_UNITS[kind])
        raise AmountUnreadable(
            option, text, say("has no unit that is read there: {known}", known=known)
        )
    return value * factor


def named_amount(text: str, kind: str, *, option: str) -> tuple[str, float]:
    """“rock=40 kg” as ("rock", 40000.0); without a name it is named by its option."""
    name, sign, rest = text.partition("=")
    if not sign:
        return option, amount(text, kind, option=option)
    return name.strip(), amount(rest, kind, option=option)
