"""From the described rig to the body of water that the heat balance is about, and its room.

Three bodies: one that loses little, one in the middle, one that loses much, as far as published
evaporation and film coefficients lie apart. What the keeper measured narrows them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from brinebook.lifesupport.cabinet import Stand, air_of_stand, stack_flow
from brinebook.lifesupport.evaporation import (
    SECONDS_A_DAY,
    FactorRange,
    Surface,
    factor_range,
)
from brinebook.lifesupport.heat import (
    Body,
    Enclosed,
    capacity_of,
    specific_heat_teos_2010,
    vapour_leaving,
)
from brinebook.lifesupport.humid_air import Air, pressure_at_height
from brinebook.lifesupport.ranges import Range, spread
from brinebook.lifesupport.walls import (
    CONDUCTIVITY,
    FILM_DOWN,
    FILM_SIDEWAYS,
    FILM_UP,
    pipe_conductance,
    transmittance_iso_2017,
)
from brinebook.rig import Cabinet, Fan, Rig, Room, Vessel
from brinebook.water.salinity import kilograms_per_litre

#: A room of which nothing is said (common practice, no source): means of January and July.
_COLD_MONTH, _WARM_MONTH = Air(20.0, 0.40), Air(24.0, 0.55)

#: How far walls and films may lie off their standard, either way; and how far a keeper's own
#: litres of top-off or watts for each kelvin may (common practice, no source).
_WALLS_OFF, _LITRES_OFF = 0.15, 0.15

#: Resistances of what stands under and around glass: 20 mm of board, a shell of 18 mm of wood with
#: air on its inside, the still air under a lid. Source: iso2017 (tables 7 and 8), iso2007 (table 3)
_BOARD_BELOW = 0.020 / CONDUCTIVITY["wood"]
_SHELL = FILM_SIDEWAYS + 0.018 / CONDUCTIVITY["wood"]
_UNDER_LID = 0.16
_INSULATED = 0.030 / CONDUCTIVITY["foam"]

#: A lid never closes wholly: this much of the surface stays open (common practice, no source).
LEAST_OPEN = 0.05
#: What a lid with the usual gaps leaves open (common practice, no source).
USUAL_LID = 0.25
#: By how much the air of a stand is warmer than its room (common practice, no source).
_STAND_WARMER = 2.0
#: Beyond this the keeper's litres can't all be evaporation.
_HIGHEST_FACTOR = 10.0
_PIPE_WALL = 0.003  # m
_PIPE_ROOM = 21.0  # °C; what a metre of pipe loses hardly depends on it


@dataclass(frozen=True, slots=True)
class Bodies:
    """The same water three times: losing little, in the middle, losing much."""

    little: Body
    middle: Body
    much: Body

    def each(self) -> tuple[Body, Body, Body]:
        """Little, middle, much."""
        return self.little, self.middle, self.much


def room_of(rig: Rig) -> Room:
    """The described room, or one of which nothing is said."""
    if rig.room is not None:
        return rig.room
    months = [_guessed_month(month) for month in range(12)]
    return Room(
        temperature=tuple(air.temperature for air in months),
        humidity=tuple(air.humidity for air in months),
    )


def months_of(rig: Rig) -> tuple[Air, ...]:
    """The room's air by month, January first, at the pressure of its height."""
    room = room_of(rig)
    pressure = pressure_at_height(room.altitude)
    return tuple(
        Air(temperature, humidity, pressure)
        for temperature, humidity in zip(room.temperature, room.humidity, strict=True)
    )


def coldest_air(rig: Rig) -> Air:
    """The room's air in a cold spell: as described, else that of the coldest month."""
    coldest = min(months_of(rig), key=lambda air: air.temperature)
    room = room_of(rig)
    if room.coldest is None or room.coldest >= coldest.temperature:
        return coldest
    return replace(coldest, temperature=room.coldest)


def steady_gains(rig: Rig) -> Mapping[str, float]:
    """Heat that pumps put into the water by name, W; those without a power are left out."""
    return {
        pump.name: pump.power * pump.heat_to_water
        for pump in rig.pumps
        if pump.power is not None and pump.role != "air"
    }


def lamp_gain(rig: Rig) -> float:
    """Heat that lamps put into the water, W on the mean of the day."""
    return sum(lamp.power * lamp.heat_to_water * lamp.hours / 24.0 for lamp in rig.lamps)


def mean_gains(rig: Rig) -> float:
    """All heat that comes in without a heater, W on the mean of the day."""
    return sum(steady_gains(rig).values()) + lamp_gain(rig)


def exhaust_flow(rig: Rig) -> float:
    """Air that the exhaust fans move out of the stand on the mean, L/h."""
    return sum(fan.flow * duty_of(fan) for fan in rig.fans if fan.kind == "exhaust")


