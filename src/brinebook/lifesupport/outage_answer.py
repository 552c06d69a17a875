"""The house goes dark: how long oxygen and warmth last in the described rig, and what buys time."""

from __future__ import annotations

from dataclasses import dataclass, replace

from brinebook.lifesupport.heat import Body, with_lid
from brinebook.lifesupport.heat_answer import ACT_ABOVE, ACT_BELOW
from brinebook.lifesupport.heat_course import Course, Regime, course, steady_weather
from brinebook.lifesupport.heat_model import (
    LEAST_OPEN,
    Bodies,
    bodies_of,
    coldest_air,
    display_only,
    display_share,
    factors_of,
    months_of,
)
from brinebook.lifesupport.humid_air import STANDARD_PRESSURE, Air
from brinebook.lifesupport.outage import (
    ACT_BELOW as OXYGEN_ACTS_BELOW,
)
from brinebook.lifesupport.outage import (
    GRAVE_BELOW,
    STARTS_AT,
    Bubbles,
    Span,
    StillWater,
    battery_hours,
    demand_range,
    exchange_range,
    oxygen_by_hour,
    oxygen_ends_at,
    oxygen_hours,
)
from brinebook.lifesupport.ranges import Range, spread
from brinebook.rig import Pump, Rig
from brinebook.water.oxygen import oxygen_saturation

HOURS = 24
#: A small air pump, the depth of its stone and what it draws where none is described: L/h, m, W
#: (common practice, no source).
USUAL_AIR, USUAL_DEPTH, USUAL_AIR_POWER = 120.0, 0.25, 4.0


@dataclass(frozen=True, slots=True)
class OxygenCase:
    """One way in which the water may stand: hours to 4 and to 2 mg/L, and where it comes to rest.

    ``volume`` L take part, and ``exchange`` L/h come to balance with air, short end first.
    """

    case: str
    volume: float
    exchange: tuple[float, float, float]
    until_act: Span
    until_grave: Span
    ends_at: Span


@dataclass(frozen=True, slots=True)
class WarmthCase:
    """The temperature with everything off: by the hour, and when it passes what calls for an act.

    ``limit`` is 22 °C where the room is colder than the water, else 28.5 °C.
    """

    case: str
    room: Air
    by_hour: tuple[Range, ...]
    limit: float
    hours: Range | None
    never: bool


@dataclass(frozen=True, slots=True)
class OutageAnswer:
    """All of it; ``demand`` is what breathes in mg/h, most first."""

    saturation: float
    start: float
    demand: tuple[float, float, float]
    stock_known: bool
    oxygen: tuple[OxygenCase, ...]
    oxygen_by_hour: tuple[Span, ...]  # nothing done, lids as described
    warmth: tuple[WarmthCase, ...]
    battery_hours: float | None
    battery_load: float | None  # W that hang on it; those of a usual air pump where none is told
    air_pump_runs_on_it: bool
    first: str  # "oxygen" or "temperature": which of them calls for an act first


def outage_answer(rig: Rig, litres: float, *, month: int) -> OutageAnswer:
    """What the dark does to the rig in ``month`` (1 to 12); ``litres`` is the net volume."""
    months = months_of(rig)
    still = still_water(rig, litres, pressure=months[0].pressure)
    start = STARTS_AT * still.saturation
    warmth = _warmth(rig, litres, month=month)
    cases = oxygen_cases(rig, litres, still, start)
    until_act = cases[0].until_act.short
    until_cold = warmth[0].hours.low if warmth and warmth[0].hours is not None else None
    battery, load, runs = _battery(rig)
    return OutageAnswer(
        saturation=still.saturation,
        start=start,
        demand=still.demand,
        stock_known=rig.stock is not None,
        oxygen=cases,
        oxygen_by_hour=_by_hour(rig, still, start, warmth[:1], pressure=months[0].pressure),
        warmth=warmth,
        battery_hours=battery,
        battery_load=load,
        air_pump_runs_on_it=runs,
        first="temperature"
        if until_cold is not None and (until_act is None or until_cold < until_act)
        else "oxygen",
    )


def still_water(rig: Rig, litres: float, *, pressure: float) -> StillWater:
    """The display when nothing moves: its part of the water, its open surface, what breathes.

    Without the vessels' measures all the water is taken, and no surface.
    """
    share = display_share(rig)
    display = rig.vessel("display")
    stock = rig.stock
    demand = demand_range(
        stock.fish if stock else 0.0,
        rate=stock.fish_rate if stock else None,
        others=stock.others if stock else None,
        volume=litres,
    )
    return StillWater(
        volume=litres if share is None else litres * share,
        open_area=0.0 if display is None else display.surface * max(1.0 - display.lid, LEAST_OPEN),
        demand=demand,
        temperature=rig.temperature,
        saturation=oxygen_saturation(
            rig.salinity, rig.temperature, pressure=pressure / STANDARD_PRESSURE
        ),
    )


