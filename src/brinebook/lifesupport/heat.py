"""Where the warmth of the water goes, and what holds it: losses, gains, power needed, end points.

Temperatures in °C, powers in W, conductances in W/K, heat capacity in kJ/K. The water is one body
of one temperature: true while pumps move it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from brinebook.lifesupport.evaporation import (
    AS_WRITTEN,
    SECONDS_A_DAY,
    Surface,
    evaporation,
    latent_heat,
)
from brinebook.lifesupport.humid_air import Air

_COLDEST, _HOTTEST = -5.0, 95.0
_HALVINGS = 60
_ICE_AT, _BOILS_AT = -20.0, 100.0


@dataclass(frozen=True, slots=True)
class Body:
    """A body of water that loses heat to a room.

    ``conductances`` name the dry ways out (walls, surface, pipes) in W/K; ``surfaces`` are those
    that evaporate into the room's air, ``enclosed`` those that evaporate into air of their own.
    """

    capacity: float  # kJ/K
    conductances: Mapping[str, float]
    surfaces: tuple[Surface, ...] = ()
    enclosed: tuple[Enclosed, ...] = ()
    salinity: float = 35.0
    factor: float = AS_WRITTEN

    @property
    def conductance(self) -> float:
        """All dry ways out together, W/K."""
        return sum(self.conductances.values())


@dataclass(frozen=True, slots=True)
class Enclosed:
    """A surface under a stand: from the water's temperature and the room's air to its own air."""

    surface: Surface
    air: Callable[[float, Air], Air]


@dataclass(frozen=True, slots=True)
class Losses:
    """What leaves the water now: W by way, and the litres that go with the vapour."""

    by_way: Mapping[str, float]
    litres_a_day: float

    @property
    def total(self) -> float:
        """All ways together, W."""
        return sum(self.by_way.values())


def capacity_of(litres: float, *, kilograms_per_litre: float, specific_heat: float) -> float:
    """Heat that a kelvin costs, kJ/K; specific heat in kJ/kg/K (3.999 at 35 PSU and 25 °C)."""
    return litres * kilograms_per_litre * specific_heat


def specific_heat_teos_2010(salinity: float, temperature: float) -> float:
    """Specific heat of seawater in kJ/kg/K; 0 to 42 PSU, 0 to 40 °C.

    Source: ioc2010 (by the gsw library), millero2008 (section 4)
    """
    import gsw

    from brinebook.water.salinity import REFERENCE_SALINITY_PER_PSU

    absolute = salinity * REFERENCE_SALINITY_PER_PSU
    return float(gsw.cp_t_exact(absolute, temperature, 0.0)) / 1000.0


def vapour_leaving(body: Body, temperature: float, *, air: Air) -> float:
    """Water that evaporates from all surfaces, kg/s; negative where the air rains on them.

    Beyond freezing and boiling, where a course of a heater too big for its water may go, the
    vapour is that of the nearer end.
    """
    temperature = min(max(temperature, _ICE_AT), _BOILS_AT)
    open_water = sum(
        evaporation(surface, temperature, air=air, salinity=body.salinity, factor=body.factor)
        for surface in body.surfaces
    )
    return open_water + sum(
        evaporation(
            one.surface,
            temperature,
            air=one.air(temperature, air),
            salinity=body.salinity,
            factor=body.factor,
        )
        for one in body.enclosed
    )


def losses(body: Body, temperature: float, *, air: Air) -> Losses:
    """What the water loses to the room by each way; a negative number warms it.

    Source: iso2017 (dry ways), carrier1918, smith1998 (evaporation)
    """
    warmer = temperature - air.temperature
    vapour = vapour_leaving(body, temperature, air=air)
    by_way = {name: conductance * warmer for name, conductance in body.conductances.items()}
    by_way["evaporation"] = vapour * latent_heat(temperature) * 1000.0
    return Losses(MappingProxyType(by_way), vapour * SECONDS_A_DAY)


def power_needed(body: Body, temperature: float, *, air: Air, gains: float) -> float:
    """Heating that holds the temperature, W; negative where cooling is needed instead."""
    return losses(body, temperature, air=air).total - gains


def settled_temperature(body: Body, *, air: Air, heat: float) -> float:
    """Where the water ends if this much heat (W) goes in for good, °C.

    Every way out grows with the temperature, so there is one such point; it is found between -5
    and 95 °C to 1e-9 K.
    """
    low, high = _COLDEST, _HOTTEST
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if losses(body, middle, air=air).total < heat:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def time_constant(body: Body, temperature: float, *, air: Air) -> float:
    """Hours in which a small difference falls to 37 %, evaporation's own slope included.

    Infinite where nothing leads heat away.
    """
    step = 0.01
    steeper = losses(body, temperature + step, air=air).total
    flatter = losses(body, temperature - step, air=air).total
    slope = (steeper - flatter) / (2.0 * step)
    return body.capacity * 1000.0 / slope / 3600.0 if slope > 0.0 else float("inf")


def with_lid(body: Body, *, open_share: float) -> Body:
    """The same water with a lid on every surface that the room sees, which leaves this share open.

    A surface that is covered more already stays as it is.
    """
    return replace(
        body,
        surfaces=tuple(
            replace(surface, open_share=min(surface.open_share, open_share))
            for surface in body.surfaces
        ),
    )


def with_air_speed(body: Body, air_speed: float) -> Body:
    """The same water with a fan that moves air at least this fast (m/s) over the first surface."""
    if not body.surfaces:
        return body
    first = body.surfaces[0]
    blown = replace(first, air_speed=max(first.air_speed, air_speed))
    return replace(body, surfaces=(blown, *body.surfaces[1:]))


def mixed_temperature(
    litres: float, temperature: float, *, added_litres: float, added_temperature: float
) -> float:
    """The temperature after so much of the water was swapped for other water, °C.

    Both are of the same salinity, so of the same heat capacity by the litre to 0.3 %.
    """
    kept = litres - added_litres
    return (kept * temperature + added_litres * added_temperature) / litres


#: Heat that ice takes up as it melts, and as it warms from the freezer: kJ/kg, kJ/kg/K. Liquid
#: water from there on. Source: ioc2010 (by the gsw library, at 0 °C)
_MELTING, _ICE, _WATER = 333.4, 2.05, 4.19


def ice_cooling(kilograms: float, *, from_temperature: float, water_temperature: float) -> float:
    """Heat that closed bottles of fresh ice take out of the water in the end, kJ.

    Source: ioc2010 (melting enthalpy and specific heats of ice and water)
    """
    warmed = _WATER * max(water_temperature, 0.0)
    return kilograms * (_ICE * max(-from_temperature, 0.0) + _MELTING + warmed)
