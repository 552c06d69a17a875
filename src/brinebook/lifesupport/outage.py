"""When the house goes dark: oxygen and temperature by the hour, as ranges, and what buys time.

What breathes in a reef is known to a factor of two, and so is what a still surface lets in. So
every answer here has a short, a middle and a long end, and the short one is what to plan by.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from brinebook.lifesupport.oxygen_course import (
    BUBBLES_GIVE,
    Breathing,
    bubble_exchange,
    hours_until_oxygen,
    oxygen_course,
    steady_oxygen,
    surface_exchange,
    transfer_velocity_cole_caraco_1998,
    transfer_velocity_crusius_wanninkhof_2003,
)
from brinebook.rig.air_side import OTHERS_A_LITRE

#: What fish of some tens of grams at rest need, mg of oxygen by kg and hour (from memory; the check
#: values give 150 to 400), and by what corals, rock and bacteria may be off (common practice, no
#: source): short end, middle, long end.
FISH_RATES = (400.0, 250.0, 150.0)
OTHERS_TIMES = (1.7, 1.0, 0.4)
#: Oxygen at which to act, and that many animals don't outlive for long, mg/L.
#: Source: haas2014 (2 to 4 mg/L), nilsson2007 (reef fish hold to 15 to 25 % of saturation)
ACT_BELOW, GRAVE_BELOW = 4.0, 2.0

#: Part of saturation that a running reef usually stands at (common practice, no source).
STARTS_AT = 0.95

#: Exchange of a surface that a small pump keeps moving, cm/h (common practice, no source).
MOVED_SURFACE = (5.0, 10.0, 20.0)


@dataclass(frozen=True, slots=True)
class Span:
    """A range with a middle: what to plan by first, in hours or in mg/h; None: not reached."""

    short: float | None
    middle: float | None
    long: float | None


@dataclass(frozen=True, slots=True)
class StillWater:
    """The water in the dark: L, m2 of surface that air reaches, mg/h that breathe."""

    volume: float
    open_area: float
    demand: tuple[float, float, float]  # short end (most breathing) first
    temperature: float
    saturation: float  # mg/L


@dataclass(frozen=True, slots=True)
class Bubbles:
    """An air pump's share: air in L/h from a depth in m."""

    air: float
    depth: float


def demand_range(
    fish: float, *, rate: float | None, others: float | None, volume: float
) -> tuple[float, float, float]:
    """What breathes, mg/h: the most, a middle, the least; ``fish`` in g, rate in mg/kg/h.

    Where the keeper says nothing of corals, rock and bacteria, ``OTHERS_A_LITRE`` stands in.
    """
    middle_rate = FISH_RATES[1] if rate is None else rate
    scale = middle_rate / FISH_RATES[1]
    middle_others = OTHERS_A_LITRE * volume if others is None else others
    most, middle, least = (
        fish / 1000.0 * end * scale + middle_others * times
        for end, times in zip(FISH_RATES, OTHERS_TIMES, strict=True)
    )
    return most, middle, least


def exchange_range(
    water: StillWater, *, bubbles: Bubbles | None = None, moved: bool = False
) -> tuple[float, float, float]:
    """Litres an hour that come to balance with air: least, middle, most.

    Still water: the two lakes of the published relations at no wind, and the mean of both.
    Source: cole1998, crusius2003, epa1989b
    """
    calm = transfer_velocity_crusius_wanninkhof_2003(0.0)
    livelier = transfer_velocity_cole_caraco_1998(0.0)
    velocities = MOVED_SURFACE if moved else (calm, (calm + livelier) / 2.0, livelier)
    by_surface = (
        surface_exchange(water.open_area, velocity, temperature=water.temperature)
        for velocity in velocities
    )
    least, middle, most = (
        surface
        + (
            bubble_exchange(bubbles.air, bubbles.depth, saturation=water.saturation, gives=gives)
            if bubbles
            else 0.0
        )
        for surface, gives in zip(by_surface, BUBBLES_GIVE, strict=True)
    )
    return least, middle, most


def oxygen_hours(
    water: StillWater, start: float, *, limit: float, exchange: tuple[float, float, float]
) -> Span:
    """Hours until the oxygen falls to ``limit`` mg/L, short end first."""
    short, middle, long = (
        hours_until_oxygen(
            Breathing(water.volume, demand, let_in),
            start,
            limit=limit,
            saturation=water.saturation,
        )
        for demand, let_in in zip(water.demand, exchange, strict=True)
    )
    return Span(short, middle, long)


def oxygen_ends_at(water: StillWater, *, exchange: tuple[float, float, float]) -> Span:
    """Where the oxygen comes to rest, mg/L, worst first; never under zero."""
    worst, middle, best = (
        max(
            steady_oxygen(Breathing(water.volume, demand, let_in), saturation=water.saturation),
            0.0,
        )
        for demand, let_in in zip(water.demand, exchange, strict=True)
    )
    return Span(worst, middle, best)


def oxygen_by_hour(
    water: StillWater,
    start: float,
    *,
    hours: int,
    exchange: tuple[float, float, float],
    saturation: Callable[[float], float],
) -> tuple[Span, ...]:
    """Oxygen at the start and after every hour, mg/L, worst first; saturation by the hour."""
    courses = [
        oxygen_course(
            Breathing(water.volume, demand, let_in), start, hours=hours, saturation=saturation
        )
        for demand, let_in in zip(water.demand, exchange, strict=True)
    ]
    every = round(1.0 / (courses[0].hours[1] - courses[0].hours[0]))
    return tuple(
        Span(*(course.oxygen[hour * every] for course in courses)) for hour in range(hours + 1)
    )


def battery_hours(watt_hours: float, *, usable: float, load: float) -> float:
    """How long a battery carries a load of so many W; ``usable`` is the share worth counting on.

    Lead keeps half for itself, lithium a fifth (common practice, no source).
    """
    return watt_hours * usable / load
