"""A drill: one failure of the described rig, or a pair, what comes of it and what would help.

The noun that every kind of failure is told in, so that drills of water, heat, damp, power and
dosing rank against each other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from brinebook.plan import Figure
from brinebook.texts import SpokenLine

#: What the worst of it is: nothing to speak of; a nuisance (noise, damp, a dry pump); animals under
#: stress, or machines spoilt; animals lost, or a floor under water; people in danger.
Harm = Literal[0, 1, 2, 3, 4]
HARMS = SpokenLine("nothing", "a nuisance", "stress", "losses", "danger to people")


@dataclass(frozen=True, slots=True)
class Within:
    """Hours that are left to act: short end first. None: that end never comes to harm."""

    short: float | None
    middle: float | None
    long: float | None


@dataclass(frozen=True, slots=True)
class DrillPoint:
    """One hour of a course: the middle and the ends that the spread of the inputs leaves it."""

    hour: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class DrillCourse:
    """How one figure goes from the failure on; ``limit`` is where it calls for an act."""

    name: str
    unit: str
    points: tuple[DrillPoint, ...]
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change of the rig, and what the same failure does after it, reckoned anew.

    ``effort`` orders remedies: 0 costs nothing (a mark, a setting), 1 little, 2 a machine.
    """

    text: str
    effort: Literal[0, 1, 2]
    harm: Harm
    within: Within | None
    told: str = ""  # the figure that shows it


@dataclass(frozen=True, slots=True)
class Drill:
    """One failure.

    ``id`` is stable while the names of the parts are: "heater-stuck-on/left heater". ``told`` is a
    sentence or two for a person, ``warns`` what would show it first. ``within`` is None where
    there is nothing to be in time for.
    """

    id: str
    fault: str
    parts: tuple[str, ...]
    title: str
    told: str
    harm: Harm
    within: Within | None
    figures: tuple[Figure, ...] = ()
    courses: tuple[DrillCourse, ...] = ()
    warns: tuple[str, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    cautions: tuple[str, ...] = ()  # ids of ``lifesupport.cautions``
    assumed: tuple[str, ...] = ()  # what the answer rests on that nobody described
    chance: float | None = None  # in a year, the keeper's own or marked as common practice
    chance_origin: str = ""


def ranked(drills: Iterable[Drill]) -> tuple[Drill, ...]:
    """The worst first; of those that are as bad, the one that leaves least time; then by id."""

    def order(drill: Drill) -> tuple[float, float, str]:
        short = drill.within.short if drill.within else None
        return -drill.harm, float("inf") if short is None else short, drill.id

    return tuple(sorted(drills, key=order))


def best_remedies(drill: Drill, most: int = 3) -> tuple[Remedy, ...]:
    """The remedies that take most harm away or win most time, the cheap ones first among equals."""

    def gain(remedy: Remedy) -> tuple[float, float, int]:
        before, after = _short(drill.within), _short(remedy.within)
        return remedy.harm - drill.harm, before - after if after != before else 0.0, remedy.effort

    helping = [
        remedy
        for remedy in drill.remedies
        if remedy.harm < drill.harm or _short(remedy.within) > _short(drill.within)
    ]
    return tuple(sorted(helping, key=gain)[:most])


def _short(within: Within | None) -> float:
    short = within.short if within else None
    return 1e9 if short is None else short
