"""The air of the stand: what evaporates into it, what a fan carries off, when it drips.

A balance of vapour: what the sump gives, less what the air that passes takes along, is what the air
gains, and at saturation what the walls catch. Volumes in L, flows of air in L/h, humidity as a
fraction, ratios in kilograms of vapour with a kilogram of dry air.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from brinebook.lifesupport.evaporation import (
    AS_WRITTEN,
    Surface,
    evaporation_carrier_1918,
    latent_heat,
    water_activity,
)
from brinebook.lifesupport.fluid import GRAVITY
from brinebook.lifesupport.humid_air import (
    Air,
    dew_point,
    dry_air_density,
    humidity_of_ratio,
    humidity_ratio,
    ratio_at_saturation,
    saturation_pressure,
    vapour_pressure_of_ratio,
)

#: Molar mass of water over that of dry air, as the handbook's relation between vapour pressure and
#: ratio has it. Source: ashrae2017 (chapter 1, eq. 20)
_RATIO_OF_MASSES = 0.621945

_LITRES = 1000.0  # in a cubic metre
_HOUR = 3600.0
_STEPS_A_PHASE = 24
_STEPS_A_CHANGE = 8.0  # in the time in which the air of the stand is renewed once
_CHANGES_TO_REST = 40.0  # after which e**-40 of a difference is left, less than the last digit
_MOST_CYCLES = 400

_Rates = Callable[[float], tuple[float, float]]  # ratio -> vapour given and carried off, kg/s


@dataclass(frozen=True, slots=True)
class Stand:
    """A cabinet around open water, in a room: its air, its leaks, the water in it.

    ``leak`` is the air that passes with every fan off. The cabinet's air is taken as mixed and of
    one temperature; its walls soak up nothing, which makes every swing look larger than it is.
    """

    volume: float  # L of air
    temperature: float  # of its air, °C
    surface: Surface
    water_temperature: float
    room: Air
    leak: float = 500.0
    salinity: float = 35.0
    factor: float = AS_WRITTEN


@dataclass(frozen=True, slots=True)
class StandAir:
    """The air of the stand at rest: humidity, dew point (°C), and the vapour's books in g/h."""

    ratio: float
    humidity: float
    dew_point: float
    evaporated: float
    carried: float
    condensed: float


#: Discharge of a plain opening, and how far apart openings lie in a stand where nobody says, m
#: (common practice, no source).
_DISCHARGE, _APART = 0.65, 0.3


def stack_flow(area: float, *, warmer_by: float, room_temperature: float) -> float:
    """Air in L/h that rises through a stand by its warmth, half of ``area`` (m2) below, half above.

    Q = Cd A sqrt(2 g h dT/T) through each half in turn. Still room, openings clear: a factor of two
    either way.
    Source: ashrae2017b (chapter 16, stack effect)
    """
    if area <= 0.0 or warmer_by <= 0.0:
        return 0.0
    warm = room_temperature + warmer_by + 273.15
    speed = math.sqrt(2.0 * GRAVITY * _APART * warmer_by / warm / 2.0)
    return _DISCHARGE * area / 2.0 * speed * _LITRES * _HOUR


def settled_air(stand: Stand, *, flow: float) -> StandAir:
    """The air of the stand once it has settled, with ``flow`` L/h passing in all, leaks included.

    The balance is a quadratic in the ratio, solved in closed form.
    Source: carrier1918, smith1998, ashrae2017 (chapter 1, eq. 20)
    """
    pressure = stand.room.pressure
    gives, over_water = _source(stand)
    ratio, most = (
        _settled_ratio(stand, flow),
        ratio_at_saturation(stand.temperature, pressure=pressure),
    )
    evaporated = gives * (over_water - _pressure(stand, ratio))
    carried = _carrying(stand, flow) * (ratio - humidity_ratio(stand.room))
    return StandAir(
        ratio,
        humidity_of_ratio(stand.temperature, ratio, pressure=pressure),
        dew_point(vapour_pressure_of_ratio(ratio, pressure=pressure)),
        evaporated * _HOUR * 1000.0,
        carried * _HOUR * 1000.0,
        (evaporated - carried) * _HOUR * 1000.0 if ratio == most else 0.0,
    )


def air_of_stand(stand: Stand, *, flow: float) -> Air:
    """The settled air of the stand, as air that water can evaporate into."""
    share = _pressure(stand, _settled_ratio(stand, flow)) / saturation_pressure(stand.temperature)
    return Air(stand.temperature, min(share, 1.0), stand.room.pressure)


def flow_for_ratio(stand: Stand, ratio: float) -> float | None:
    """Air that has to pass, leaks included, to keep the ratio down, L/h.

    None where the room's own air already holds as much, so that no fan can.
    """
    room = humidity_ratio(stand.room)
    if ratio <= room:
        return None
    gives, over_water = _source(stand)
    evaporated = gives * (over_water - _pressure(stand, ratio))
    return max(evaporated / (ratio - room), 0.0) / dry_air_density(stand.room) * _LITRES * _HOUR


