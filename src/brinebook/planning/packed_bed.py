"""Water through a bed of grains, or past a bag of them: contact time, face velocity, resistance."""

from __future__ import annotations

import math

#: Share of a bed that is water between the grains (common practice, no source).
VOIDS = 0.40

#: Mass of a litre of bed as poured, kg (granular carbon 0.4 to 0.5, ferric hydroxide about 0.6 when
#: drained: common practice, no source; weigh a jug of your own).
BULK_CARBON = 0.45
BULK_FERRIC = 0.60


def contact_minutes(bed_litres: float, flow: float) -> float:
    """Empty-bed contact time in minutes: volume of the bed over the flow (L/h)."""
    return bed_litres / flow * 60.0


def face_velocity(flow: float, across: float) -> float:
    """Velocity in front of a round bed, m/h: flow in L/h over its face, ``across`` in m."""
    return flow / 1000.0 / (math.pi / 4.0 * across**2)


def bed_depth(bed_litres: float, across: float) -> float:
    """Depth in m of a round bed of that width (m)."""
    return bed_litres / 1000.0 / (math.pi / 4.0 * across**2)


def pressure_gradient_ergun_1952(
    velocity: float,
    grain: float,
    *,
    voids: float = VOIDS,
    density: float = 1023.3,
    viscosity: float = 0.964e-3,
) -> float:
    """Pressure lost in a metre of packed grains, Pa/m.

    ``velocity`` in front of the bed in m/s, ``grain`` diameter in m, density in kg/m³ and viscosity
    in Pa s (of sea water of 35 PSU at 25 °C). Round grains, bed at least ten grains wide; good to
    about a quarter.
    Source: ergun1952
    """
    viscous = 150.0 * viscosity * (1.0 - voids) ** 2 / (voids**3 * grain**2)
    inertial = 1.75 * density * (1.0 - voids) / (voids**3 * grain)
    return viscous * velocity + inertial * velocity**2


def velocity_by_pressure(
    gradient: float,
    grain: float,
    *,
    voids: float = VOIDS,
    density: float = 1023.3,
    viscosity: float = 0.964e-3,
) -> float:
    """Velocity (m/s) that a pressure gradient (Pa/m) drives through packed grains: the inverse.

    Source: ergun1952
    """
    viscous = 150.0 * viscosity * (1.0 - voids) ** 2 / (voids**3 * grain**2)
    inertial = 1.75 * density * (1.0 - voids) / (voids**3 * grain)
    return (math.sqrt(viscous**2 + 4.0 * inertial * gradient) - viscous) / (2.0 * inertial)


def flow_through_bag(
    *,
    current: float,
    across: float,
    thick: float,
    grain: float,
    voids: float = VOIDS,
    density: float = 1023.3,
) -> float:
    """Flow (L/h) that a current (m/s) pushes through a round bag lying in it, at the most.

    The whole stagnation pressure rho u²/2 is taken to act over the thickness (m) of the bag, as if
    nothing could go round it; most water does. ``across`` and ``grain`` in m.
    Source: ergun1952
    """
    pressure = 0.5 * density * current**2
    velocity = velocity_by_pressure(pressure / thick, grain, voids=voids, density=density)
    return velocity * math.pi / 4.0 * across**2 * 3.6e6
