"""How one table of the rig's description is read: keys with their unit, range and default.

A `Shape` lists the keys of one noun. What is left out is filled by its default and noted as
assumed, or named as missing; what can't be read is a fault. A part without a figure that nothing
can stand in for is left out of the rig until that figure is there, and is named.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from brinebook import units
from brinebook.book.description_notes import Notes, shown_value
from brinebook.errors import BrinebookError
from brinebook.rig.origin import Assumed, Missing
from brinebook.texts import say
from brinebook.units import QUANTITIES
from brinebook.water.quantities import to_canonical

Noun = TypeVar("Noun")
COMMON = "common practice, no source"

#: Dimensions of a rig that facts don't have: unit in lower case -> how many of the first one it is.
OWN_UNITS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "area": {"m2": 1.0, "cm2": 1e-4, "m²": 1.0, "cm²": 1e-4},
        "hours": {"h": 1.0, "min": 1 / 60, "s": 1 / 3600, "day": 24.0, "days": 24.0},
        "seconds": {"s": 1.0, "min": 60.0, "h": 3600.0},
        "days": {"days": 1.0, "day": 1.0, "h": 1 / 24},
        "voltage": {"v": 1.0},
        "current": {"a": 1.0, "ma": 1e-3},
        "leakage": {"ma": 1.0, "a": 1e3},
        "energy": {"wh": 1.0, "kwh": 1e3},
        "oxygen": {"mg/h": 1.0, "g/h": 1e3},
        "oxygen by weight": {"mg/kg/h": 1.0},
        "speed": {"m/s": 1.0, "cm/s": 0.01},
        "density": {"kg/m3": 1.0, "g/cm3": 1e3, "g/ml": 1e3, "kg/l": 1e3},
        "conductance": {"w/k": 1.0, "w/°c": 1.0},
        "noise": {"db": 1.0, "db(a)": 1.0, "dba": 1.0},
        "valve flow": {"m3/h": 1.0},
    }
)
#: Dimensions as the rest of the description knows them, and the unit that the nouns hold.
SHARED_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "length": "m", "volume": "L", "flow": "L/h", "mass": "g", "pressure": "kPa", "power": "W",
        "volume a day": "L/day", "temperature difference": "dC",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Key:
    """One key: what it may hold, and what happens where it is left out.

    ``kind`` is a dimension, or ``share``, ``temperature``, ``number``, ``count``, ``text``,
    ``flag``, ``choice``, or ``own`` with a reader of its own. ``default`` is what would stand in
    the file; without one the key may be left out (None), or is ``needed`` for its part to count.
    """

    name: str
    kind: str
    meaning: str  # for the page that lists the keys
    low: float = 0.0
    high: float = 1e9
    attribute: str = ""
    default: object = None
    reason: str = COMMON
    needed: str = ""  # what can't be told without it
    worth: int = 0
    wanted: str = ""  # like needed, but the part counts without it
    choices: tuple[str, ...] = ()
    read: Callable[[Reader, str, object], Any] | None = None

    @property
    def field(self) -> str:
        """The attribute of the noun that it fills."""
        return self.attribute or self.name


@dataclass(frozen=True, slots=True)
class Shape(Generic[Noun]):
    """A noun and the keys that describe it."""

    noun: Callable[..., Noun]
    keys: tuple[Key, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The keys as they stand in the file."""
        return tuple(key.name for key in self.keys)


