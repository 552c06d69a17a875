"""What the described rig's heat comes to: losses, gains, cold spells, hot days, heaters, fans."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from brinebook.lifesupport.electricity import Use, use_by_month
from brinebook.lifesupport.heat import (
    Body,
    losses,
    power_needed,
    settled_temperature,
    time_constant,
    with_air_speed,
    with_lid,
)
from brinebook.lifesupport.heat_course import Course, Heating, Regime, course, steady_weather
from brinebook.lifesupport.heat_model import (
    USUAL_LID,
    Bodies,
    bodies_of,
    coldest_air,
    duty_of,
    factors_of,
    lamp_gain,
    mean_gains,
    months_of,
    range_over,
    steady_gains,
)
from brinebook.lifesupport.humid_air import Air
from brinebook.lifesupport.ranges import Range, spread
from brinebook.rig import Heater, Rig

#: Temperatures at which to act: common practice, no source; the keeper's own band comes first.
ACT_ABOVE, ACT_BELOW = 28.5, 22.0

#: Air speed over the water that a fan makes where none is given, m/s (common practice, no source).
FAN_SPEED = 1.5
#: In such air a fan is little use: the humidity that the comparison is shown for.
MUGGY = 0.80
_LONGEST_HOURS = 96.0
#: Steps of a course in s: without a thermostat nothing is faster than hours, with one, than half an
#: hour.
_SMOOTH_STEP, _THERMOSTAT_STEP = 3600.0, 900.0


@dataclass(frozen=True, slots=True)
class HeatNow:
    """One room: where the heat goes (W by way), what comes in by itself, what heaters have to add.

    ``litres_a_day`` is the water that leaves with the vapour. ``needed`` may be under zero: then
    that much has to leave otherwise.
    """

    room: Air
    losses: Mapping[str, Range]
    gains: Mapping[str, float]
    needed: Range
    litres_a_day: Range
    installed: float


@dataclass(frozen=True, slots=True)
class Stuck:
    """One heater that sticks: where the water ends, and the hours until it is at 28.5 or 22 °C.

    ``hours`` is None where that is never reached; its range holds those ends that are.
    """

    heater: str
    fault: str  # "stuck on", "stuck off"
    lid: bool
    room: Air
    ends_at: Range
    hours: Range | None
    never: bool  # whether at least one end of the range never gets there


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One heater of all the power, or two of half: what each fault does in the coldest room."""

    heaters: int
    power_each: float
    stuck_on_ends_at: Range
    stuck_off_ends_at: Range


@dataclass(frozen=True, slots=True)
class FanCools:
    """A fan over the display at the set temperature: what it takes out, and the litres it costs."""

    room: Air
    air_speed: float
    watts: Range
    litres_a_day: Range
    settles_without: Range
    settles_with: Range


@dataclass(frozen=True, slots=True)
class HeatAnswer:
    """All of it, for ``month`` (1 to 12)."""

    month: int
    set_at: float
    now: HeatNow
    coldest: HeatNow
    warmest: HeatNow
    watts_a_degree: Range  # by which a colder room asks for more
    hours_to_cool: Range | None  # the time constant; None where nothing leads heat away
    stuck: tuple[Stuck, ...]
    arrangements: tuple[Arrangement, ...]
    fans: tuple[FanCools, ...]
    electricity: tuple[Use, ...]
    price: float | None


def heat_answer(rig: Rig, litres: float, *, month: int) -> HeatAnswer:
    """The heat of the rig in the room of ``month`` (1 to 12); ``litres`` is the net volume."""
    months = months_of(rig)
    now, coldest = months[month - 1], coldest_air(rig)
    warmest = max(months, key=lambda air: air.temperature)
    bodies = bodies_of(rig, litres, factors=factors_of(rig, air=now))
    return HeatAnswer(
        month=month,
        set_at=rig.temperature,
        now=heat_in(rig, bodies, now),
        coldest=heat_in(rig, bodies, coldest),
        warmest=heat_in(rig, bodies, warmest),
        watts_a_degree=range_over(bodies, lambda body: _slope(body, rig.temperature, coldest)),
        hours_to_cool=_hours_to_cool(bodies, rig.temperature, now),
        stuck=tuple(_stuck(rig, bodies, rooms=(now, warmest), coldest=coldest)),
        arrangements=arrangements(rig, bodies, coldest),
        fans=tuple(fan_cools(rig, bodies, air) for air in _airs_for_fans(warmest)),
        electricity=electricity(rig, bodies.middle),
        price=rig.price,
    )