def duty_of(fan: Fan) -> float:
    """The share of the time that a fan runs by its timer; 1 without one."""
    if not fan.on_seconds or not fan.off_seconds:
        return 1.0
    return fan.on_seconds / (fan.on_seconds + fan.off_seconds)


def stand_temperature(cabinet: Cabinet, room: Air) -> float:
    """Temperature of the stand's air, °C: as measured, else a little above the room's."""
    return room.temperature + _STAND_WARMER if cabinet.temperature is None else cabinet.temperature


def sump_surfaces(rig: Rig) -> tuple[Surface, ...]:
    """The surfaces of everything but the display, lids counted."""
    return tuple(_surface(one, 0.0) for one in rig.vessels if one.role != "display")


def stand_of(rig: Rig, *, room: Air, water: float, factor: float) -> Stand | None:
    """The air of the stand over the sump; None where no cabinet or no sump is described."""
    surfaces = sump_surfaces(rig)
    if rig.cabinet is None or not surfaces:
        return None
    area = sum(surface.area * surface.open_share for surface in surfaces)
    return _stand(
        rig.cabinet,
        Surface(area),
        room=room,
        water=water,
        salinity=rig.salinity,
        factor=factor,
    )


def factors_of(rig: Rig, *, air: Air) -> FactorRange:
    """How far evaporation may lie from the formula: the keeper's litres, else what is published.

    ``air`` is the room's while those litres evaporated.
    """
    if not rig.vessels:
        return FactorRange(1.0, 1.0, 1.0)
    own = None if rig.evaporation is None else _own_factor(rig, rig.evaporation, air)
    if own is not None:
        return FactorRange(own * (1 - _LITRES_OFF), own, own * (1 + _LITRES_OFF))
    surfaces = tuple(
        _surface(one, rig.air_speed if one.role == "display" else 0.0) for one in rig.vessels
    )
    return factor_range(surfaces, rig.temperature, air=air, salinity=rig.salinity)


def _own_factor(rig: Rig, litres_a_day: float, air: Air) -> float | None:
    """The factor at which the formula gives these litres, a closed stand counted; else None."""

    def litres(factor: float) -> float:
        surfaces, enclosed = _waters(rig, factor)
        bare = Body(1.0, {}, surfaces, enclosed, rig.salinity, factor)
        return vapour_leaving(bare, rig.temperature, air=air) * SECONDS_A_DAY

    low, high = 0.0, _HIGHEST_FACTOR
    if litres(high) < litres_a_day:
        return None
    for _ in range(40):
        middle = (low + high) / 2.0
        if litres(middle) < litres_a_day:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def bodies_of(rig: Rig, litres: float, *, factors: FactorRange) -> Bodies:
    """The water of the rig as bodies that lose heat; ``litres`` is the net volume.

    ``factors`` are those of ``factors_of`` for the whole rig, at the air in which the keeper's own
    litres were read: they hold in any other air too.
    Source: iso2017 (walls), ioc2010 (density, specific heat)
    """
    off = _LITRES_OFF if rig.heat_loss is not None else _WALLS_OFF
    dry = _conductances(rig)
    little, middle, much = (
        _body(rig, litres, dry=dry, scale=scale, factor=factor)
        for scale, factor in (
            (1.0 - off, factors.low),
            (1.0, factors.middle),
            (1.0 + off, factors.high),
        )
    )
    return Bodies(little, middle, much)


def range_over(bodies: Bodies, of: Callable[[Body], float]) -> Range:
    """A function of a body taken at all three."""
    return spread(of(body) for body in bodies.each())


def display_only(rig: Rig) -> Rig:
    """The rig when nothing moves: the display alone, cut off from what lies below."""
    display = rig.vessel("display")
    if display is None:
        return rig
    alone = replace(rig, vessels=(display,), pipes=(), drains=(), cabinet=None)
    if rig.heat_loss is None:
        return alone
    # A loss that was measured on the whole is shared as the measures would share it.
    whole = sum(_conductances(replace(rig, heat_loss=None)).values())
    part = sum(_conductances(replace(alone, heat_loss=None)).values()) / whole
    return replace(alone, heat_loss=rig.heat_loss * part)


def litres_of(vessel: Vessel) -> float | None:
    """Water in a vessel by its measures, less what is displaced, L; None without its depth."""
    if vessel.water is None:
        return None
    return max(vessel.surface * vessel.water * 1000.0 - vessel.displaced, 0.0)


def display_share(rig: Rig) -> float | None:
    """The display's part of all the water by the vessels' measures.

    None where one is missing, or where the display is described as empty.
    """
    display = rig.vessel("display")
    volumes = [litres_of(one) for one in rig.vessels]
    own = litres_of(display) if display is not None else None
    if not own or any(volume is None for volume in volumes):
        return None
    total = sum(volume for volume in volumes if volume is not None)
    return own / total if total > 0.0 else None


