"""Temperatures of the rig in the keeper's own unit: what is told in °C turns into °F at the door.

The rooms below reckon and word in °C. Differences are told in degrees or K there, never in °C, so
that every °C in a line is a temperature.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from brinebook.lifesupport.drill import DrillCourse, DrillPoint
from brinebook.report.numbers import MINUS, number_text
from brinebook.system import System

_NUMBER = rf"[-{MINUS}]?\d+(?:\.\d+)?"
_TEMPERATURE = re.compile(
    rf"{_NUMBER}(?: to {_NUMBER})? °C(?: \({_NUMBER} to {_NUMBER}\))?(?: instead of {_NUMBER})?"
)


def shows_fahrenheit(system: System) -> bool:
    """Whether the keeper reads temperatures in °F."""
    return system.units.get("temperature") == "F"


def in_keepers_degrees(lines: Iterable[str], system: System) -> Iterator[str]:
    """The lines with every temperature in the keeper's unit, at as many decimals as before."""
    if not shows_fahrenheit(system):
        yield from lines
        return
    for line in lines:
        yield _TEMPERATURE.sub(lambda found: _turned(found[0]), line)


def course_in_keepers_degrees(course: DrillCourse, system: System) -> DrillCourse:
    """A course of temperature in the keeper's unit; any other as it is."""
    if course.unit != "C" or not shows_fahrenheit(system):
        return course
    return replace(
        course,
        unit="F",
        limit=None if course.limit is None else fahrenheit(course.limit),
        points=tuple(
            DrillPoint(at.hour, fahrenheit(at.value), fahrenheit(at.low), fahrenheit(at.high))
            for at in course.points
        ),
    )


def fahrenheit(celsius: float) -> float:
    """°F of a temperature in °C."""
    return celsius * 1.8 + 32.0


def _turned(text: str) -> str:
    return re.sub(_NUMBER, lambda found: _number(found[0]), text).replace("°C", "°F")


def _number(text: str) -> str:
    decimals = len(text.partition(".")[2])
    return number_text(fahrenheit(float(text.replace(MINUS, "-"))), decimals)
