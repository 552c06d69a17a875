"""Figures of the rig with their ends: as JSON objects, and as words."""

from __future__ import annotations

from brinebook.lifesupport.humid_air import Air
from brinebook.lifesupport.outage import Span
from brinebook.lifesupport.ranges import Range
from brinebook.measure import Z95, Measure
from brinebook.report.numbers import measure_and_range_text, number_text
from brinebook.texts import say

Json = dict[str, object]

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def figure(value: float | None, unit: str) -> Json | None:
    """``{"value", "unit"}``, or None where there is none."""
    return None if value is None else {"value": value, "unit": unit}


def ranged(found: Range | None, unit: str) -> Json | None:
    """``{"value", "low", "high", "unit"}``, or None where there is none."""
    if found is None:
        return None
    return {"value": found.value, "low": found.low, "high": found.high, "unit": unit}


def span(found: Span, unit: str) -> Json:
    """``{"short", "middle", "long", "unit"}``; null where it is never reached."""
    return {"short": found.short, "middle": found.middle, "long": found.long, "unit": unit}


def air_json(air: Air) -> Json:
    """Temperature and humidity of a room."""
    return {
        "temperature": figure(air.temperature, "C"),
        "humidity": figure(air.humidity * 100.0, "%"),
    }


def range_words(found: Range, unit: str) -> str:
    """“216 W (130 to 370)”, at the digits that the range leaves it."""
    spread = (found.high - found.low) / (2 * Z95)
    return measure_and_range_text(Measure(found.value, spread, unit, found.low, found.high))


def percent(share: float) -> str:
    """“75 %”."""
    return f"{number_text(share * 100.0, 0)} %"


def degrees(value: float, decimals: int = 0) -> str:
    """“21 °C”."""
    return f"{number_text(value, decimals)} °C"


def room_words(air: Air) -> str:
    """“21 °C and 40 %”."""
    return say(
        "{temperature} and {humidity}",
        temperature=degrees(air.temperature),
        humidity=percent(air.humidity),
    )


def hours_words(hours: float) -> str:
    """“40 minutes”, “2.2 hours”, “18 hours”, “3 days”: as finely as such an hour is worth."""
    if hours < 1.0:
        minutes = number_text(max(hours * 60.0, 1.0), 0)
        return say("1 minute") if minutes == "1" else say("{minutes} minutes", minutes=minutes)
    if hours < 10.0:
        return say("{hours} hours", hours=number_text(hours, 1))
    if hours < 48.0:
        return say("{hours} hours", hours=number_text(hours, 0))
    return say("{hours} days", hours=number_text(hours / 24.0, 0))


def hours_range_words(short: float, long: float) -> str:
    """“1 to 4 minutes”, “40 minutes to 2.2 hours”: the unit once where both have the same."""
    first, last = hours_words(short), hours_words(long)
    if first == last:
        return first
    number, _, unit = first.partition(" ")
    same = unit.rstrip("s") == last.partition(" ")[2].rstrip("s")
    return say("{number} to {last}", number=number if same else first, last=last)


def span_words(found: Span) -> str:
    """“1.1 to 5.4 hours, likely 1.9”, with what is never reached said as such."""
    if found.short is None:
        return say("not within what can be told")
    if found.middle is None:
        return say("{short} at the worst, likely never", short=hours_words(found.short))
    if found.long is None:
        return say(
            "{short} at the worst, likely {middle}",
            short=hours_words(found.short),
            middle=hours_words(found.middle),
        )
    return say(
        "{short} to {long}, likely {middle}",
        short=number_text(found.short, 1),
        long=hours_words(found.long),
        middle=number_text(found.middle, 1),
    )
