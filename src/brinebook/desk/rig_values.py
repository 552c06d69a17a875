"""Values of the rig's description between a form's fields and the file: units, lists, months.

A bare number gets the unit that stands beside its field; whatever else is typed is kept as typed,
for the reader of the description to judge.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from brinebook.book.description_rig_keys import Key
from brinebook.rig.water_side import FITTINGS
from brinebook.texts import say

_BARE = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
#: Between the values of a list typed in one line: a semicolon, or a comma with room behind it.
_BETWEEN = re.compile(r"\s*;\s*|,\s+")
_TO = re.compile(r"\s+(?:to|–|-)\s+")

#: Unit beside a field of each kind, for those who measure in metres and for those in feet.
_UNITS: Mapping[str, tuple[str, str]] = {
    "length": ("cm", "in"), "volume": ("L", "gal"), "flow": ("L/h", "gph"), "mass": ("kg", "lb"),
    "pressure": ("kPa", "psi"), "power": ("W", "W"), "volume a day": ("L/day", "L/day"),
    "temperature": ("C", "F"), "temperature difference": ("dC", "dF"), "share": ("%", "%"),
    "area": ("m2", "m2"), "hours": ("h", "h"), "seconds": ("min", "min"), "days": ("days", "days"),
    "voltage": ("V", "V"), "current": ("A", "A"), "leakage": ("mA", "mA"), "energy": ("Wh", "Wh"),
    "oxygen": ("mg/h", "mg/h"), "oxygen by weight": ("mg/kg/h", "mg/kg/h"),
    "speed": ("m/s", "m/s"), "density": ("kg/m3", "kg/m3"), "conductance": ("W/K", "W/K"),
    "noise": ("dB", "dB"), "valve flow": ("m3/h", "m3/h"),
}  # fmt: skip
#: The same for keys that are measured otherwise than most of their kind.
_BY_NAME: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(
        ("bore", "hole", "hole_bore", "mouth", "wall", "grain", "tooth_height", "line_bore",
         "margin", "above_running", "roughness"), ("mm", "in")),
    **dict.fromkeys(("lift", "head", "shut_off_head", "line_length", "altitude"), ("m", "ft")),
    "fish": ("g", "g"),
    "leak": ("m3/h", "m3/h"),
}  # fmt: skip
#: And for those that only their table tells apart.
_BY_PLACE: Mapping[str, tuple[str, str]] = {
    "plumbing.pipes.length": ("m", "ft"),
    "plumbing.drains.length": ("m", "ft"),
    "heat.fans.flow": ("m3/h", "m3/h"),
    "heat.room.volume": ("m3", "m3"),
    "plumbing.dosers.flow": ("L/h", "L/h"),
}


def unit_beside(table: str, key: Key, *, feet: bool) -> str:
    """The unit of a bare number in a field; "" where none is taken."""
    found = (
        _BY_PLACE.get(f"{table}.{key.name}") or _BY_NAME.get(key.name) or _UNITS.get(key.kind)
        if key.kind in _UNITS
        else None
    )  # fmt: skip
    return "" if found is None else found[feet]


def is_monthly(key: Key) -> bool:
    """Whether a key holds a value for the year, for January and July, or for each month."""
    return key.kind == "own" and key.name.endswith(("temperature", "humidity"))


def monthly_unit(key: Key, *, feet: bool) -> str:
    """The unit of a bare number among the months."""
    return _UNITS["share" if key.name.endswith("humidity") else "temperature"][feet]


def shown_value(value: object, unit: str) -> str:
    """A written value as its field shows it: without its unit where that stands beside it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        number, _, written = value.rpartition(" ")
        return number if unit and written == unit and _BARE.fullmatch(number) else value
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def shown_months(value: object, unit: str = "") -> str:
    """“17, 25” of a January and a July, twelve with commas, or one; units that stand beside go."""
    parts = value if isinstance(value, list) else [] if value is None else [value]
    if isinstance(value, Mapping):
        parts = [value.get(name, "") for name in ("january", "july")]
    return ", ".join(shown_value(one, unit) for one in parts)


def shown_lines(value: object) -> str:
    """Pairs of a curve, a line each; a table of names and shares likewise."""
    if isinstance(value, Mapping):
        return "\n".join(f"{name} = {share}" for name, share in value.items())
    pairs = value if isinstance(value, list) else []
    return "\n".join(", ".join(str(one) for one in pair) for pair in pairs)


def shown_between(value: object) -> str:
    """“100 L/h to 160 L/h”."""
    return (
        say(" to ").join(str(one) for one in value) if isinstance(value, list) else str(value or "")
    )


def written(key: Key, typed: str, unit: str) -> Any:
    """What stands in the file for a typed value; None takes the key out."""
    text = typed.strip()
    if not text:
        return None
    if is_monthly(key):
        return _months([with_unit(one, unit) for one in _BETWEEN.split(text) if one])
    own = {"curve": _curve, "wanted_flow": _wanted_flow, "chances": _chances}.get(key.name)
    if own is not None:
        return own(text)
    if key.kind in ("number", "count"):
        return number_or_text(text)
    if key.kind in ("text", "choice"):
        return text
    flags = {"yes": True, "no": False} if key.kind == "flag" else {}
    return flags.get(text, with_unit(text, unit))


def with_unit(text: str, unit: str) -> str:
    """A typed amount: a point for a comma between digits, a bare number with its unit."""
    found = _COMMA.sub(".", text.strip())
    return f"{found} {unit}" if unit and _BARE.fullmatch(found) else found


def number_or_text(text: str) -> int | float | str:
    """A bare number as one; anything else as it is, for the reader to say what is wrong."""
    try:
        number = float(_COMMA.sub(".", text))
    except ValueError:
        return text
    if not math.isfinite(number):
        return text
    return int(number) if number.is_integer() else number


def fittings_of(typed: Mapping[str, str]) -> dict[str, int | float | str] | None:
    """The fittings that were counted; None where none was."""
    found = {name: number_or_text(typed[name]) for name in FITTINGS if typed.get(name, "").strip()}
    counted = {name: count for name, count in found.items() if count != 0}
    return counted or None


def _curve(text: str) -> list[list[str]]:
    return [_pair(line) for line in text.splitlines() if line.strip()]


def _wanted_flow(text: str) -> str | list[str]:
    found = [with_unit(one, "L/h") for one in _TO.split(text)]
    return found[0] if len(found) == 1 else found


def _chances(text: str) -> dict[str, str]:
    return dict(_named(line) for line in text.splitlines() if line.strip())


def _pair(line: str) -> list[str]:
    parts = [one for one in _BETWEEN.split(line.strip()) if one]
    if len(parts) == 1 and len(line.split()) == 2:
        parts = line.split()
    units = ("L/h", "m")
    return [with_unit(one, unit) for one, unit in zip(parts, units, strict=False)] + parts[2:]


def _named(line: str) -> tuple[str, str]:
    name, _, share = line.rpartition("=")
    return name.strip(), with_unit(share, "%")


def _months(parts: Sequence[str]) -> object:
    if len(parts) == 1:
        return parts[0]
    if len(parts) == 2:
        return {"january": parts[0], "july": parts[1]}
    return list(parts)
