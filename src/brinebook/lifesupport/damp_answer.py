"""What the described rig's vapour does: in the stand by its fan, in the flat by its airing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brinebook.lifesupport.cabinet import (
    CycledAir,
    Stand,
    StandAir,
    cycled_air,
    flow_for_humidity,
    least_duty,
    mean_sound_level,
    settled_air,
    sound_level_at_speed,
)
from brinebook.lifesupport.damp import MOULD_AT, humidity_added, humidity_at_surface
from brinebook.lifesupport.evaporation import FactorRange
from brinebook.lifesupport.heat import losses
from brinebook.lifesupport.heat_model import (
    bodies_of,
    exhaust_flow,
    factors_of,
    months_of,
    room_of,
    stand_of,
)
from brinebook.lifesupport.humid_air import Air, humidity_of_ratio, humidity_ratio
from brinebook.lifesupport.ranges import Range, spread
from brinebook.rig import Fan, Rig

#: Lengths of a cycle for which the least duty is shown, s.
CYCLES = (120.0, 600.0, 1800.0, 5400.0)
#: Small fans stand still when slowed further than to this share (common practice, no source).
SLOWEST = 0.3


@dataclass(frozen=True, slots=True)
class FanAir:
    """One exhaust fan by its own timer: the stand's air, from little to much evaporation.

    ``cycle`` has the books of the middle; None where the fan never rests.
    """

    fan: str
    flow: float
    on: float | None
    off: float | None
    mean: Range
    highest: Range
    saturated: Range
    cycle: CycledAir | None
    mean_sound: float | None


@dataclass(frozen=True, slots=True)
class LeastFan:
    """The least that keeps a limit: air without pause (L/h), and the share of cycles by length.

    ``flow`` is None where no fan can in that room; a share is None where this fan can't, running
    all the time. ``sound`` is the level of the fan slowed down to that flow; at full speed it is
    ``full_sound``, whatever its duty. ``noise_limit`` is the keeper's.
    """

    limit: str  # "humidity" or "coldest wall"
    room: Air
    flow: Range | None
    by_fan: float | None  # what a fan has to move of it, middle, leaks taken off
    speed: float | None  # the share of the rig's own fan that this is
    sound: float | None
    full_sound: float | None
    noise_limit: float | None
    duties: tuple[tuple[float, float | None], ...]  # (cycle in s, share)


@dataclass(frozen=True, slots=True)
class StandDamp:
    """The stand in one room: fans off, each fan as it runs, and the least that would do."""

    month: int
    room: Air
    temperature: float
    fans_off: StandAir
    as_set: StandAir | None
    fans: tuple[FanAir, ...]
    least: tuple[LeastFan, ...]
    coldest_wall: float | None
    drips: bool | None  # whether its dew point passes the coldest wall's, fans as set


@dataclass(frozen=True, slots=True)
class FlatDamp:
    """The flat in one month, as its humidity is measured with the tank in it.

    ``from_tank`` is how much of that humidity the tank adds (a share of saturation), ``without``
    what would be left; at the coldest pane 1 is wet, and mould may grow from 0.8 on.
    ``changes_needed`` air changes an hour keep the pane under that; None where airing can't, or
    where the air outside or the pane isn't described.
    """

    month: int
    room: Air
    litres_a_day: Range
    from_tank: Range
    without: Range
    pane: float | None
    at_pane: float | None
    at_pane_without: Range | None
    changes: float
    changes_needed: float | None


@dataclass(frozen=True, slots=True)
class DampAnswer:
    """Stand and flat, each in the month that is asked for and in the worst one."""

    stands: tuple[StandDamp, ...]
    flats: tuple[FlatDamp, ...]
    humidity_limit: float | None
    mould_at: float = MOULD_AT


def damp_answer(rig: Rig, litres: float, *, month: int) -> DampAnswer:
    """The damp of the rig, for ``month`` (1 to 12), the dampest and the coldest."""
    months = months_of(rig)
    factors = factors_of(rig, air=months[month - 1])
    ratios = [humidity_ratio(air) for air in months]
    dampest = ratios.index(max(ratios)) + 1
    coldest = min(range(12), key=lambda index: months[index].temperature) + 1
    stands = (
        stand_damp(rig, months[one - 1], month=one, factors=factors)
        for one in _that_differ(months, (month, dampest, coldest))
    )
    flats = (
        flat_damp(rig, litres, months[one - 1], month=one, factors=factors)
        for one in _that_differ(months, (month, coldest))
    )
    return DampAnswer(
        stands=tuple(stand for stand in stands if stand is not None),
        flats=tuple(flat for flat in flats if flat is not None),
        humidity_limit=rig.cabinet.humidity_limit if rig.cabinet else None,
    )


def _that_differ(months: Sequence[Air], wanted: tuple[int, ...]) -> tuple[int, ...]:
    """The wanted months, but those whose air stood for an earlier one already."""
    first: dict[Air, int] = {}
    for month in wanted:
        first.setdefault(months[month - 1], month)
    return tuple(first.values())


def stand_damp(rig: Rig, air: Air, *, month: int, factors: FactorRange) -> StandDamp | None:
    """The stand's air in this room; None where no cabinet or no sump is described."""
    stands = _stands(rig, air, factors)
    if stands is None or rig.cabinet is None:
        return None
    middle = stands[1]
    exhaust = [fan for fan in rig.fans if fan.kind == "exhaust"]
    fans = tuple(fan_air(stands, fan) for fan in exhaust)
    wall = rig.cabinet.coldest_wall
    off = settled_air(middle, flow=middle.leak)
    as_set = settled_air(middle, flow=middle.leak + exhaust_flow(rig)) if exhaust else None
    dews = [fan.cycle.highest_dew_point for fan in fans if fan.cycle is not None]
    dew = max([*dews, (as_set or off).dew_point])
    return StandDamp(
        month=month,
        room=air,
        temperature=middle.temperature,
        fans_off=off,
        as_set=as_set,
        fans=fans,
        least=_least(rig, stands, exhaust[0] if exhaust else None),
        coldest_wall=wall,
        drips=None if wall is None else dew > wall,
    )


