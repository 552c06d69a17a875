"""What dosing leaves behind: the ions that nothing takes up, over a year, and how to be rid of it.

Bicarbonate and calcium chloride become chalk, which the animals keep, and sodium chloride, which
stays: salinity climbs, and where it is held with fresh water everything else is diluted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brinebook.planning.substances import Substance
from brinebook.water.composition import reference_concentration
from brinebook.water.salinity import kilograms_per_litre

YEAR = 365.0
#: Ions that nothing of note takes up.
KEPT = ("sodium", "chloride", "sulfate", "potassium")
_SALINITY = 35.0


@dataclass(frozen=True, slots=True)
class Residue:
    """What is left of a year's dosing, nothing being changed unless said.

    ``grams_a_day`` in all; ``per_litre`` g/L in a year; ``salinity`` by how many PSU it climbs if
    nothing leaves; ``diluted`` the share by which the other ions fall in a year if salinity is held
    with fresh water; ``ions`` mg/L a year of each; ``steady`` g/L left in the end just before each
    change of ``share`` every ``every`` days (None without changes).
    """

    grams_a_day: float
    per_litre: float
    salinity: float
    diluted: float
    ions: Mapping[str, float]
    steady: float | None


def residue(
    dosed: Sequence[tuple[Substance, float]],
    *,
    litres: float,
    share: float | None = None,
    every: float = 7.0,
    temperature: float = 25.0,
) -> Residue:
    """The residue of so many units a day of each substance."""
    each = dict.fromkeys(KEPT, 0.0)
    for substance, units in dosed:
        for ion in KEPT:
            each[ion] += units * substance.brings(ion)
    grams = sum(each.values()) / 1000.0
    per_litre = grams * YEAR / litres
    salinity = per_litre / kilograms_per_litre(_SALINITY, temperature)
    steady = None
    if share:
        steady = grams * every / litres / share
    return Residue(
        grams,
        per_litre,
        salinity,
        1.0 - math.exp(-salinity / _SALINITY),
        {ion: amount * YEAR / litres for ion, amount in each.items() if amount},
        steady,
    )


def of_demand(
    demand: float, *, litres: float, carbonate: Substance, calcium: Substance
) -> list[tuple[Substance, float]]:
    """Units a day of a balanced pair for a demand of alkalinity, meq/L a day."""
    from brinebook.planning.dosing import pair_ratio

    units = demand * litres / carbonate.brings("alkalinity")
    return [(carbonate, units), (calcium, units * pair_ratio(carbonate, calcium))]


def share_that_undoes(found: Residue, *, litres: float, every: float, rise: float) -> float:
    """The share of water to change every so many days, so that salinity's excess stays under
    ``rise`` PSU just before a change; more than 1 where none does."""
    gained = found.grams_a_day * every / litres / kilograms_per_litre(_SALINITY, 25.0)
    return gained / rise


def ratios_after(
    found: Residue, *, salinity: float = _SALINITY
) -> Mapping[str, tuple[float, float]]:
    """Each major ion after a year with salinity held by fresh water: mg/L, and over natural.

    Ions that the dosing doesn't bring are only diluted.
    """
    held = 1.0 - found.diluted
    told = {}
    for ion in ("sodium", "chloride", "sulfate", "magnesium", "potassium"):
        natural = reference_concentration(ion, salinity=salinity)
        # Added evenly through the year while the whole is thinned evenly.
        thinned = found.diluted / -math.log1p(-found.diluted) if found.diluted > 0.0 else 1.0
        now = natural * held + found.ions.get(ion, 0.0) * thinned
        told[ion] = (now, now / natural)
    return told
