"""One spelling for each unit: upper and lower case, micro signs and blanks don't matter."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_GRAVITY = re.compile(
    r"(?:sg|specificgravity)(?:(\d{1,3}(?:\.\d{1,3})?)([fc]?)/(\d{1,3}(?:\.\d{1,3})?)([fc]?))?",
    re.ASCII,
)


def spelling_key(unit: str) -> str:
    """The form in which two spellings of one unit are equal: ``µg/l as PO4`` and ``ug/L PO4``."""
    text = unicodedata.normalize("NFKC", unit).replace("μ", "u").replace("°", "")
    words = [word for word in text.lower().split() if word != "as"]
    return "".join(words)


@dataclass(frozen=True, slots=True)
class GravityReference:
    """The two temperatures (°C) of a specific gravity: of the sample, and of the pure water."""

    sample: float
    water: float


def _celsius(text: str, mark: str, *, fahrenheit: bool) -> float:
    number = float(text)
    return (number - 32) / 1.8 if mark == "f" or (fahrenheit and mark != "c") else number


def gravity_reference(unit: str) -> GravityReference | None:
    """The reference pair of ``SG``, ``SG 20/4`` or ``SG 60/60F``; None if it isn't such a unit.

    Without a pair it is 25 °C over water of 25 °C. An ``F`` behind the second holds for both.
    """
    match = _GRAVITY.fullmatch(spelling_key(unit))
    if match is None:
        return None
    sample, sample_mark, water, water_mark = match.groups()
    if sample is None:
        return GravityReference(25.0, 25.0)
    both_fahrenheit = water_mark == "f"
    pair = GravityReference(
        _celsius(sample, sample_mark, fahrenheit=both_fahrenheit),
        _celsius(water, water_mark, fahrenheit=False),
    )
    inside = all(0 <= degrees <= 40 for degrees in (pair.sample, pair.water))
    return pair if inside else None


def gravity_spelling(unit: str) -> str:
    """``sg20/4`` as ``SG 20/4``."""
    key = spelling_key(unit).replace("specificgravity", "sg").removeprefix("sg").upper()
    return f"SG {key}" if key else "SG"
