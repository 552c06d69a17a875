"""The described rig on the floor: its masses, and what a structural engineer asks first."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.lifesupport.floor import FloorLoad, floor_load, tank_mass
from brinebook.lifesupport.heat_model import litres_of
from brinebook.rig import Floor, Rig
from brinebook.texts import say
from brinebook.water.salinity import kilograms_per_litre

#: How far masses that were not weighed may lie off (common practice, no source).
GUESSED_OFF = 0.15


@dataclass(frozen=True, slots=True)
class FloorAnswer:
    """The load as described, and with every mass at its low and at its high end."""

    length: float
    width: float
    load: FloorLoad
    low: FloorLoad
    high: FloorLoad
    uncounted: tuple[str, ...]  # masses that the description doesn't tell


def floor_answer(rig: Rig, litres: float, *, litres_sd: float) -> FloorAnswer | None:
    """What presses on the floor; None without a footprint.

    The water counts with two standard deviations of its volume either way, everything else with
    15 %, and containers of top-off and dosing as if they were full.
    """
    floor = rig.floor or Floor()
    display = rig.vessel("display")
    length = floor.length or (display.length if display else None)
    width = floor.width or (display.width if display else None)
    if not length or not width:
        return None

    def of(side: float) -> FloorLoad:
        off = 1.0 + side * GUESSED_OFF
        masses = {name: mass * off for name, mass in _dry_masses(rig, floor).items()}
        masses["water"] = max(litres + 2.0 * side * litres_sd, 0.0) * kilograms_per_litre(
            rig.salinity, rig.temperature
        )
        masses["containers, full"] = _containers(rig)
        return floor_load(
            masses, length=length, width=width, legs=floor.legs, leg_area=floor.leg_area
        )

    return FloorAnswer(length, width, of(0.0), of(-1.0), of(1.0), _uncounted(rig, floor))


def _dry_masses(rig: Rig, floor: Floor) -> dict[str, float]:
    """Masses by part in kg; the noun has grams."""
    glass = (
        floor.glass / 1000.0
        if floor.glass is not None
        else sum(
            tank_mass(one.length, one.width, one.height, wall=one.wall, material=one.material)
            for one in rig.vessels
        )
    )
    return {
        "glass": glass,
        "stand": floor.stand / 1000.0,
        "rock": floor.rock / 1000.0,
        "sand": floor.sand / 1000.0,
        "gear": floor.gear / 1000.0,
    }


def _containers(rig: Rig) -> float:
    fresh = rig.top_off.reservoir if rig.top_off else 0.0
    return fresh + sum(doser.container for doser in rig.dosers)


def _uncounted(rig: Rig, floor: Floor) -> tuple[str, ...]:
    told = [("rock", floor.rock), ("sand", floor.sand)]
    missing = [name for name, mass in told if not mass]
    if any(litres_of(one) is None for one in rig.vessels):
        missing.append(say("depths of the water"))
    return tuple(missing)