def fan_air(stands: tuple[Stand, Stand, Stand], fan: Fan) -> FanAir:
    """The stand's air with one exhaust fan that runs by its timer."""
    on, off = fan.on_seconds, fan.off_seconds
    sound = fan.noise
    if not on or not off:
        settled = [settled_air(one, flow=one.leak + fan.flow) for one in stands]
        air = spread(one.humidity for one in settled)
        full = spread(1.0 if one.condensed > 0.0 else 0.0 for one in settled)
        return FanAir(fan.name, fan.flow, on, off, air, air, full, None, sound)
    cycles = [cycled_air(one, fan=fan.flow, on=on, off=off) for one in stands]
    return FanAir(
        fan.name,
        fan.flow,
        on,
        off,
        spread(one.mean for one in cycles),
        spread(one.highest for one in cycles),
        spread(one.saturated for one in cycles),
        cycles[1],
        None if sound is None else mean_sound_level(sound, on / (on + off)),
    )


def flat_damp(
    rig: Rig, litres: float, air: Air, *, month: int, factors: FactorRange
) -> FlatDamp | None:
    """What the tank does to the flat in this month; None where the flat's volume isn't said."""
    room = room_of(rig)
    if room.volume is None:
        return None
    metres = room.volume / 1000.0
    bodies = bodies_of(rig, litres, factors=factors)
    vapour = spread(
        losses(body, rig.temperature, air=air).litres_a_day / 24.0 for body in bodies.each()
    )

    def from_tank(kilograms: float) -> float:
        return humidity_added(air, vapour=kilograms, volume=metres, changes=room.air_changes)

    added = spread(from_tank(end) for end in (vapour.low, vapour.value, vapour.high))
    without = spread(
        min(max(air.humidity - end, 0.0), 1.0) for end in (added.low, added.value, added.high)
    )
    return FlatDamp(
        month=month,
        room=air,
        litres_a_day=vapour.scaled(24.0),
        from_tank=added,
        without=without,
        pane=room.pane,
        at_pane=None if room.pane is None else _at(room.pane, air, air.humidity),
        at_pane_without=None
        if room.pane is None
        else Range(
            *(_at(room.pane, air, end) for end in (without.value, without.low, without.high))
        ),
        changes=room.air_changes,
        changes_needed=_changes_needed(rig, air, month=month),
    )


