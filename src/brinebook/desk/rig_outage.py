"""An outage of the rig: the JSON of docs/rig-json.md, and the lines for a person, acts first."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import (
    Json,
    air_json,
    degrees,
    figure,
    hours_range_words,
    hours_words,
    range_words,
    ranged,
    room_words,
    span,
    span_words,
)
from brinebook.lifesupport.outage import ACT_BELOW, GRAVE_BELOW
from brinebook.lifesupport.outage_answer import OutageAnswer, OxygenCase, WarmthCase
from brinebook.report.numbers import number_text
from brinebook.texts import SpokenLine, say

#: What to do, in this order, while the power is out. People first, then oxygen, then warmth.
ACTS = SpokenLine(
    "People first: no engine, grill or gas ring indoors or on a balcony. If the floor is wet, stay "
    "off it until the power is off at a breaker that you can reach dry.",
    "Look at the sump: has the water stopped coming down, and does it stay under the rim?",
    "Move the display's surface: the air pump on its battery, else a jug, poured back from a "
    "hand's height for a few minutes every half hour.",
    "Feed nothing: food, and digesting it, use oxygen.",
    "Wrap the sides before you cover the top. Cover the top only with air bubbling under it.",
    "In the cold, float closed bottles of hot tap water; in the heat, of ice. No faster than your "
    "own limit for the temperature.",
    "When it is back: levels, the siphon, heaters under water before they switch on, the skimmer's "
    "cup, the clocks of dosers and lamps.",
)


def outage_json(answer: OutageAnswer) -> Json:
    """The ``outage`` object."""
    most, middle, least = answer.demand
    return {
        "first": answer.first,
        "oxygen_at_saturation": figure(answer.saturation, "mg/L"),
        "oxygen_at_start": figure(answer.start, "mg/L"),
        "demand": {"value": middle, "low": least, "high": most, "unit": "mg/h"},
        "stock_described": answer.stock_known,
        "limits": {"act": figure(ACT_BELOW, "mg/L"), "grave": figure(GRAVE_BELOW, "mg/L")},
        "oxygen": [_oxygen_json(one) for one in answer.oxygen],
        "oxygen_by_hour": [
            {"hour": hour, **span(one, "mg/L")} for hour, one in enumerate(answer.oxygen_by_hour)
        ],
        "temperature": [_warmth_json(one) for one in answer.warmth],
        "battery": figure(answer.battery_hours, "h"),
        "battery_load": figure(answer.battery_load, "W"),
        "acts": list(ACTS),
    }


def outage_lines(answer: OutageAnswer) -> Iterator[str]:
    """What a person reads: what to do, in order; then how long, as a range."""
    for number, act in enumerate(ACTS, start=1):
        yield f"{number}. {act}"
    yield (
        say(
            "{oxygen_or_temperature} comes first here. Plan by the short end: what "
            "breathes in a reef is known to a factor of two.",
            oxygen_or_temperature=say("Oxygen") if answer.first == "oxygen" else say("Temperature"),
        )
    )
    if not answer.stock_known:
        yield say(
            "No animals are described, so an ordinary stock is taken: that widens everything."
        )
    yield (
        say(
            "Hours until the oxygen is at {act_below} mg/L, and at {grave_below}:",
            act_below=number_text(ACT_BELOW, 0),
            grave_below=number_text(GRAVE_BELOW, 0),
        )
    )
    for case in answer.oxygen:
        yield f"  {say(case.case)}: {_oxygen_words(case)}"
    for warm in answer.warmth:
        yield _warmth_words(warm)
    if not answer.warmth:
        yield say("How fast it cools can't be told before the display's sizes are described.")
    if answer.battery_hours is not None:
        what = say("an air pump") if answer.air_pump_runs_on_it else say("what hangs on it")
        yield say(
            "Your battery carries {what} of {load} W for about {battery_hours}.",
            what=what,
            load=number_text(answer.battery_load or 0.0, 0),
            battery_hours=hours_words(answer.battery_hours),
        )
    else:
        yield say("A small air pump on a battery buys more here than anything else for its price.")


def _oxygen_words(case: OxygenCase) -> str:
    if case.until_act.short is None:
        return "never"
    return say(
        "{until_act}; then {until_grave}",
        until_act=span_words(case.until_act),
        until_grave=span_words(case.until_grave),
    )


def _warmth_words(warm: WarmthCase) -> str:
    later = ", ".join(
        say("{by_hour} after {hour} h", by_hour=range_words(warm.by_hour[hour], "°C"), hour=hour)
        for hour in (4, 12, 24)
    )
    if warm.hours is None:
        reach = say("it doesn't reach {limit} in a day", limit=degrees(warm.limit, 1))
    elif warm.never:
        reach = say(
            "{limit} after {hours_low} at the earliest",
            limit=degrees(warm.limit, 1),
            hours_low=hours_words(warm.hours.low),
        )
    else:
        hours = hours_range_words(warm.hours.low, warm.hours.high)
        reach = say("{limit} after {hours}", limit=degrees(warm.limit, 1), hours=hours)
    return say(
        "Temperature, {case} (room of {room}, if the room holds): {later}; {reach}.",
        case=warm.case,
        room=room_words(warm.room),
        later=later,
        reach=reach,
    )


def _oxygen_json(one: OxygenCase) -> Json:
    short, middle, long = one.exchange
    return {
        "case": one.case,
        "volume": figure(one.volume, "L"),
        "exchange": {"value": middle, "low": short, "high": long, "unit": "L/h"},
        "hours_to_act": span(one.until_act, "h"),
        "hours_to_grave": span(one.until_grave, "h"),
        "ends_at": span(one.ends_at, "mg/L"),
    }


def _warmth_json(one: WarmthCase) -> Json:
    return {
        "case": one.case,
        "room": air_json(one.room),
        "limit": figure(one.limit, "C"),
        "hours_to_limit": ranged(one.hours, "h"),
        "perhaps_never": one.never,
        "by_hour": [
            {"hour": hour, "value": at.value, "low": at.low, "high": at.high, "unit": "C"}
            for hour, at in enumerate(one.by_hour)
        ],
    }
