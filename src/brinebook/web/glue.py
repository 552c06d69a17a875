"""A number and its unit stay on one line: “16 mL”, not “16” and “mL” on the next."""

from __future__ import annotations

import re

_NARROW = "\u00a0"
#: What is left as it stands: what is typed or copied, and tables with their narrow columns.
_AS_IT_STANDS = re.compile(
    r"(<(textarea|pre|code|script|style|table)\b.*?</\2>)", re.DOTALL | re.IGNORECASE
)
_TEXT = re.compile(r"(?:^|>)[^<]+")
_UNITS = (
    "dKH|meq|µmol|mmol|mol|mg|µg|kg|g|mL|L|kPa|Pa|kN|kWh|Wh|kW|W|A|V|mm|cm|m|m²|m³|m³/h|s|min|h|"
    "PSU|NBS|°C|°F|K|%|ppm|µatm|mV|dB|psf"
)
_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w°]))")
_SPREAD = re.compile(r"± (?=\d)")


def glued(page: str) -> str:
    """The page with its numbers bound to their units, in what is read and not typed."""
    parts = _AS_IT_STANDS.split(page)
    # Each block that stands as it is comes with the name of its element behind it.
    return "".join(
        part if place % 3 == 1 else _TEXT.sub(_bound, part)
        for place, part in enumerate(parts)
        if place % 3 != 2
    )


def _bound(found: re.Match[str]) -> str:
    return _SPREAD.sub(f"±{_NARROW}", _UNIT.sub(_NARROW, found[0]))