@dataclass(slots=True)
class Reader:
    """Where the reading of one rig puts what it finds."""

    notes: Notes
    assumed: dict[str, Assumed] = field(default_factory=dict)
    dropped: set[str] = field(
        default_factory=set
    )  # names of parts that stand there, yet don't count
    roles: set[str] = field(default_factory=set)  # of every vessel that stands there
    missing: list[Missing] = field(default_factory=list)

    def part(self, where: str, found: object, shape: Shape[Noun]) -> Noun | None:
        """One table as its noun; None where a needed figure is missing or wrong."""
        if not isinstance(found, Mapping):
            self.notes.wrong(
                where, say("{shown_value} is not a table of keys", shown_value=shown_value(found))
            )
            return None
        for key in found:
            self.notes.known(key, shape.names, where=where)
        values: dict[str, Any] = {}
        whole = True
        for key in shape.keys:
            value = self._value(where, found, key)
            if value is None and key.default is not None:
                # What stood there is a fault by now; the part stays whole to find its others.
                value = self.read(where, key.default, key)
            if value is not None:
                values[key.field] = value
            elif key.needed:
                whole = False
        return shape.noun(**values) if whole else None

    def parts(self, where: str, found: object, shape: Shape[Noun]) -> tuple[Noun, ...]:
        """An array of tables; the parts that count, in the order of the file."""
        if found is None:
            return ()
        if not isinstance(found, list) or not all(isinstance(one, Mapping) for one in found):
            self.notes.wrong(
                where, say("each of them is a table of its own, under [[{where}]]", where=where)
            )
            return ()
        if len(found) > 200:
            self.notes.wrong(
                where, say("{count} of them are more than the 200 that are read", count=len(found))
            )
            return ()
        places = [_place(where, number, one) for number, one in enumerate(found, start=1)]
        self.notes.unique(where, [str(one.get("name", "")).casefold() for one in found])
        read = [self.part(place, one, shape) for place, one in zip(places, found, strict=True)]
        self.dropped |= {
            str(one.get("name")) for one, part in zip(found, read, strict=True) if part is None
        }
        return tuple(one for one in read if one is not None)

    def assume(self, where: str, value: str, reason: str) -> None:
        """Note that a default stands in."""
        self.assumed[where] = Assumed(where, value, reason)

    def lack(self, where: str, wanted_for: str, worth: int) -> None:
        """Note that nothing stands in, and what can't be told for that."""
        self.missing.append(Missing(where, wanted_for, worth))

    def one_of(self, where: str, value: str, known: Sequence[str], *, what: str) -> bool:
        """Whether a name that should point somewhere does; else a fault with the nearest name.

        What stands there without counting, for a figure that it lacks or for a fault of its own,
        was named already.
        """
        if value in known or self.is_dropped(value):
            return True
        near = get_close_matches(value[:60], known, n=1)
        meant = say(" Did you mean {near}?", near=near[0]) if near else ""
        self.notes.wrong(
            where,
            say(
                "{shown_value} is no {what} described here.{meant}",
                shown_value=shown_value(value),
                what=what,
                meant=meant,
            ),
            follows=True,  # what it names may stand there, with a fault of its own
        )
        return False

    def is_dropped(self, name: str) -> bool:
        """Whether this names a part, or a section of one, that stands there without counting."""
        vessel, _, section = name.partition("/")
        return not self.dropped.isdisjoint((name, vessel, section))

    def _value(self, where: str, found: Mapping[str, Any], key: Key) -> Any:
        place = f"{where}.{key.name}" if where else key.name
        if key.name in found:
            return self.read(place, found[key.name], key)
        if key.name == "name":
            self.notes.wrong(place, say("it is missing"))
            return None
        if key.default is not None:
            self.assume(place, default_text(key.default), say(key.reason))
            return self.read(place, key.default, key)
        if key.needed or key.wanted:
            self.lack(place, say(key.needed or key.wanted), key.worth)
        return None

    def read(self, where: str, value: object, key: Key) -> Any:
        """The value of one key in the noun's unit; None, with a fault noted, where it can't be."""
        if key.read is not None:
            return key.read(self, where, value)
        plain: Mapping[str, Callable[[str, object, Key], Any]] = {
            "text": self._text, "flag": self._flag, "choice": self._choice, "share": self._share,
            "number": self._number, "count": self._count, "temperature": self._temperature,
        }  # fmt: skip
        return plain.get(key.kind, self._amount)(where, value, key)

    def _text(self, where: str, value: object, _key: Key) -> str | None:
        return self.notes.text(where, value) or None

    def _flag(self, where: str, value: object, _key: Key) -> bool | None:
        if isinstance(value, bool):
            return value
        self.notes.wrong(
            where, say("{shown_value} is neither true nor false", shown_value=shown_value(value))
        )
        return None

    def _choice(self, where: str, value: object, key: Key) -> str | None:
        text = self.notes.text(where, value)
        if text in key.choices:
            return text
        if text:
            near = get_close_matches(text, key.choices, n=1)
            meant = say(" Did you mean {near}?", near=near[0]) if near else ""
            self.notes.wrong(
                where,
                say(
                    "{text!r} is none of {choices}.{meant}",
                    text=text,
                    choices=", ".join(key.choices),
                    meant=meant,
                ),
            )
        return None

    def _share(self, where: str, value: object, key: Key) -> float | None:
        before = len(self.notes.faults)
        found = self.notes.fraction(where, value, 0.0)
        if len(self.notes.faults) > before:
            return None
        return self._within(where, found, value, (key.low, min(key.high, 1.0)))

    def _number(self, where: str, value: object, key: Key) -> float | None:
        return self.notes.number(where, value, key.low, key.high)

    def _count(self, where: str, value: object, key: Key) -> int | None:
        found = self.notes.number(where, value, key.low, key.high)
        if found is None:
            return None
        if found != int(found):
            self.notes.wrong(
                where, say("{shown_value} is not a whole number", shown_value=shown_value(value))
            )
            return None
        return int(found)

    def _temperature(self, where: str, value: object, key: Key) -> float | None:
        if not isinstance(value, str):
            self.notes.wrong(
                where,
                say(
                    '{shown_value} is not a temperature, such as "25 C"',
                    shown_value=shown_value(value),
                ),
            )
            return None
        try:
            number, unit = units.split_amount(value)
            quantity = QUANTITIES["temperature"]
            found = to_canonical(quantity, units.parse_number(number), unit).value
        except BrinebookError as error:
            self.notes.refused(where, error)
            return None
        bounds = (key.low, min(key.high, 100.0))
        return self._within(where, found, value, bounds, unit="C")

    def _amount(self, where: str, value: object, key: Key) -> float | None:
        example = _EXAMPLES.get(key.kind, "")
        if not isinstance(value, str):
            self.notes.wrong(
                where,
                say(
                    '{shown_value} is not a value with its unit, such as "{example}"',
                    shown_value=shown_value(value),
                    example=example,
                ),
            )
            return None
        found = self.amount(where, value, key.kind)
        if found is None:
            return None
        unit = SHARED_UNITS.get(key.kind) or _SHOWN_UNITS[key.kind]
        return self._within(where, found, value, (key.low, key.high), unit=unit)

    def amount(self, where: str, text: str, dimension: str) -> float | None:
        """A number with its unit in the unit that the nouns hold; None with a fault noted."""
        try:
            if dimension in SHARED_UNITS:
                read = units.parse_amount(text, dimension=dimension)
                return units.convert_amount(read.value, read.unit, SHARED_UNITS[dimension])
            number, unit = units.split_amount(text)
            factor = OWN_UNITS[dimension].get(unit.replace(" ", "").lower())
            if factor is not None:
                return units.parse_number(number) * factor
        except BrinebookError as error:
            self.notes.refused(where, error)
            return None
        known = ", ".join(OWN_UNITS[dimension])
        self.notes.wrong(
            where,
            say(
                "{shown_value} has no unit that is read here: {known}",
                shown_value=shown_value(text),
                known=known,
            ),
        )
        return None

    def _within(
        self,
        where: str,
        found: float,
        value: object,
        bounds: tuple[float, float],
        *,
        unit: str = "",
    ) -> float | None:
        low, high = bounds
        if low <= found <= high:
            return found
        self.notes.wrong(
            where,
            say(
                "{shown_value} is not between {low} and {high} here",
                shown_value=shown_value(value),
                low=f"{low:g} {unit}".strip(),
                high=f"{high:g} {unit}".strip(),
            ),
        )
        return None


