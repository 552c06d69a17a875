"""Ferric hydroxide and phosphate: how much a gram holds at which level, and what that comes to.

Concentrations and masses here are of phosphorus (mg P/L, mg P) unless a name says ``phosphate``.
Everything rests on an isotherm measured in sea water at higher levels than a reef's and carried
down by its exponent, so life may differ by a factor of two either way.
"""

from __future__ import annotations

import math

from brinebook.planning.spread import Spread
from brinebook.water.atoms import molar_mass

#: mg of phosphate for a mg of its phosphorus.
PHOSPHATE_PER_P = molar_mass("PO4") / molar_mass("P")

#: Exponent of the isotherm of iron hydroxide between pH 6 and 10.
#: Source: golterman1995
EXPONENT = 1.0 / 3.0
EXPONENT_SD = 0.025

#: What goethite and akaganeite took up in sea water: 10 mg P a gram at 0.3 mg P/L left in it.
#: Source: chitrakar2006
HELD_AT_REFERENCE = 10.0
REFERENCE_LEVEL = 0.3

#: How far a system's own media may differ from that: half to twice as much, by grain, silicate, pH
#: and age, and by the carrying down (common practice, no source).
FACTOR_SPREAD = Spread(0.5, 1.0, 2.0)

#: What of the phosphate passing through fresh media is held: from a bag to a well-filled bed
#: (common practice, no source); tests of inflow and outflow tell.
CAUGHT_FRESH = Spread(0.1, 0.35, 0.9)

#: How long media are kept in while phosphate is being driven down, days (common practice, no
#: source): the plan says where it lands beside that habit.
HABIT_DAYS = 14.0


def held_golterman_1995(level: float, *, factor: float = 1.0, exponent: float = EXPONENT) -> float:
    """Phosphorus held by a gram of ferric hydroxide in balance with a level, mg P/g.

    q = factor * 10 * (C / 0.3) ** exponent, C in mg P/L of sea water. The exponent is of pH 6 to
    10, the point that it goes through of pH 8; below about 0.1 mg P/L it is carried down. Life
    differs by a factor of two.
    Source: golterman1995, chitrakar2006
    """
    return float(factor * HELD_AT_REFERENCE * (level / REFERENCE_LEVEL) ** exponent)


def level_in_balance(held: float, *, factor: float = 1.0, exponent: float = EXPONENT) -> float:
    """The level (mg P/L) at which a gram holding ``held`` mg P neither takes nor gives any."""
    return float(REFERENCE_LEVEL * (held / (factor * HELD_AT_REFERENCE)) ** (1.0 / exponent))


def capacity(
    grams: float, level: float, *, factor: float = 1.0, exponent: float = EXPONENT
) -> float:
    """Phosphorus (mg) that so many grams hold in the end at a level (mg P/L)."""
    return grams * held_golterman_1995(level, factor=factor, exponent=exponent)


def days_until_full(
    grams: float,
    level: float,
    load: float,
    *,
    held_so_far: float = 0.0,
    factor: float = 1.0,
    other_routes: float = 0.0,
) -> float:
    """Days until media are full at today's level, where ``load`` mg P a day have to go somewhere.

    ``other_routes`` is the share (0 to 1) of the load that algae, changes and the rest take, and
    ``held_so_far`` the mg P that are on the media by now. 0 where they are full, infinite where
    nothing is left for them to take.
    """
    left = capacity(grams, level, factor=factor) - held_so_far
    rate = load * (1.0 - other_routes)
    if left <= 0.0:
        return 0.0
    return left / rate if rate > 0.0 else math.inf


def grams_for_fall(litres: float, *, start: float, end: float, factor: float = 1.0) -> float:
    """Grams that would bring the water alone from one level to another (mg P/L), and be full there.

    What the water holds is little; rock gives back and food goes on, so this is the most that may
    be put in without falling below ``end``, never what keeps it there.
    """
    return litres * (start - end) / held_golterman_1995(end, factor=factor)


def caught(inflow: float, outflow: float) -> float:
    """The share of what passes that is held, from tests before and after the media."""
    return 1.0 - outflow / inflow


def caught_a_day(flow: float, inflow: float, outflow: float) -> float:
    """mg a day that media hold: flow in L/h, inflow and outflow in mg/L of the same thing."""
    return flow * 24.0 * (inflow - outflow)
