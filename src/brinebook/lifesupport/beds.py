"""Grains in a reactor: face velocity, the pressure that the bed takes, when and how far it lifts.

Lengths in m, velocities in m/s of the empty chamber, pressures in kPa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from brinebook.lifesupport.fluid import GRAVITY, Fluid
from brinebook.lifesupport.weirs import where
from brinebook.rig import Bed

#: How a bed lies: still, its grains just moving, clearly lifted, or on its way out.
State = Literal["still", "just tumbling", "lifted", "carried out"]

#: Up to this much deeper than at rest a bed is said to tumble just so: common practice, no source.
_TUMBLES_UP_TO = 1.10


@dataclass(frozen=True, slots=True)
class BedFlow:
    """A bed at one flow."""

    face_velocity: float
    pressure: float
    lifts_at: float  # face velocity
    settles_at: float  # at which a single grain falls: faster water carries it out
    depth: float | None  # of the moving bed; None where nothing holds it
    state: State


def ergun_1952(velocity: float, bed: Bed, fluid: Fluid) -> float:
    """Pressure gradient of a bed at rest, Pa/m.

    Range void 0.36 to 0.6; some 25 % in practice, most of it from the void.
    Source: ergun1952
    """
    solid = 1.0 - bed.void
    size = bed.roundness * bed.grain
    viscous = 150.0 * fluid.density * fluid.viscosity * solid**2 * velocity
    inertial = 1.75 * fluid.density * solid * velocity**2
    return float(viscous / (bed.void**3 * size**2) + inertial / (bed.void**3 * size))


def lifting_velocity(bed: Bed, fluid: Fluid) -> float:
    """Face velocity at which the drag on the bed is its weight under water (Ergun's equation).

    Source: ergun1952
    """
    weight = (1.0 - bed.void) * (bed.density - fluid.density) * GRAVITY
    return where(lambda v: ergun_1952(v, bed, fluid), weight, 0.0, 5.0)


def settling_velocity_haider_levenspiel_1989(bed: Bed, fluid: Fluid) -> float:
    """Velocity at which one grain falls, m/s; Re below 25,000, roundness 0.5 to 1.

    Source: haider1989 (eq. 10)
    """
    phi = bed.roundness
    a = math.exp(2.3288 - 6.4581 * phi + 2.4486 * phi**2)
    b = 0.0964 + 0.5565 * phi
    c = math.exp(4.905 - 13.8944 * phi + 18.4222 * phi**2 - 10.2599 * phi**3)
    d = math.exp(1.4681 + 12.2584 * phi - 20.7322 * phi**2 + 15.8855 * phi**3)
    weight = 4 / 3 * bed.grain * (bed.density / fluid.density - 1.0) * GRAVITY

    def drag(velocity: float) -> float:
        reynolds = velocity * bed.grain / fluid.viscosity
        coefficient = 24.0 / reynolds * (1.0 + a * reynolds**b) + c / (1.0 + d / reynolds)
        return float(coefficient * velocity**2)

    return where(drag, weight, 1e-9, 10.0)


def richardson_zaki_1954(reynolds: float) -> float:
    """Exponent n of v/v_t = ε^n, by the Re of a single grain falling, walls far away.

    Source: richardson1954
    """
    if reynolds < 0.2:
        return 4.65
    if reynolds < 1.0:
        return float(4.35 * reynolds**-0.03)
    if reynolds < 500.0:
        return float(4.45 * reynolds**-0.1)
    return 2.39


def bed_flow(flow: float, bore: float, bed: Bed, fluid: Fluid) -> BedFlow:
    """How a bed lies in a chamber of this bore at a flow in m3/s, from below.

    What weighs no more than water has no bed to lift. The lifted depth is worth some 20 %.
    """
    velocity = flow / (math.pi * bore**2 / 4)
    if bed.density <= fluid.density:
        return BedFlow(velocity, 0.0, 0.0, 0.0, None, "carried out")
    lifts = lifting_velocity(bed, fluid)
    falls = settling_velocity_haider_levenspiel_1989(bed, fluid)
    weight = (1.0 - bed.void) * (bed.density - fluid.density) * GRAVITY * bed.depth / 1000.0
    if velocity < lifts:
        pressure = ergun_1952(velocity, bed, fluid) * bed.depth / 1000.0
        return BedFlow(velocity, pressure, lifts, falls, bed.depth, "still")
    exponent = richardson_zaki_1954(falls * bed.grain / fluid.viscosity)
    # Scaled so that the law and Ergun's agree on where the bed begins to lift.
    void = bed.void * (velocity / lifts) ** (1.0 / exponent)
    if velocity >= falls or void >= 0.98:
        return BedFlow(velocity, weight, lifts, falls, None, "carried out")
    depth = bed.depth * (1.0 - bed.void) / (1.0 - void)
    state: State = "just tumbling" if depth <= _TUMBLES_UP_TO * bed.depth else "lifted"
    return BedFlow(velocity, weight, lifts, falls, depth, state)
