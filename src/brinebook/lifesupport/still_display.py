"""A display that nothing moves any more: how long its oxygen lasts, and what buys more of it.

The same water and the same surface as in an outage, for a pump that stops and for the dark.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from brinebook.lifesupport.drill import Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import within_span
from brinebook.lifesupport.heat_model import months_of
from brinebook.lifesupport.outage import (
    ACT_BELOW,
    GRAVE_BELOW,
    STARTS_AT,
    Span,
    StillWater,
    exchange_range,
    oxygen_hours,
)
from brinebook.lifesupport.outage_answer import OxygenCase, bubbles_of, oxygen_cases, still_water
from brinebook.plan import Figure
from brinebook.rig import Rig
from brinebook.texts import say

#: What lasts longer than this is counted as one that nobody is home for, h.
NOBODY_HOME = 12.0
#: Roles of pumps that keep the water around them moving.
_MOVING = ("stream", "recirculation", "air", "feed")


@dataclass(frozen=True, slots=True)
class Stilled:
    """What it comes to that the display lies still: in words, harm, hours, and what helps."""

    told: str
    harm: Harm
    within: Within | None
    figures: tuple[Figure, ...]
    remedies: tuple[Remedy, ...]


def movers(rig: Rig) -> tuple[str, ...]:
    """The pumps that keep the display's water moving: the return, and what stands in it."""
    display = rig.vessel("display")
    if display is None:
        return ()
    return tuple(
        pump.name
        for pump in rig.pumps
        if pump.role == "return"
        or (pump.role in _MOVING and pump.place.partition("/")[0] in ("", display.name))
    )


def stilled(rig: Rig, litres: float, without: Collection[str]) -> Stilled | None:
    """The display when these pumps stand; None where another goes on moving it, or none is told."""
    moving = movers(rig)
    if not moving or not set(moving) <= set(without):
        return None
    still = still_water(rig, litres, pressure=months_of(rig)[0].pressure)
    case = oxygen_cases(rig, litres, still, STARTS_AT * still.saturation)[0]
    return Stilled(
        say(
            "Nothing else moves the display: oxygen is at 4 mg/L after {until_act}.",
            until_act=span_words(case.until_act),
        ),
        harm_of_oxygen(case),
        within_span(case.until_act),
        span_figures("hours_to_4", case.until_act),
        tuple(against_still(rig, litres, other_circuit=True)),
    )


def against_still(rig: Rig, litres: float, *, other_circuit: bool) -> Iterator[Remedy]:
    """What buys oxygen, reckoned for this water."""
    still = still_water(rig, litres, pressure=months_of(rig)[0].pressure)
    bubbled = exchange_range(still, bubbles=bubbles_of(rig), moved=True)
    moved = exchange_range(still, moved=True)
    yield _remedy(say("an air pump on a battery of its own"), 1, still, bubbled)
    what = (
        say("one stream pump on another circuit")
        if other_circuit
        else say("a stream pump on a battery")
    )
    yield _remedy(what, 1 if other_circuit else 2, still, moved)


def _remedy(
    text: str, effort: int, still: StillWater, exchange: tuple[float, float, float]
) -> Remedy:
    start = STARTS_AT * still.saturation
    until = oxygen_hours(still, start, limit=ACT_BELOW, exchange=exchange)
    grave = oxygen_hours(still, start, limit=GRAVE_BELOW, exchange=exchange)
    case = OxygenCase(text, still.volume, exchange, until, grave, until)
    return Remedy(
        text,
        effort,  # type: ignore[arg-type]
        harm_of_oxygen(case),
        within_span(until),
        say("{until} to 4 mg/L", until=span_words(until)),
    )


def harm_of_oxygen(case: OxygenCase) -> Harm:
    """Losses where even a likely outage of half a day is too long; stress where only a bad one."""
    middle, short = case.until_grave.middle, case.until_grave.short
    if middle is not None and middle <= NOBODY_HOME:
        return 3
    return 2 if short is not None else 1


def span_words(span: Span) -> str:
    """“1.0 to 4.9 h (likely 1.8)”."""
    if span.short is None:
        return say("more hours than can be told")
    if span.long is None:
        likely = (
            say("likely never")
            if span.middle is None
            else say("likely {middle:.1f}", middle=span.middle)
        )
        return say("{short:.1f} h at the worst ({likely})", short=span.short, likely=likely)
    return say(
        "{short:.1f} to {long:.1f} h (likely {middle:.1f})",
        short=span.short,
        long=span.long,
        middle=span.middle,
    )


def span_figures(name: str, span: Span) -> tuple[Figure, ...]:
    """A span as a figure of a drill; none where it is likely never reached."""
    if span.middle is None:
        return ()
    return (Figure(name, span.middle, "h", span.short, span.long),)