def heat_in(rig: Rig, bodies: Bodies, air: Air) -> HeatNow:
    """The balance at the set temperature in a room of this air."""
    each = [losses(body, rig.temperature, air=air) for body in bodies.each()]
    return HeatNow(
        room=air,
        losses=MappingProxyType(
            {name: spread(one.by_way[name] for one in each) for name in each[0].by_way}
        ),
        gains=MappingProxyType({**steady_gains(rig), "lamps": lamp_gain(rig)}),
        needed=range_over(
            bodies,
            lambda body: power_needed(body, rig.temperature, air=air, gains=mean_gains(rig)),
        ),
        litres_a_day=spread(one.litres_a_day for one in each),
        installed=sum(heater.power for heater in rig.heaters),
    )


def stuck_heater(
    rig: Rig, bodies: Bodies, *, heater: Heater, fault: str, air: Air, lid: bool
) -> Stuck:
    """Where a heater that sticks takes the water, and how fast; the others keep to their setting.

    Stuck on, the others give what it leaves wanting; stuck off, what they have.
    """
    covered = _lidded(bodies) if lid else bodies
    limit = ACT_ABOVE if fault == "stuck on" else ACT_BELOW
    others = sum(one.power for one in rig.heaters if one is not heater)
    gains = mean_gains(rig)
    heat = gains + (heater.power if fault == "stuck on" else others)

    def ends(body: Body) -> float:
        settled = settled_temperature(body, air=air, heat=heat)
        if fault == "stuck off":
            return min(
                settled, max(rig.temperature, settled_temperature(body, air=air, heat=gains))
            )
        if settled < rig.temperature:
            helped = settled_temperature(body, air=air, heat=heat + others)
            settled = min(helped, rig.temperature)
        return settled if heater.cut_out is None else min(settled, heater.cut_out)

    reached = [
        faulty_course(rig, body, heater=heater, fault=fault, air=air).hours_until(limit)
        for body in covered.each()
    ]
    hours = [hour for hour in reached if hour is not None]
    return Stuck(
        heater=heater.name,
        fault=fault,
        lid=lid,
        room=air,
        ends_at=range_over(covered, ends),
        hours=Range(sorted(hours)[len(hours) // 2], min(hours), max(hours)) if hours else None,
        never=len(hours) < 3,
    )


def faulty_course(
    rig: Rig, body: Body, *, heater: Heater, fault: str, air: Air, hours: float = _LONGEST_HOURS
) -> Course:
    """The temperature from the set point on once a heater sticks, in a room that stays as it is.

    The others give what the setting then still needs, as far as they can: nothing, where one that
    sticks on makes it warm enough. Either is steady, so that steps may be long; only a cut-out
    switches in between.
    """
    gains = {**steady_gains(rig), "lamps' mean": lamp_gain(rig)}
    others = sum(one.power for one in rig.heaters if one is not heater)
    needed = power_needed(body, rig.temperature, air=air, gains=sum(gains.values()))
    heating: tuple[Heating, ...] = ()
    step = _SMOOTH_STEP
    if fault == "stuck on":
        heating = (Heating(heater.power, rig.temperature, "stuck on", heater.cut_out),)
        step = _SMOOTH_STEP if heater.cut_out is None else _THERMOSTAT_STEP
        needed -= heater.power
    gains["other heaters"] = min(max(needed, 0.0), others)
    regime = Regime(heaters=heating, gains=gains)
    return course(
        body, rig.temperature, hours=hours, weather=steady_weather(air), regime=regime, step=step
    )


def heatings(rig: Rig, *, faulty: Heater | None = None, fault: str = "") -> tuple[Heating, ...]:
    """The rig's heaters with their settings, one of them perhaps faulty."""
    return tuple(
        Heating(
            one.power,
            rig.temperature if one.set_at is None else one.set_at,
            fault if one is faulty else "",  # type: ignore[arg-type]
            one.cut_out,
        )
        for one in rig.heaters
    )


def arrangements(rig: Rig, bodies: Bodies, coldest: Air) -> tuple[Arrangement, ...]:
    """One heater of all the power against two of half and three of a third, in the coldest room."""
    power = sum(heater.power for heater in rig.heaters)
    if power <= 0.0:
        return ()
    gains = mean_gains(rig)

    def of(count: int) -> Arrangement:
        each = power / count
        return Arrangement(
            count,
            each,
            range_over(
                bodies,
                lambda b: min(
                    settled_temperature(b, air=coldest, heat=gains + power),
                    max(rig.temperature, settled_temperature(b, air=coldest, heat=gains + each)),
                ),
            ),
            range_over(
                bodies,
                lambda b: min(
                    settled_temperature(b, air=coldest, heat=gains + power - each),
                    max(rig.temperature, settled_temperature(b, air=coldest, heat=gains)),
                ),
            ),
        )

    return of(1), of(2), of(3)


def fan_cools(rig: Rig, bodies: Bodies, air: Air) -> FanCools:
    """What a fan over the display does in this air, by the rig's own fan or a usual one."""
    own = next((fan for fan in rig.fans if fan.kind == "surface"), None)
    speed = FAN_SPEED if own is None or own.air_speed is None else own.air_speed
    still = [losses(body, rig.temperature, air=air) for body in bodies.each()]
    blown = [
        losses(with_air_speed(body, speed), rig.temperature, air=air) for body in bodies.each()
    ]
    pairs = list(zip(still, blown, strict=True))
    gains = mean_gains(rig)
    return FanCools(
        room=air,
        air_speed=speed,
        watts=spread(after.total - before.total for before, after in pairs),
        litres_a_day=spread(after.litres_a_day - before.litres_a_day for before, after in pairs),
        settles_without=range_over(
            bodies, lambda body: settled_temperature(body, air=air, heat=gains)
        ),
        settles_with=range_over(
            bodies,
            lambda body: settled_temperature(with_air_speed(body, speed), air=air, heat=gains),
        ),
    )


def electricity(rig: Rig, body: Body) -> tuple[Use, ...]:
    """kWh of each part in each month, heaters by the balance of the middle body."""
    loads: dict[str, tuple[float, float]] = {}
    for pump in rig.pumps:
        if pump.power is not None:
            loads[pump.name] = (pump.power, 24.0)
    for lamp in rig.lamps:
        loads[lamp.name] = (lamp.power, lamp.hours)
    for fan in rig.fans:
        if fan.power is not None and fan.kind == "exhaust":
            loads[fan.name] = (fan.power, 24.0 * duty_of(fan))
    for load in rig.loads:
        if not load.season:
            loads[load.name] = (load.power, load.hours)
    return use_by_month(
        body,
        rig.temperature,
        months=months_of(rig),
        gains=mean_gains(rig),
        heaters=sum(heater.power for heater in rig.heaters),
        loads=loads,
    )


def _lidded(bodies: Bodies) -> Bodies:
    little, middle, much = (with_lid(body, open_share=USUAL_LID) for body in bodies.each())
    return Bodies(little, middle, much)


def _stuck(rig: Rig, bodies: Bodies, *, rooms: tuple[Air, Air], coldest: Air) -> list[Stuck]:
    """Each heater stuck on in the room now and in the warmest, and stuck off in the coldest."""
    found = []
    for heater in rig.heaters:
        for air in dict.fromkeys(rooms):
            for lid in (False, True):
                found.append(
                    stuck_heater(rig, bodies, heater=heater, fault="stuck on", air=air, lid=lid)
                )
        found.append(
            stuck_heater(rig, bodies, heater=heater, fault="stuck off", air=coldest, lid=False)
        )
    return found


def _hours_to_cool(bodies: Bodies, temperature: float, air: Air) -> Range | None:
    found = range_over(bodies, lambda body: time_constant(body, temperature, air=air))
    return found if math.isfinite(found.high) else None


def _slope(body: Body, temperature: float, air: Air) -> float:
    colder = replace(air, temperature=air.temperature - 1.0)
    return losses(body, temperature, air=colder).total - losses(body, temperature, air=air).total


def _airs_for_fans(warmest: Air) -> tuple[Air, Air]:
    return warmest, replace(warmest, humidity=max(MUGGY, warmest.humidity))
