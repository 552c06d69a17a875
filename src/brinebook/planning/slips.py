"""What a slip did to the water: one relation each, so that the plan after it starts from a figure.

Volumes in L, salinity in PSU, alkalinity in meq/L, amounts in meq or mg, unless a name says more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

from brinebook.planning.spread import Floats, Spread
from brinebook.water.atoms import molar_mass

_CALCIUM = molar_mass("Ca")
_CHALK = molar_mass("CaCO3")
_CO2 = molar_mass("CO2")
_N = molar_mass("N")

#: A number, or the draws of one.
Number = TypeVar("Number", float, Floats)

# ---- salt and fresh water in the wrong place -----------------------------------------------------


def salinity_after_salt_top_off(
    salinity: float, litres: float, *, poured: float, poured_salinity: float
) -> float:
    """Salt water used instead of fresh for what evaporates: the water stays, its salt adds up."""
    return salinity + poured_salinity * poured / litres


def salinity_after_flood(salinity: Number, litres: Number, fresh: float) -> Number:
    """Fresh water on top of a full system, nothing lost: S V / (V + fresh)."""
    return salinity * litres / (litres + fresh)


def salinity_after_drying(salinity: Number, litres: Number, missing: float) -> Number:
    """Water evaporated and not replaced: S V / (V - missing)."""
    return salinity * litres / (litres - missing)


def after_change_with(value: Number, new: float, share: Number) -> Number:
    """Any concentration after a change of ``share`` with water of ``new``, such as none at all."""
    return value + share * (new - value)


def fresh_swap(salinity: float, wanted: float, litres: float) -> float:
    """Litres of system water to take out and replace by fresh, to come down to ``wanted``."""
    return litres * (1.0 - wanted / salinity)


def salt_top_off_days(
    salinity: float, wanted: float, litres: float, *, evaporation: float, poured_salinity: float
) -> float:
    """Days of topping off with salt water until salinity is up at ``wanted`` (evaporation L/d)."""
    return (wanted - salinity) * litres / (poured_salinity * evaporation)


def change_salinity_for(salinity: float, wanted: float, share: float) -> float:
    """Salinity that the new water of one change would have to have, to end at ``wanted``."""
    return salinity + (wanted - salinity) / share


# ---- two parts in one place ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Snow:
    """What fell out: mmol and grams of CaCO3, and what the water goes without."""

    millimoles: float
    grams: float
    alkalinity: float  # meq
    calcium: float  # mg
    carbon: float  # mmol of CO2 set free: one for each CaCO3 made from bicarbonate


def snow_of(alkalinity: float, calcium: float, *, bicarbonate: bool = True) -> Snow:
    """The most that can fall out where ``alkalinity`` (meq) and ``calcium`` (mg) meet undiluted.

    Ca++ + 2 HCO3- = CaCO3 + CO2 + H2O, from carbonate without CO2. What is in excess stays.
    """
    mmol = min(alkalinity / 2.0, calcium / _CALCIUM)
    return Snow(
        mmol,
        mmol * _CHALK / 1e3,
        2.0 * mmol,
        mmol * _CALCIUM,
        mmol if bicarbonate else 0.0,
    )


# ---- limewater -----------------------------------------------------------------------------------

#: Saturated limewater at 25 °C: mol of Ca(OH)2 a litre (0.0201 per kg of water by a Pitzer model,
#: 0.0216 by handbooks); slaked lime dissolves better in the cold.
LIMEWATER = Spread(0.016, 0.0203, 0.0220)

#: CO2 dissolved in a litre of bottled carbonated water, g (common practice, no source).
CARBONATED_WATER = Spread(3.0, 6.0, 8.0)


def limewater_brings(litres: float, strength: float) -> tuple[float, float]:
    """Alkalinity (meq) and calcium (mg) of so much limewater of ``strength`` mol/L."""
    mmol = litres * strength * 1e3
    return 2.0 * mmol, mmol * _CALCIUM


def carbonated_litres(millimoles: float, grams_per_litre: float) -> float:
    """Litres of carbonated water that hold so many mmol of CO2."""
    return millimoles * _CO2 / 1e3 / grams_per_litre


# ---- too much food, or something that died -------------------------------------------------------

#: Oxygen to burn a gram of dry feed to CO2 and ammonia, g (from its protein, fat and starch: 1.4,
#: 2.9 and 1.2 g a gram, from memory), and of flesh as dry matter.
OXYGEN_OF_FEED = Spread(1.0, 1.25, 1.5)
OXYGEN_OF_FLESH = Spread(0.95, 1.1, 1.3)

#: Small reef fishes: water, and nitrogen of the dry mass; phosphorus from memory, with bones.
#: Source: ikeda2011
WATER_OF_FLESH = (0.66, 0.814)
NITROGEN_OF_FLESH = Spread(0.083, 0.105, 0.128)
PHOSPHORUS_OF_FLESH = Spread(0.005, 0.020, 0.035)


def oxygen_to_nitrify(nitrogen: float) -> float:
    """Oxygen taken to turn ammonia N to nitrate, same unit: two O2 a nitrogen, 4.57."""
    return nitrogen * 2.0 * molar_mass("O2") / _N


def dry_of_flesh() -> Spread:
    """Dry share of a small fish as it is weighed.

    Source: ikeda2011
    """
    low, high = 1.0 - WATER_OF_FLESH[1], 1.0 - WATER_OF_FLESH[0]
    return Spread(low, math.sqrt(low * high), high)


# ---- a dose --------------------------------------------------------------------------------------


def days_of_use(rise: float, use: float) -> float:
    """Days of use that a rise is worth where its dosing stands still; infinite without any use."""
    return rise / use if use > 0.0 else math.inf