def _changes_needed(rig: Rig, air: Air, *, month: int) -> float | None:
    """Air changes that bring the pane under the mould limit, by what the flat's air holds now.

    All vapour of the flat goes out with its air, so the surplus over the air outside is inverse to
    the changes. Source: iso2012 (annex A)
    """
    room = room_of(rig)
    if room.pane is None or not room.outside_temperature or not room.outside_humidity:
        return None
    outside = Air(
        room.outside_temperature[month - 1], room.outside_humidity[month - 1], air.pressure
    )
    limit = humidity_ratio(Air(room.pane, MOULD_AT, air.pressure))
    surplus, allowed = (
        humidity_ratio(air) - humidity_ratio(outside),
        limit - humidity_ratio(outside),
    )
    if allowed <= 0.0 or surplus <= 0.0:
        return None
    return room.air_changes * surplus / allowed


def _at(surface: float, air: Air, humidity: float) -> float:
    ratio = humidity_ratio(Air(air.temperature, humidity, air.pressure))
    return humidity_at_surface(ratio, surface, pressure=air.pressure)


def _stands(rig: Rig, air: Air, factors: FactorRange) -> tuple[Stand, Stand, Stand] | None:
    """The stand with little, middling and much evaporation."""
    found = [
        stand_of(rig, room=air, water=rig.temperature, factor=factor)
        for factor in (factors.low, factors.middle, factors.high)
    ]
    little, middle, much = found
    return None if little is None or middle is None or much is None else (little, middle, much)


def _least(rig: Rig, stands: tuple[Stand, Stand, Stand], fan: Fan | None) -> tuple[LeastFan, ...]:
    cabinet, middle = rig.cabinet, stands[1]
    if cabinet is None:
        return ()
    limits = [("humidity", cabinet.humidity_limit)]
    if cabinet.coldest_wall is not None:
        at_wall = humidity_ratio(Air(cabinet.coldest_wall, 1.0, middle.room.pressure))
        share = humidity_of_ratio(middle.temperature, at_wall, pressure=middle.room.pressure)
        limits.append(("coldest wall", min(share, 1.0)))
    return tuple(
        _least_for(name, stands, fan, humidity=share, noise_limit=cabinet.noise_limit)
        for name, share in limits
    )


def _least_for(
    limit: str,
    stands: tuple[Stand, Stand, Stand],
    fan: Fan | None,
    *,
    humidity: float,
    noise_limit: float | None,
) -> LeastFan:
    """The least that keeps the mean humidity at a share: a dry wall is one, by its dew point."""
    middle = stands[1]
    flow = _all_or_none([flow_for_humidity(one, humidity) for one in stands])
    by_fan = None if flow is None else max(flow.value - middle.leak, 0.0)
    speed = None if by_fan is None or fan is None or not fan.flow else by_fan / fan.flow
    duties: tuple[tuple[float, float | None], ...] = ()
    if fan is not None:
        duties = tuple(
            (cycle, least_duty(middle, fan=fan.flow, cycle=cycle, humidity=humidity))
            for cycle in CYCLES
        )
    return LeastFan(
        limit=limit,
        room=middle.room,
        flow=flow,
        by_fan=by_fan,
        speed=speed,
        sound=_slowed_sound(fan, speed),
        full_sound=fan.noise if fan else None,
        noise_limit=noise_limit,
        duties=duties,
    )


def _slowed_sound(fan: Fan | None, speed: float | None) -> float | None:
    """Level of the fan slowed down to this share; None where it isn't known or wouldn't do."""
    if fan is None or fan.noise is None or speed is None or not SLOWEST <= speed <= 1.0:
        return None
    return sound_level_at_speed(fan.noise, speed)


def _all_or_none(flows: list[float | None]) -> Range | None:
    """The range of three flows; whether there are any doesn't hang on how much evaporates."""
    found = [flow for flow in flows if flow is not None]
    return spread(found) if len(found) == len(flows) else None
