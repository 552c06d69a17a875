"""What the tank's vapour does to the flat: humidity of the room, and the pane where it drips.

Volumes in m3, air changes an hour, humidity as a fraction, temperatures in °C.
"""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.lifesupport.humid_air import (
    Air,
    dew_point,
    dry_air_density,
    humidity_of_ratio,
    humidity_ratio,
    saturation_pressure,
    vapour_pressure_of_ratio,
)
from brinebook.lifesupport.walls import FILM_SIDEWAYS

#: Humidity right at a surface from which mould may grow if it lasts for days.
#: Source: iso2012 (section 5)
MOULD_AT = 0.80


@dataclass(frozen=True, slots=True)
class RoomAir:
    """A room that gets vapour and fresh air, once it has settled; humidity may pass 1: it drips."""

    ratio: float
    humidity: float
    dew_point: float


def settled_room(
    outside: Air, temperature: float, *, vapour: float, volume: float, changes: float
) -> RoomAir:
    """The air of a flat of ``volume`` m3 in which ``vapour`` kg/h evaporate, ``changes`` an hour.

    Dry mass is counted at the flat's temperature and the outside air's moisture.
    Source: iso2012 (annex A), ashrae2017 (chapter 1)
    """
    ratio_outside = humidity_ratio(outside)
    density = dry_air_density(Air(temperature, _share(temperature, ratio_outside, outside)))
    ratio = ratio_outside + vapour / (density * volume * changes)
    humidity = humidity_of_ratio(temperature, ratio, pressure=outside.pressure)
    drips_at = dew_point(vapour_pressure_of_ratio(ratio, pressure=outside.pressure))
    return RoomAir(ratio, humidity, drips_at)


def humidity_added(room: Air, *, vapour: float, volume: float, changes: float) -> float:
    """By how much ``vapour`` kg/h raise the humidity of a room, as a fraction.

    Source: iso2012 (annex A), ashrae2017 (chapter 1)
    """
    ratio = humidity_ratio(room) + vapour / (dry_air_density(room) * volume * changes)
    return humidity_of_ratio(room.temperature, ratio, pressure=room.pressure) - room.humidity


def changes_for_humidity(
    outside: Air, temperature: float, *, vapour: float, volume: float, humidity: float
) -> float | None:
    """Air changes an hour that keep the flat at or under this humidity; None where none can."""
    limit = humidity_ratio(Air(temperature, humidity, outside.pressure))
    ratio_outside = humidity_ratio(outside)
    if limit <= ratio_outside:
        return None
    density = dry_air_density(Air(temperature, _share(temperature, ratio_outside, outside)))
    return vapour / (density * volume * (limit - ratio_outside))


def inner_surface_temperature(
    inside: float, outside: float, *, transmittance: float, film: float = FILM_SIDEWAYS
) -> float:
    """Temperature of the room's side of a wall or pane, °C; transmittance in W/m2/K.

    A pane of two sheets has about 2.8, a plain one 5.8, an insulated wall 0.3.
    Source: iso2017 (section 6), iso2012 (section 5)
    """
    return inside - transmittance * film * (inside - outside)


def humidity_at_surface(air_ratio: float, surface: float, *, pressure: float) -> float:
    """Humidity of the air right at a surface of this temperature; from 1 on it is wet.

    Source: iso2012 (section 5)
    """
    return vapour_pressure_of_ratio(air_ratio, pressure=pressure) / saturation_pressure(surface)


def _share(temperature: float, ratio: float, outside: Air) -> float:
    return min(humidity_of_ratio(temperature, ratio, pressure=outside.pressure), 1.0)