def flow_for_humidity(stand: Stand, humidity: float) -> float | None:
    """Air that has to pass to keep the stand's humidity at or under this share, L/h or None."""
    limit = Air(stand.temperature, humidity, stand.room.pressure)
    return flow_for_ratio(stand, humidity_ratio(limit))


def flow_for_dry_wall(stand: Stand, wall: float) -> float | None:
    """Air that has to pass so that nothing condenses on a wall of this temperature, L/h or None."""
    return flow_for_ratio(stand, ratio_at_saturation(wall, pressure=stand.room.pressure))


@dataclass(frozen=True, slots=True)
class CycledAir:
    """The stand's air over one cycle of a fan, once every cycle is like the one before.

    ``saturated`` is the share of the time at which the air holds all it can. Masses of vapour are
    in g a cycle; ``kept`` is what the air holds more at its end, so the books close.
    """

    mean: float
    lowest: float
    highest: float
    saturated: float
    evaporated: float
    carried: float
    condensed: float
    kept: float
    highest_dew_point: float


def cycled_air(stand: Stand, *, fan: float, on: float, off: float) -> CycledAir:
    """What a fan of ``fan`` L/h does that runs ``on`` s and rests ``off`` s, again and again.

    Leaks pass all the time. The balance is followed by the method of Runge and Kutta until a cycle
    ends as it began, to 1e-12 of the ratio.
    Source: ashrae2017 (chapter 1), hairer1993 (chapter II.1, table 1.2)
    """
    ratio = settled_air(stand, flow=stand.leak + fan * on / (on + off)).ratio
    for _ in range(_MOST_CYCLES):
        run = _Run(ratio)
        _phase(run, stand, flow=stand.leak + fan, seconds=on)
        _phase(run, stand, flow=stand.leak, seconds=off)
        settled = abs(run.ratio - ratio) <= 1e-12
        started, ratio = ratio, run.ratio
        if settled:
            break
    pressure = stand.room.pressure

    def humidity(of: float) -> float:
        return humidity_of_ratio(stand.temperature, of, pressure=pressure)

    return CycledAir(
        mean=run.humid_seconds / run.seconds,
        lowest=humidity(run.lowest),
        highest=humidity(run.highest),
        saturated=run.saturated_seconds / run.seconds,
        evaporated=run.evaporated * 1000.0,
        carried=run.carried * 1000.0,
        condensed=run.condensed * 1000.0,
        kept=_dry_mass(stand) * (run.ratio - started) * 1000.0,
        highest_dew_point=dew_point(vapour_pressure_of_ratio(run.highest, pressure=pressure)),
    )


def least_duty(stand: Stand, *, fan: float, cycle: float, humidity: float) -> float | None:
    """The least share of a cycle of this length (s) that keeps the mean humidity at the limit.

    None where even the fan running without pause doesn't; 0 where the leaks alone do.
    """
    if settled_air(stand, flow=stand.leak).humidity <= humidity:
        return 0.0
    if settled_air(stand, flow=stand.leak + fan).humidity > humidity:
        return None
    low, high = 0.0, 1.0
    for _ in range(13):
        middle = (low + high) / 2.0
        run = cycled_air(stand, fan=fan, on=middle * cycle, off=(1.0 - middle) * cycle)
        if run.mean > humidity:
            low = middle
        else:
            high = middle
    return high


def sound_level_at_speed(level: float, share: float) -> float:
    """Sound level of a fan that turns at this share of its speed, dB; ``level`` is at full speed.

    Its flow goes with the same share.
    Source: bies2017 (fan noise, the law for speed)
    """
    return level + 50.0 * math.log10(share)


def mean_sound_level(level: float, share: float) -> float:
    """Mean level over time of a fan that runs at full speed for this share of it, dB.

    Source: bies2017 (equivalent continuous level)
    """
    return level + 10.0 * math.log10(share)


class _Run:
    """What a cycle has summed up so far: seconds, kilograms, ratios."""

    def __init__(self, ratio: float) -> None:
        self.ratio = self.lowest = self.highest = ratio
        self.seconds = self.humid_seconds = self.saturated_seconds = 0.0
        self.evaporated = self.carried = self.condensed = 0.0


