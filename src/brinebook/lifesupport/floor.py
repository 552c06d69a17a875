"""What stands on the floor: masses, pressure on the footprint, loads of legs and runners.

An estimate to hand to a structural engineer, and never a verdict: whether a floor carries it hangs
on the span and the direction of its joists, on what lies under them, and on local code. Masses in
kg, lengths in m, forces in kN, pressures in kPa.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_GRAVITY = 9.80665
_PSF_IN_A_KPA = 20.885434

#: What a dwelling's floor is made to carry, as an average over a whole room: 40 psf. Not a limit
#: for a footprint. Source: irc2018 (table R301.5)
UNIFORM_LIVE_LOAD = 1.92

#: kg/m3 of what tanks are made of. Source: iso2007 (table 3; glass, acrylic)
DENSITY = MappingProxyType({"glass": 2500.0, "acrylic": 1180.0, "pvc": 1390.0, "wood": 600.0})


@dataclass(frozen=True, slots=True)
class FloorLoad:
    """The whole on its footprint, without the room's other load.

    ``leg`` is an even share and ``heaviest_leg`` what a corner carries if one of four hangs free
    (half the whole); ``runner`` is for a stand on two runners along its length, in kN/m.
    """

    masses: Mapping[str, float]
    mass: float
    force: float
    pressure: float
    pressure_psf: float
    of_uniform: float
    leg: float | None
    heaviest_leg: float | None
    leg_pressure: float | None
    runner: float


def tank_mass(
    length: float, width: float, height: float, *, wall: float, material: str = "glass"
) -> float:
    """Mass of an open box of five panes, kg; inner measures and pane thickness in m.

    Braces and trim are left out: a few per cent.
    """
    panes = 2.0 * (length + width + 2.0 * wall) * height + (length + 2.0 * wall) * (
        width + 2.0 * wall
    )
    return panes * wall * DENSITY[material]


def floor_load(
    masses: Mapping[str, float],
    *,
    length: float,
    width: float,
    legs: int | None = None,
    leg_area: float | None = None,
) -> FloorLoad:
    """Masses (kg) by part on a footprint of ``length`` by ``width``; ``leg_area`` m2 under one leg.

    Source: irc2018 (table R301.5, for the figure that it is held against)
    """
    mass = sum(masses.values())
    force = mass * _GRAVITY / 1000.0
    pressure = force / (length * width)
    leg = force / legs if legs else None
    return FloorLoad(
        masses=MappingProxyType(dict(masses)),
        mass=mass,
        force=force,
        pressure=pressure,
        pressure_psf=pressure * _PSF_IN_A_KPA,
        of_uniform=pressure / UNIFORM_LIVE_LOAD,
        leg=leg,
        heaviest_leg=force / 2.0 if legs and legs >= 4 else None,
        leg_pressure=leg / leg_area if leg is not None and leg_area else None,
        runner=force / (2.0 * length),
    )