def oxygen_cases(
    rig: Rig, litres: float, still: StillWater, start: float
) -> tuple[OxygenCase, ...]:
    """Nothing done first; then covered, all water as one, a moved surface, and bubbles.

    Bubbles stir the surface as a small pump does, under a lid too: they renew the air there.
    """
    bubbles = bubbles_of(rig)
    covered = replace(still, open_area=0.0)
    whole = replace(covered, volume=litres)
    closed = (0.0, 0.0, 0.0)
    cases = (
        ("nothing done", still, exchange_range(still)),
        ("covered tight", covered, closed),
        ("all the water, no air", whole, closed),
        ("surface moved by a small pump", still, exchange_range(still, moved=True)),
        ("air pump", still, exchange_range(still, bubbles=bubbles, moved=True)),
    )
    return tuple(_oxygen_case(name, water, start, exchange) for name, water, exchange in cases)


def bubbles_of(rig: Rig) -> Bubbles:
    """The described air pump and the depth of its stone, or usual ones."""
    pump = air_pump_of(rig)
    air = None
    if pump is not None:
        air = pump.flow if pump.flow is not None else pump.free_flow
    depth = rig.reserve.bubbles_from if rig.reserve else None
    display = rig.vessel("display")
    if depth is None and display is not None and display.water is not None:
        depth = display.water / 2.0
    return Bubbles(USUAL_AIR if air is None else air, USUAL_DEPTH if depth is None else depth)


def air_pump_of(rig: Rig) -> Pump | None:
    """The pump that blows air: the one that the reserve names, else the first of that role."""
    named = rig.reserve.air_pump if rig.reserve else ""
    by_name = next((pump for pump in rig.pumps if pump.name == named and named), None)
    return by_name or next((pump for pump in rig.pumps if pump.role == "air"), None)


def dark_course(
    rig: Rig, body: Body, *, air: Air, hours: float = HOURS, start: float | None = None
) -> Course:
    """The temperature with every machine off, in a room that stays as it is."""
    begin = rig.temperature if start is None else start
    return course(
        body, begin, hours=hours, weather=steady_weather(air), regime=Regime(), step=900.0
    )


def dark_bodies(rig: Rig, litres: float, *, month: int) -> Bodies:
    """The display alone, as bodies that lose little, middling and much."""
    share = display_share(rig)
    factors = factors_of(rig, air=months_of(rig)[month - 1])
    alone = litres if share is None else litres * share
    return bodies_of(display_only(rig), alone, factors=factors)


def _oxygen_case(
    name: str, water: StillWater, start: float, exchange: tuple[float, float, float]
) -> OxygenCase:
    return OxygenCase(
        name,
        water.volume,
        exchange,
        oxygen_hours(water, start, limit=OXYGEN_ACTS_BELOW, exchange=exchange),
        oxygen_hours(water, start, limit=GRAVE_BELOW, exchange=exchange),
        oxygen_ends_at(water, exchange=exchange),
    )


def _warmth(rig: Rig, litres: float, *, month: int) -> tuple[WarmthCase, ...]:
    """This month's room, lid as it is and covered; then the cold spell. None without a vessel."""
    if not rig.vessels:
        return ()
    now, coldest = months_of(rig)[month - 1], coldest_air(rig)
    cases = [("this month", now, False), ("this month, covered", now, True)]
    if coldest != now:
        cases.append(("cold spell", coldest, False))
    bodies = dark_bodies(rig, litres, month=month)
    return tuple(_warmth_case(rig, bodies, name, air, lid=lid) for name, air, lid in cases)


def _warmth_case(rig: Rig, alone: Bodies, name: str, air: Air, *, lid: bool) -> WarmthCase:
    bodies = alone.each()
    covered = [with_lid(body, open_share=LEAST_OPEN) if lid else body for body in bodies]
    courses = [dark_course(rig, body, air=air) for body in covered]
    limit = ACT_BELOW if air.temperature < rig.temperature else ACT_ABOVE
    reached = [one.hours_until(limit) for one in courses]
    hours = sorted(hour for hour in reached if hour is not None)
    return WarmthCase(
        case=name,
        room=air,
        by_hour=tuple(
            spread(one.at(hour).temperature for one in courses) for hour in range(HOURS + 1)
        ),
        limit=limit,
        hours=Range(hours[len(hours) // 2], hours[0], hours[-1]) if hours else None,
        never=len(hours) < 3,
    )


def _by_hour(
    rig: Rig,
    still: StillWater,
    start: float,
    warmth: tuple[WarmthCase, ...],
    *,
    pressure: float,
) -> tuple[Span, ...]:
    def saturation(hour: float) -> float:
        told = warmth[0].by_hour[min(int(hour), HOURS)].value if warmth else rig.temperature
        at = min(max(told, 0.0), 40.0)
        return oxygen_saturation(rig.salinity, at, pressure=pressure / STANDARD_PRESSURE)

    return oxygen_by_hour(
        still, start, hours=HOURS, exchange=exchange_range(still), saturation=saturation
    )


def _battery(rig: Rig) -> tuple[float | None, float | None, bool]:
    """Hours that the reserve lasts, the W on it, and whether they are an air pump's."""
    reserve, pump = rig.reserve, air_pump_of(rig)
    if reserve is None or reserve.battery <= 0.0:
        return None, None, False
    load, air = reserve.load, bool(reserve.air_pump)
    if not load:
        load, air = (pump.power if pump is not None else None), True
    load = load or USUAL_AIR_POWER
    return battery_hours(reserve.battery, usable=reserve.usable, load=load), load, air