def _body(
    rig: Rig, litres: float, *, dry: Mapping[str, float], scale: float, factor: float
) -> Body:
    surfaces, enclosed = _waters(rig, factor)
    return Body(
        capacity=capacity_of(
            litres,
            kilograms_per_litre=kilograms_per_litre(rig.salinity, rig.temperature),
            specific_heat=specific_heat_teos_2010(rig.salinity, rig.temperature),
        ),
        conductances={name: value * scale for name, value in dry.items()},
        surfaces=surfaces,
        enclosed=enclosed,
        salinity=rig.salinity,
        factor=factor,
    )


def _waters(rig: Rig, factor: float) -> tuple[tuple[Surface, ...], tuple[Enclosed, ...]]:
    """Surfaces under the room's air, the display's first, and those under the stand's own."""
    display = tuple(_surface(one, rig.air_speed) for one in rig.vessels if one.role == "display")
    below = sump_surfaces(rig)
    if rig.cabinet is None or not below:
        return (*display, *below), ()
    under = Surface(sum(one.area * one.open_share for one in below))
    air = _AirBelow(rig.cabinet, under, rig.salinity, factor, exhaust_flow(rig))
    return display, (Enclosed(under, air),)


@dataclass(frozen=True, slots=True)
class _AirBelow:
    """The stand's settled air, from the temperature of the water and the air of the room."""

    cabinet: Cabinet
    surface: Surface
    salinity: float
    factor: float
    exhaust: float

    def __call__(self, water: float, room: Air) -> Air:
        stand = _stand(
            self.cabinet,
            self.surface,
            room=room,
            water=water,
            salinity=self.salinity,
            factor=self.factor,
        )
        return air_of_stand(stand, flow=stand.leak + self.exhaust)


def _stand(
    cabinet: Cabinet,
    surface: Surface,
    *,
    room: Air,
    water: float,
    salinity: float,
    factor: float,
) -> Stand:
    temperature = stand_temperature(cabinet, room)
    rises = stack_flow(
        cabinet.openings,
        warmer_by=temperature - room.temperature,
        room_temperature=room.temperature,
    )
    return Stand(
        volume=cabinet.volume,
        temperature=temperature,
        surface=surface,
        water_temperature=water,
        room=room,
        leak=cabinet.leak + rises,
        salinity=salinity,
        factor=factor,
    )


def _surface(vessel: Vessel, air_speed: float) -> Surface:
    return Surface(vessel.surface, air_speed, max(1.0 - vessel.lid, LEAST_OPEN))


def _conductances(rig: Rig) -> dict[str, float]:
    """Dry ways out by name, W/K: as the keeper measured them, else from the measures."""
    if rig.heat_loss is not None:
        return {"walls, surface and pipes": rig.heat_loss}
    ways = {"glass": 0.0, "surface": 0.0, "pipes": 0.0}
    for vessel in rig.vessels:
        shell = _SHELL if rig.cabinet is not None and vessel.role != "display" else 0.0
        ways["glass"] += _walls(vessel, shell=shell)
        ways["surface"] += _dry_surface(vessel, shell=shell)
    runs = [(pipe.bore, pipe.length) for pipe in rig.pipes]
    runs += [(drain.bore, drain.length) for drain in rig.drains]
    ways["pipes"] = sum(
        length
        * pipe_conductance(
            bore, _PIPE_WALL, water_temperature=rig.temperature, air_temperature=_PIPE_ROOM
        )
        for bore, length in runs
    )
    return ways


def _walls(vessel: Vessel, *, shell: float) -> float:
    depth = vessel.height if vessel.water is None else vessel.water
    sides = 2.0 * (vessel.length + vessel.width) * depth
    conductivity = CONDUCTIVITY[vessel.material]

    def through(film: float, more: float) -> float:
        return transmittance_iso_2017(vessel.wall, conductivity, film=film, insulation=more)

    bare = through(FILM_SIDEWAYS, shell)
    covered = through(FILM_SIDEWAYS, shell + _INSULATED)
    below = through(FILM_DOWN, _BOARD_BELOW) * vessel.length * vessel.width
    return sides * (bare * (1.0 - vessel.insulated) + covered * vessel.insulated) + below


def _dry_surface(vessel: Vessel, *, shell: float) -> float:
    bare = 1.0 / (FILM_UP + shell)
    lidded = 1.0 / (FILM_UP + _UNDER_LID + shell)
    return vessel.surface * (bare * (1.0 - vessel.lid) + lidded * vessel.lid)


def _guessed_month(month: int) -> Air:
    """Between January (0) and July (6), once up and down a year."""
    part = (1.0 + math.cos(2.0 * math.pi * month / 12.0)) / 2.0
    cold, warm = _COLD_MONTH, _WARM_MONTH
    return Air(
        warm.temperature + (cold.temperature - warm.temperature) * part,
        warm.humidity + (cold.humidity - warm.humidity) * part,
    )
