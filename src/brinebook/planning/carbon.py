"""Activated carbon: what little can be said of how long it lasts, and how water has to meet it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

#: Grams of granular carbon that took a gram of dissolved organic carbon out of recirculated
#: artificial sea water in 70 days, by what they are made of.
#: Source: spotte1984
GRAMS_PER_GRAM: Mapping[str, float] = MappingProxyType(
    {"hardwood": 84.4, "bone": 383.0, "coconut": 491.0, "anthracite": 837.0}
)

#: Days after which carbon is usually changed (common practice, no source).
USUAL_DAYS = (14.0, 42.0)

#: What of the colour that passes is held by fresh carbon (common practice, no source).
CAUGHT_FRESH = (0.1, 0.6)


def grams_for_organics(organic_grams: float, kind: str) -> float:
    """Grams of carbon that take out so much dissolved organic carbon (g); raises KeyError.

    One experiment, 70 days, within about a tenth there; another water may differ by far more.
    Source: spotte1984
    """
    return organic_grams * GRAMS_PER_GRAM[kind]


def clearing_days(litres: float, flow: float, *, caught: float, share_left: float) -> float:
    """Days until a well-mixed system has only ``share_left`` of what carbon takes.

    ``flow`` (L/h) goes through the carbon, which holds the share ``caught`` of it each time:
    C = C0 exp(-caught Q t / V). Nothing new coming in; infinite where nothing flows.
    Source: levenspiel1999
    """
    rate = caught * flow * 24.0 / litres
    return math.log(1.0 / share_left) / rate if rate > 0.0 else math.inf
