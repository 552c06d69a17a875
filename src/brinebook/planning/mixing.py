"""New water: salt by mass for a salinity, ways to bring salinity back, and the time to warm it."""

from __future__ import annotations

import math

from brinebook.planning.changes import ChangeImpossible
from brinebook.texts import say
from brinebook.water.salinity import REFERENCE_SALINITY_PER_PSU, kilograms_per_litre

#: Grams of salt from an opened bag that make one gram of dry salt: common practice, no source.
MOISTURE = 1.05


def salt_grams(
    litres: float, *, start: float, target: float, temperature: float, moisture: float = 1.0
) -> float:
    """Grams of sea salt that bring so many litres from a salinity to another, PSU.

    The litres are of the finished water at the temperature; ``moisture`` is grams of the bag's salt
    for a gram of dry salt. Below zero: there is too much salt already.
    Source: millero2008, ioc2010
    """

    def per_litre(salinity: float) -> float:
        mass = kilograms_per_litre(salinity, temperature)
        return salinity * REFERENCE_SALINITY_PER_PSU * mass

    return litres * (per_litre(target) - per_litre(start)) * moisture


def mixing_salinity(start: float, target: float, *, share: float) -> float:
    """The salinity that new water of one change has to have."""
    return start + (target - start) / share


def days_of_salt_top_off(
    start: float, target: float, *, litres: float, flow: float, salinity: float
) -> float:
    """Days of topping off with salt water instead of fresh, ``flow`` litres a day evaporating.

    Raises ChangeImpossible where it doesn't rise.
    """
    if target <= start or salinity <= 0.0 or flow <= 0.0:
        raise ChangeImpossible(say("topping off with salt water only raises salinity"))
    return (target - start) * litres / (flow * salinity)


def fresh_swap(start: float, target: float, *, litres: float) -> float:
    """Litres of system water to replace by fresh water, so that salinity falls to a target.

    Raises ChangeImpossible where it would have to rise.
    """
    if not 0.0 <= target <= start:
        raise ChangeImpossible(say("fresh water only lowers salinity"))
    return litres * (1.0 - target / start) if start else 0.0


def hours_to_warm(
    litres: float,
    *,
    start: float,
    target: float,
    watts: float,
    salinity: float,
    room: float | None = None,
    loss: float = 0.0,
) -> float:
    """Hours until so much water is warm, well stirred, by a heater of so many watts.

    ``loss`` in W/K goes to a room at ``room`` °C; infinite where the heater can't hold the target.
    Source: ioc2010 (heat capacity and density, by the gsw library)
    """
    heat = litres * kilograms_per_litre(salinity, target) * heat_capacity(salinity, target) * 1000.0
    if loss <= 0.0 or room is None:
        return heat * (target - start) / watts / 3600.0
    end = room + watts / loss
    if end <= target:
        return math.inf
    return heat / loss * math.log((end - start) / (end - target)) / 3600.0


def heat_capacity(salinity: float, temperature: float) -> float:
    """Heat capacity of seawater at the surface, kJ/kg/K: 3.999 at 35 PSU and 25 °C.

    Source: ioc2010 (by the gsw library)
    """
    import gsw

    absolute = salinity * REFERENCE_SALINITY_PER_PSU
    return float(gsw.cp_t_exact(absolute, temperature, 0.0)) / 1000.0
