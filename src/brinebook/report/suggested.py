"""Bands and limits that keepers commonly use, to be picked and never assumed.

Each is common practice, no source, unless it says otherwise; keepers differ, and say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A band and a limit a day, as typed, with where they come from and who differs."""

    SAID: ClassVar[tuple[str, ...]] = ("origin",)

    low: str
    high: str
    limit: str
    origin: str


SUGGESTED: Mapping[str, Suggestion] = MappingProxyType(
    {
        "alkalinity": Suggestion(
            "7.5 dKH", "9 dKH", "1 dKH",
            "Common practice, no source. Others keep 7 to 8 with low nutrients, or 8 to 11; some "
            "allow 1.4 dKH a day. Natural seawater has 6.6 dKH (2300 µmol/kg: Millero and others, "
            "2008).",
        ),
        "calcium": Suggestion(
            "380 mg/L", "450 mg/L", "30 mg/L",
            "Common practice, no source: 20 to 50 mg/L a day are used. Natural seawater has 422.",
        ),
        "magnesium": Suggestion(
            "1250 mg/L", "1400 mg/L", "75 mg/L",
            "Common practice, no source: 50 to 100 mg/L a day are used. Natural seawater has 1314.",
        ),
        "salinity": Suggestion(
            "34 PSU", "36 PSU", "1 PSU",
            "Common practice, no source. Falling is borne faster than rising, by 1 to 2 a day.",
        ),
        "temperature": Suggestion(
            "24 C", "27 C", "1 dC",
            "Common practice, no source. What the animals are used to counts for more.",
        ),
        "ph": Suggestion(
            "7.8", "8.5", "",
            "Common practice, no source. Read it with the room's air; it is no target to dose for.",
        ),
        "nitrate": Suggestion(
            "2 mg/L", "20 mg/L", "",
            "Common practice, no source; with stony corals 1 to 10. Nothing is gained at zero.",
        ),
        "phosphate": Suggestion(
            "0.02 mg/L", "0.10 mg/L", "0.03 mg/L",
            "Common practice, no source. Too little to be seen is as much a warning as a lot.",
        ),
    }
)  # fmt: skip
