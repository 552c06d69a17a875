"""Heat of the rig: the JSON of docs/rig-json.md, and the lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import (
    MONTHS,
    Json,
    air_json,
    degrees,
    figure,
    hours_range_words,
    hours_words,
    percent,
    range_words,
    ranged,
    room_words,
)
from brinebook.lifesupport.electricity import Use
from brinebook.lifesupport.heat_answer import (
    ACT_ABOVE,
    ACT_BELOW,
    Arrangement,
    FanCools,
    HeatAnswer,
    HeatNow,
    Stuck,
)
from brinebook.lifesupport.ranges import Range
from brinebook.report.numbers import number_text
from brinebook.texts import phrase, say

UNTOLD = phrase("The heat can't be told before the display's sizes are described.")


def heat_json(answer: HeatAnswer) -> Json:
    """The ``heat`` object."""
    return {
        "month": answer.month,
        "set_at": figure(answer.set_at, "C"),
        "now": _now_json(answer.now),
        "coldest": _now_json(answer.coldest),
        "warmest": _now_json(answer.warmest),
        "watts_a_degree": ranged(answer.watts_a_degree, "W/K"),
        "hours_to_cool": ranged(answer.hours_to_cool, "h"),
        "stuck": [_stuck_json(one) for one in answer.stuck],
        "heaters_compared": [_arrangement_json(one) for one in answer.arrangements],
        "fans": [_fan_json(one) for one in answer.fans],
        "electricity": electricity_json(answer.electricity, answer.price),
    }


def electricity_json(uses: tuple[Use, ...], price: float | None) -> Json:
    """kWh by month and part, the year, and its price where a price is described."""
    year = sum(use.total for use in uses)
    parts = {name: sum(use.by_part[name] for use in uses) for name in uses[0].by_part}
    return {
        "unit": "kWh",
        "months": [
            {
                "month": month,
                "parts": dict(use.by_part),
                "total": use.total,
                "short_by": figure(use.short_by, "W"),
            }
            for month, use in enumerate(uses, start=1)
        ],
        "year": {"parts": parts, "total": year, "cost": None if price is None else year * price},
    }


def enough(now: HeatNow) -> str:
    """Whether the installed heaters hold the setting: “yes”, “perhaps” or “no”."""
    if now.installed >= now.needed.high:
        return "yes"
    return "perhaps" if now.installed >= now.needed.low else "no"


def heat_lines(answer: HeatAnswer) -> Iterator[str]:
    """What a person reads: the balance, the cold spell, a heater that sticks, the fan, the bill."""
    now = answer.now
    yield (
        say(
            "Holding {set_at} in a room of {room} takes {asked}.",
            set_at=degrees(answer.set_at, 1),
            room=room_words(now.room),
            asked=_asked(now.needed),
        )
    )
    ways = sorted(now.losses.items(), key=lambda way: -way[1].value)
    yield say("  out: ") + ", ".join(f"{say(name)} {range_words(lost, 'W')}" for name, lost in ways)
    gains = [(name, watts) for name, watts in now.gains.items() if watts]
    if gains:
        yield say("  in: ") + ", ".join(
            f"{say(name)} {number_text(watts, 0)} W" for name, watts in gains
        )
    yield say(
        "  {litres_a_day} evaporate in a day.", litres_a_day=range_words(now.litres_a_day, "L")
    )
    yield from _cold_lines(answer)
    yield from (_stuck_line(one) for one in answer.stuck)
    yield from _compared_lines(answer.arrangements)
    yield from _warm_lines(answer)
    yield from _bill_lines(answer)


def _asked(needed: Range) -> str:
    if needed.high <= 0.0:
        return say("no heater: it has to lose ") + range_words(
            Range(-needed.value, -needed.high, -needed.low), "W"
        )
    return say("{needed} of heating", needed=range_words(needed, "W"))


def _cold_lines(answer: HeatAnswer) -> Iterator[str]:
    cold = answer.coldest
    verdict = {
        "yes": say("your {installed} W cover that", installed=number_text(cold.installed, 0)),
        "perhaps": say(
            "your {installed} W may not cover that", installed=number_text(cold.installed, 0)
        ),
        "no": say("your {installed} W don't cover that", installed=number_text(cold.installed, 0)),
    }[enough(cold)]
    yield (
        say(
            "At its coldest ({room}) it takes {needed}; {verdict}. A degree colder asks "
            "{watts_a_degree} more.",
            room=room_words(cold.room),
            needed=range_words(cold.needed, "W"),
            verdict=verdict,
            watts_a_degree=range_words(answer.watts_a_degree, "W"),
        )
    )


def _stuck_line(one: Stuck) -> str:
    limit = ACT_ABOVE if one.fault == "stuck on" else ACT_BELOW
    where = say(
        "{under_lid_or_open}, room of {room}",
        under_lid_or_open=say("under a lid") if one.lid else say("open"),
        room=room_words(one.room),
    )
    if one.hours is None:
        reach = say("it doesn't reach {limit} in four days", limit=degrees(limit, 1))
    elif one.never:
        reach = say(
            "{limit} after {hours_low} at the earliest, or never",
            limit=degrees(limit, 1),
            hours_low=hours_words(one.hours.low),
        )
    else:
        hours = hours_range_words(one.hours.low, one.hours.high)
        reach = say("{limit} after {hours}", limit=degrees(limit, 1), hours=hours)
    return say(
        "{heater} {fault} ({where}): it ends at {ends_at}; {reach}.",
        heater=one.heater,
        fault=one.fault,
        where=where,
        ends_at=range_words(one.ends_at, "°C"),
        reach=reach,
    )


def _compared_lines(arrangements: tuple[Arrangement, ...]) -> Iterator[str]:
    if not arrangements:
        return
    yield say("The same power in one heater, two or three, in the coldest room:")
    for one in arrangements:
        yield (
            say(
                "  {heaters} of {power_each} W: one stuck on ends at {stuck_on_ends_at}, "
                "one stuck off at {stuck_off_ends_at}",
                heaters=one.heaters,
                power_each=number_text(one.power_each, 0),
                stuck_on_ends_at=range_words(one.stuck_on_ends_at, "°C"),
                stuck_off_ends_at=range_words(one.stuck_off_ends_at, "°C"),
            )
        )


def _warm_lines(answer: HeatAnswer) -> Iterator[str]:
    for one in answer.fans:
        yield (
            say(
                "In a room of {room} the water settles at {settles_without} without "
                "heating, and with a fan over it ({air_speed} m/s) at {settles_with}: "
                "the fan takes {watts} and {litres_a_day} a day more.",
                room=room_words(one.room),
                settles_without=range_words(one.settles_without, "°C"),
                air_speed=number_text(one.air_speed, 1),
                settles_with=range_words(one.settles_with, "°C"),
                watts=range_words(one.watts, "W"),
                litres_a_day=range_words(one.litres_a_day, "L"),
            )
        )


def _bill_lines(answer: HeatAnswer) -> Iterator[str]:
    uses = answer.electricity
    totals = [use.total for use in uses]
    year = sum(totals)
    if not year:
        return
    this = uses[answer.month - 1]
    yield (
        say(
            "Electricity in {months}: about {total} kWh{cost}.",
            months=MONTHS[answer.month - 1],
            total=number_text(this.total, 0),
            cost=_cost(this.total, answer.price),
        )
    )
    ranked = sorted(this.by_part.items(), key=lambda part: -part[1])
    yield "  " + ", ".join(
        f"{say(name)} {number_text(energy, 0)} ({_part_of(energy / this.total)})"
        for name, energy in ranked
    )
    most, least = totals.index(max(totals)), totals.index(min(totals))
    yield (
        say(
            "  In a year about {year} kWh{cost}: from {least} in {least_month} to {most} "
            "in {most_month}.",
            year=number_text(year, 0),
            cost=_cost(year, answer.price),
            least=number_text(totals[least], 0),
            least_month=MONTHS[least],
            most=number_text(totals[most], 0),
            most_month=MONTHS[most],
        )
    )
    yield say(
        "  In the heating season what the tank gives off warms the room; that is not taken off."
    )


def _part_of(share: float) -> str:
    return say("under 1 %") if share < 0.01 else percent(share)


def _cost(year: float, price: float | None) -> str:
    return "" if price is None else say(", {year} at your price", year=number_text(year * price, 0))


def _now_json(now: HeatNow) -> Json:
    return {
        "room": air_json(now.room),
        "losses": {name: ranged(lost, "W") for name, lost in now.losses.items()},
        "gains": {name: figure(watts, "W") for name, watts in now.gains.items()},
        "needed": ranged(now.needed, "W"),
        "evaporation": ranged(now.litres_a_day, "L/day"),
        "installed": figure(now.installed, "W"),
        "enough": enough(now),
    }


def _stuck_json(one: Stuck) -> Json:
    return {
        "heater": one.heater,
        "fault": one.fault,
        "lid": one.lid,
        "room": air_json(one.room),
        "ends_at": ranged(one.ends_at, "C"),
        "limit": figure(ACT_ABOVE if one.fault == "stuck on" else ACT_BELOW, "C"),
        "hours": ranged(one.hours, "h"),
        "perhaps_never": one.never,
    }


def _arrangement_json(one: Arrangement) -> Json:
    return {
        "heaters": one.heaters,
        "power_each": figure(one.power_each, "W"),
        "stuck_on_ends_at": ranged(one.stuck_on_ends_at, "C"),
        "stuck_off_ends_at": ranged(one.stuck_off_ends_at, "C"),
    }


def _fan_json(one: FanCools) -> Json:
    return {
        "room": air_json(one.room),
        "air_speed": figure(one.air_speed, "m/s"),
        "cooling": ranged(one.watts, "W"),
        "evaporation": ranged(one.litres_a_day, "L/day"),
        "settles_without": ranged(one.settles_without, "C"),
        "settles_with": ranged(one.settles_with, "C"),
    }
