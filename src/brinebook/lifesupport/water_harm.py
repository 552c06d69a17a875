"""How bad water in the wrong place is, and water of the wrong salt."""

from __future__ import annotations

from brinebook.lifesupport.drill import Harm
from brinebook.rig import Rig

#: More than a mopful: a floor under water, L. Common practice, no source.
ON_THE_FLOOR = 0.5


#: A change of salinity that is stress, and one that is losses, PSU. Common practice, no source;
#: Source: berkelmans2012 (damage to corals at 22 to 28 PSU over days)
SALT_STRESS, SALT_LOSSES = 2.0, 7.0


def harm_on_floor(litres: float) -> Harm:
    """How bad so many litres on the floor are."""
    return 3 if litres > ON_THE_FLOOR else 1 if litres > 0 else 0


def harm_of_salinity(change: float) -> Harm:
    """How bad a change of salinity within days is."""
    size = abs(change)
    return 3 if size >= SALT_LOSSES else 2 if size >= SALT_STRESS else 1 if size > 0.5 else 0


def reservoir_litres(rig: Rig) -> float:
    if rig.top_off is None:
        return 0.0
    if rig.top_off.longest_run is None:
        return rig.top_off.reservoir
    return min(rig.top_off.reservoir, rig.top_off.flow * rig.top_off.longest_run)
