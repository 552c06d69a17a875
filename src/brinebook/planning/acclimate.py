"""New animals from the water of a bag or a tub to that of the system: drip and bucket arithmetic.

The same relations hold for salinity, alkalinity, inorganic carbon, ammonia and, without the walls
of the bag, temperature: all mix in proportion to volume. Volumes in L, flows in L/h, times in h.
"""

from __future__ import annotations

import math


def kept_after_overflow(flow: float, litres: float, hours: float) -> float:
    """Share of the bag's own water that is left where drip and overflow hold its volume.

    exp(-q t / V): well mixed, constant volume.
    Source: levenspiel1999
    """
    return math.exp(-flow * hours / litres)


def kept_after_filling(flow: float, litres: float, hours: float) -> float:
    """Share of the bag's own water in a vessel that only fills: V / (V + q t)."""
    return litres / (litres + flow * hours)


def kept_after_swaps(share: float, times: int) -> float:
    """Share of the bag's own water left after pouring out ``share`` and filling up, so many times.

    Source: levenspiel1999
    """
    return (1.0 - share) ** times


def mixed(start: float, system: float, kept: float) -> float:
    """A concentration where the share ``kept`` is the first water and the rest the system's."""
    return system + (start - system) * kept


def kept_for(start: float, system: float, wanted: float) -> float:
    """The share of the first water that may be left to be at ``wanted``; 1 where it is there.

    ``wanted`` lies between the two; where they are alike nothing has to go.
    """
    if start == system:
        return 1.0
    return min(1.0, (wanted - system) / (start - system))


def hours_of_overflow(flow: float, litres: float, kept: float) -> float:
    """Hours of drip with overflow until ``kept`` of the first water is left (0 < kept <= 1)."""
    return -math.log(kept) * litres / flow


def hours_of_filling(flow: float, litres: float, kept: float) -> float:
    """Hours of drip into a vessel that only fills, until ``kept`` of it is the first water."""
    return litres * (1.0 / kept - 1.0) / flow


def swaps_for(share: float, kept: float) -> int:
    """How many swaps of ``share`` leave at most ``kept`` of the first water."""
    if kept >= 1.0:
        return 0
    return math.ceil(math.log(kept) / math.log(1.0 - share) - 1e-9)


def flow_of_drops(per_second: float, drops_per_ml: float = 20.0) -> float:
    """L/h of so many drops a second; 20 drops a mL is a plain tube's (common practice)."""
    return per_second / drops_per_ml * 3.6
