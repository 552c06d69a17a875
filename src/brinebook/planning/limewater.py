"""Limewater as top-off: what it can supply, bounded by what evaporates."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.water.dissolving import solubility
from brinebook.water.salts import SALTS

LIME = "Ca(OH)2"
#: Months of topping off say what evaporates; a home's swing of the year where there are none: low
#: and high over the mean. Common practice, no source.
YEAR_SWING = (0.6, 1.5)


@dataclass(frozen=True, slots=True)
class Supply:
    """What limewater brings at one evaporation: meq/L a day, and its share of the demand.

    ``rest`` is what a second source has to bring, meq/L a day; below zero it brings too much.
    ``strength`` is meq a litre of top-off.
    """

    evaporation: float
    strength: float
    brings: float
    share: float
    rest: float


def saturated_strength(temperature: float) -> float:
    """Alkalinity of saturated limewater, meq/L: 40.6 at 25 °C, more in the cold.

    Range 0 to 40 °C; 3 %. What settles at the bottom brings nothing.
    Source: bates1956, perry1997 (table 2-122, for the trend)
    """
    held = solubility(LIME, temperature)
    assert held is not None
    return held.mass_percent * 10.0 / (1.0 - held.mass_percent / 100.0) * _MEQ_PER_GRAM


_MEQ_PER_GRAM = SALTS[LIME].per_gram["alkalinity"]


def strength_of(grams_per_litre: float, *, temperature: float) -> float:
    """Alkalinity of limewater of so many grams a litre, meq/L: no more than dissolves."""
    return min(grams_per_litre * _MEQ_PER_GRAM, saturated_strength(temperature))


def supply(*, evaporation: float, strength: float, demand: float, litres: float) -> Supply:
    """What so much evaporation (L a day) of limewater brings to a system; demand in meq/L a day."""
    brings = evaporation * strength / litres
    share = brings / demand if demand > 0.0 else float("inf")
    return Supply(evaporation, strength, brings, share, demand - brings)


def strength_for(*, evaporation: float, demand: float, litres: float) -> float:
    """Grams of lime in a litre that just meet the demand at so much evaporation."""
    return demand * litres / evaporation / _MEQ_PER_GRAM


def grams_a_day(*, evaporation: float, strength: float) -> float:
    """Lime used up in a day."""
    return evaporation * strength / _MEQ_PER_GRAM