#: The unit that the nouns hold of a rig's own dimensions, as it is written.
_SHOWN_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "area": "m2", "hours": "h", "seconds": "s", "days": "days", "voltage": "V",
        "current": "A", "leakage": "mA", "energy": "Wh", "oxygen": "mg/h",
        "oxygen by weight": "mg/kg/h", "speed": "m/s", "density": "kg/m3", "conductance": "W/K",
        "noise": "dB", "valve flow": "m3/h",
    }
)  # fmt: skip
_EXAMPLES: Mapping[str, str] = MappingProxyType(
    {
        "length": "60 cm", "volume": "25 L", "flow": "2500 L/h", "mass": "150 g", "power": "45 W",
        "temperature difference": "1.5 dC",
        "pressure": "10 kPa", "volume a day": "5 L/day", "area": "0.3 m2", "hours": "8 h",
        "seconds": "900 s", "days": "20 days", "voltage": "230 V", "current": "16 A",
        "leakage": "30 mA", "energy": "80 Wh", "oxygen": "300 mg/h",
        "oxygen by weight": "250 mg/kg/h", "speed": "0.1 m/s", "density": "1200 kg/m3",
        "noise": "25 dB", "conductance": "13 W/K", "valve flow": "6 m3/h",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Inner:
    """A reader for a table within a table, or for an array of them."""

    shape: Shape[Any]
    several: bool = False

    def __call__(self, reader: Reader, where: str, value: object) -> Any:
        """The noun, or the nouns, that the value describes."""
        if self.several:
            return reader.parts(where, value, self.shape)
        return reader.part(where, value, self.shape)


def nested(shape: Shape[Any]) -> Inner:
    """A reader for a table within a table."""
    return Inner(shape)


def several(shape: Shape[Any]) -> Inner:
    """A reader for an array of tables within a table."""
    return Inner(shape, several=True)


def inner_shape(key: Key) -> Shape[Any] | None:
    """The shape that a key's own table or tables have; None for every other key."""
    return key.read.shape if isinstance(key.read, Inner) else None


def default_text(default: object) -> str:
    """A default as people read it: “20 mm”, or “january 20 C, july 24 C”."""
    if isinstance(default, Mapping):
        return ", ".join(f"{name} {value}" for name, value in default.items())
    return str(default)


def _place(where: str, number: int, part: Mapping[str, Any]) -> str:
    name = part.get("name")
    return f"{where}[{name if isinstance(name, str) and name else number}]"
