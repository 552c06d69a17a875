"""Drills as a page shows them: the list worst first, and one unfolded with its courses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from brinebook.desk.drill import Change, Drilled, alike, one_of
from brinebook.desk.drill_words import (
    chance_words,
    cost,
    course_decimals,
    gain_words,
    harm_name,
    harm_words,
    moves,
    time_words,
)
from brinebook.desk.rig_degrees import course_in_keepers_unit, in_keepers_degrees
from brinebook.lifesupport.cautions import cautions
from brinebook.lifesupport.drill import Drill, DrillCourse, Remedy, best_remedies
from brinebook.plan import Caution
from brinebook.report.course_figure import CourseFigure, Point, course_figure, told_points
from brinebook.report.numbers import number_text
from brinebook.system import System
from brinebook.texts import say, say_count
from brinebook.texts.names import quantity_label

#: So many remedies stand on a page; the JSON has them all.
_MOST_REMEDIES = 6


@dataclass(frozen=True, slots=True)
class DrillRow:
    """One drill in the list, with those of its kind that come to the very same words."""

    id: str
    title: str
    time: str
    told: str
    alike: tuple[tuple[str, str], ...]  # id and title
    alike_words: str


@dataclass(frozen=True, slots=True)
class Harmed:
    """The drills of one degree of harm, with its name."""

    harm: int
    words: str
    rows: tuple[DrillRow, ...]

    @property
    def count(self) -> int:
        """How many drills its rows stand for."""
        return sum(1 + len(row.alike) for row in self.rows)


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One change with what it takes away, and the drills that it makes milder."""

    text: str
    words: str
    drills: tuple[tuple[str, str], ...]  # id and title


@dataclass(frozen=True, slots=True)
class CourseRow:
    """One hour of a course."""

    hour: str
    value: str
    between: str


@dataclass(frozen=True, slots=True)
class CourseShown:
    """A course as figure and table, with the value that calls for an act."""

    name: str
    unit: str
    limit: str
    rows: tuple[CourseRow, ...]
    figure: CourseFigure


@dataclass(frozen=True, slots=True)
class RemedyRow:
    """A remedy, and the same failure reckoned anew with it."""

    text: str
    cost: str
    told: str
    after: str


@dataclass(frozen=True, slots=True)
class Unfolded:
    """One drill for a page."""

    id: str
    title: str
    harm: str
    time: str
    told: str
    courses: tuple[CourseShown, ...]
    warns: tuple[str, ...]
    remedies: tuple[RemedyRow, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]
    chance: str  # the keeper's own in a year, as it would be typed


def harmed(found: Drilled, *, most: int | None = None) -> tuple[Harmed, ...]:
    """The list by degree of harm, worst first, alike ones gathered; ``most`` lines of it."""
    groups = groupby(alike(found.drills)[:most], key=lambda ones: ones[0].harm)
    return tuple(
        Harmed(harm, harm_words(harm), tuple(_row(ones, found.asked.system) for ones in drills))
        for harm, drills in groups
    )


def change_rows(found: Drilled, most: int = 6) -> tuple[ChangeRow, ...]:
    """What takes most harm away for little."""
    cheap = [one for one in found.changes if one.effort < 2][:most]
    return tuple(_change_row(one, found) for one in cheap)


def unfolded(found: Drilled, asked: str) -> Unfolded:
    """The drill of that id. Raises DrillUnknown."""
    one, system = one_of(found, asked), found.asked.system
    courses = [course_in_keepers_unit(course, system) for course in one.courses]
    return Unfolded(
        one.id,
        _in(system, _upper(one.title)),
        harm_words(one.harm),
        time_words(one.within),
        _in(system, one.told),
        tuple(_course(course) for course in courses if moves(course)),
        one.warns,
        tuple(_remedy(remedy, system) for remedy in best_remedies(one, _MOST_REMEDIES)),
        one.assumed,
        cautions(*one.cautions),
        "" if one.chance is None else f"{number_text(100 * one.chance, 1)} %",
    )


def _row(ones: Sequence[Drill], system: System) -> DrillRow:
    one, *others = ones
    return DrillRow(
        one.id,
        _in(system, _upper(one.title)),
        f"{time_words(one.within)}{chance_words(one)}",
        _in(system, one.told),
        tuple((other.id, _in(system, _upper(other.title))) for other in others),
        say_count(len(others), "and {count} more like it", "and {count} more like it")
        if others
        else "",
    )


def _change_row(one: Change, found: Drilled) -> ChangeRow:
    titles = {drill.id: drill.title for drill in found.drills}
    system = found.asked.system
    helped = tuple((helps, _in(system, titles[helps])) for helps in one.drills)
    return ChangeRow(_in(system, _upper(one.text)), gain_words(one), helped)


def _remedy(remedy: Remedy, system: System) -> RemedyRow:
    after = f"{harm_name(remedy.harm)}, {time_words(remedy.within)}"
    told = _in(system, _upper(remedy.told))
    return RemedyRow(_in(system, _upper(remedy.text)), cost(remedy), told, after)


def _course(course: DrillCourse) -> CourseShown:
    decimals = course_decimals(course)
    points = [Point(p.hour, p.value, p.low, p.high) for p in course.points]
    return CourseShown(
        _upper(quantity_label(course.name)) if course.name != "ph" else "pH",
        _unit(course),
        "" if course.limit is None else number_text(course.limit, decimals),
        tuple(_hour(p, decimals) for p in told_points(points)),
        course_figure(points, course.limit, decimals=decimals),
    )


def _hour(at: Point, decimals: int) -> CourseRow:
    low, high = number_text(at.low, decimals), number_text(at.high, decimals)
    between = "" if low == high else say("{low} to {high}", low=low, high=high)
    return CourseRow(number_text(at.hour, 0), number_text(at.value, decimals), between)


def _unit(course: DrillCourse) -> str:
    return {"C": "°C", "F": "°F"}.get(course.unit, course.unit)


def _in(system: System, text: str) -> str:
    return next(in_keepers_degrees([text], system))


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