def _phase(run: _Run, stand: Stand, *, flow: float, seconds: float) -> None:
    """Follow the air for so long with this flow passing."""
    if seconds <= 0.0:
        return
    gives, over_water = _source(stand)
    takes, room, mass = _carrying(stand, flow), humidity_ratio(stand.room), _dry_mass(stand)
    changes = (takes + gives * stand.room.pressure / 1000.0 / _RATIO_OF_MASSES) / mass  # 1/s
    # After forty changes of its air nothing moves any more: that tells the rest of the phase.
    moving = min(seconds, _CHANGES_TO_REST / changes) if changes > 0.0 else seconds
    steps = max(_STEPS_A_PHASE, math.ceil(moving * changes * _STEPS_A_CHANGE))
    step = moving / steps
    most = ratio_at_saturation(stand.temperature, pressure=stand.room.pressure)
    full = saturation_pressure(stand.temperature)

    def rates(ratio: float) -> tuple[float, float]:
        return gives * (over_water - _pressure(stand, ratio)), takes * (ratio - room)

    for _ in range(steps):
        before = run.ratio
        gained, lost = _runge_kutta(rates, before, mass=mass, step=step)
        after = before + (gained - lost) * step / mass
        caught = max(after - most, 0.0) * mass
        run.ratio = min(after, most)
        run.evaporated += gained * step
        run.carried += lost * step
        run.condensed += caught
        run.seconds += step
        humid = (_pressure(stand, before) + _pressure(stand, run.ratio)) / 2.0 / full
        run.humid_seconds += humid * step
        run.saturated_seconds += step if run.ratio == most else 0.0
        run.lowest, run.highest = min(run.lowest, run.ratio), max(run.highest, run.ratio)
    _rest(run, stand, rates, seconds=seconds - moving, most=most)


def _rest(run: _Run, stand: Stand, rates: _Rates, *, seconds: float, most: float) -> None:
    """The rest of a phase, in which the air stays as it is: what comes leaves, or condenses."""
    if seconds <= 0.0:
        return
    gained, lost = rates(run.ratio)
    is_full = run.ratio == most
    lost = min(lost, gained) if is_full else gained
    run.evaporated += gained * seconds
    run.carried += lost * seconds
    run.condensed += (gained - lost) * seconds
    run.seconds += seconds
    humid = _pressure(stand, run.ratio) / saturation_pressure(stand.temperature)
    run.humid_seconds += humid * seconds
    run.saturated_seconds += seconds if is_full else 0.0


def _runge_kutta(rates: _Rates, ratio: float, *, mass: float, step: float) -> tuple[float, float]:
    """Mean vapour gained and lost over a step, kg/s."""

    def ahead(flows: tuple[float, float], part: float) -> float:
        return ratio + (flows[0] - flows[1]) * part * step / mass

    first = rates(ratio)
    second = rates(ahead(first, 0.5))
    third = rates(ahead(second, 0.5))
    fourth = rates(ahead(third, 1.0))
    gained, lost = ((first[i] + 2.0 * second[i] + 2.0 * third[i] + fourth[i]) / 6.0 for i in (0, 1))
    return gained, lost


def _settled_ratio(stand: Stand, flow: float) -> float:
    gives, over_water = _source(stand)
    ratio = _balanced_ratio(
        stand,
        gives,
        over_water,
        takes=_carrying(stand, flow),
        room=humidity_ratio(stand.room),
    )
    return min(ratio, ratio_at_saturation(stand.temperature, pressure=stand.room.pressure))


def _source(stand: Stand) -> tuple[float, float]:
    """What the surface gives for each kPa of difference (kg/s), and the pressure over it (kPa)."""
    temperature = stand.water_temperature
    for_each = evaporation_carrier_1918(
        1.0, 0.0, air_speed=stand.surface.air_speed, latent=latent_heat(temperature)
    )
    open_area = stand.surface.area * stand.surface.open_share
    activity = water_activity(stand.salinity)
    return stand.factor * open_area * for_each, activity * saturation_pressure(temperature)


def _carrying(stand: Stand, flow: float) -> float:
    """Dry air that passes, kg/s, measured as it enters from the room."""
    return flow / _LITRES / _HOUR * dry_air_density(stand.room)


def _dry_mass(stand: Stand) -> float:
    return stand.volume / _LITRES * dry_air_density(stand.room)


def _pressure(stand: Stand, ratio: float) -> float:
    """Vapour pressure in kPa at this ratio; the handbook's relation, written out for speed."""
    return stand.room.pressure / 1000.0 * ratio / (_RATIO_OF_MASSES + ratio)


def _balanced_ratio(
    stand: Stand, gives: float, over_water: float, *, takes: float, room: float
) -> float:
    """Where gives (pw - p(W)) = takes (W - Wr), with p(W) = P W / (0.621945 + W)."""
    pressure = stand.room.pressure / 1000.0
    if takes <= 0.0:
        return _RATIO_OF_MASSES * over_water / (pressure - over_water)
    linear = takes * (_RATIO_OF_MASSES - room) - gives * (over_water - pressure)
    constant = -_RATIO_OF_MASSES * (takes * room + gives * over_water)
    return (-linear + math.sqrt(linear**2 - 4.0 * takes * constant)) / (2.0 * takes)
