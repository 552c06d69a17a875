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
from brinebook.texts import say
from brinebook.units import QUANTITIES
from brinebook.water.quantities import from_canonical

_NUMBER = rf"[-{MINUS}]?\d+(?:[.,]\d+)?"


def shows_fahrenheit(system: System) -> bool:
    """Whether the keeper reads temperatures in °F."""
    return system.units.get("temperature") == "F"


def in_keepers_degrees(lines: Iterable[str], system: System) -> Iterator[str]:
    """The lines with every temperature in the keeper's unit, at as many decimals as before."""
    if not shows_fahrenheit(system):
        yield from lines
        return
    pattern = _temperature()
    for line in lines:
        yield pattern.sub(lambda found: _turned(found[0]), line)


def course_in_keepers_unit(course: DrillCourse, system: System) -> DrillCourse:
    """A course of a quantity in the unit that the keeper reads it in; any other as it is."""
    row = QUANTITIES.get(course.name)
    unit = system.units.get(course.name)
    if row is None or unit is None or course.unit != row.unit or unit == row.unit:
        return course
    if row.name == "ph":  # a scale and not a unit: another one would need the whole water
        return course

    def turned(value: float) -> float:
        return from_canonical(row, value, unit)

    return replace(
        course,
        unit=unit,
        limit=None if course.limit is None else turned(course.limit),
        points=tuple(
            DrillPoint(at.hour, turned(at.value), turned(at.low), turned(at.high))
            for at in course.points
        ),
    )


def fahrenheit(celsius: float) -> float:
    """°F of a temperature in °C."""
    return celsius * 1.8 + 32.0


def _temperature() -> re.Pattern[str]:
    """A temperature in °C as lines tell it, with a range and what it was before."""
    to, instead = re.escape(say(" to ")), re.escape(say(" instead of "))
    return re.compile(
        rf"{_NUMBER}(?:{to}{_NUMBER})? °C(?: \({_NUMBER}{to}{_NUMBER}\))?(?:{instead}{_NUMBER})?"
    )


def _turned(text: str) -> str:
    return re.sub(_NUMBER, lambda found: _number(found[0]), text).replace("°C", "°F")


def _number(text: str) -> str:
    plain = text.replace(MINUS, "-").replace(",", ".")
    decimals = len(plain.partition(".")[2])
    return number_text(fahrenheit(float(plain)), decimals)
