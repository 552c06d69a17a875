"""From a season to the answer: chapters read in turn, the last one's stories told as numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from brinebook.balance.arrange import arrange
from brinebook.balance.chapters import Carried, Reading, boundaries, read
from brinebook.balance.course import CoursePoint, course_point
from brinebook.balance.decided import (
    NOTHING,
    Change,
    Decided,
    Remembered,
    Suspect,
    changes,
    decide,
    suspects,
)
from brinebook.balance.mixture import Mixture, within
from brinebook.balance.past import Past
from brinebook.balance.questions import FORECAST_DAYS, tell
from brinebook.balance.season import Season, days_since_epoch
from brinebook.balance.state import anchor
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES


@dataclass(frozen=True, slots=True)
class SeasonEstimate:
    """All that is said of one season at one time.

    ``last`` is the reading of the last two chapters. ``chapters`` names those before, by what they
    rest on; ``fresh`` are the ones among them that nobody remembered.
    """

    season: Season
    at: float
    now: Mapping[str, Measure]
    consumption: Mapping[str, Measure]
    net_rate: Mapping[str, Measure]
    forecast: Mapping[str, tuple[Measure, ...]]
    outside: Mapping[str, tuple[float, float]]
    volume: Measure | None
    suspects: tuple[Suspect, ...]
    changes: tuple[Change, ...]
    course: tuple[CoursePoint, ...]
    last: Reading
    chapters: tuple[str, ...] = ()
    fresh: Mapping[str, Decided] = field(default_factory=dict)


class _Reader:
    """Reads one season chapter by chapter, and gathers what is found on the way."""

    def __init__(self, season: Season, course: Sequence[float]) -> None:
        self.past = Past(season, anchor(season))
        self.course = course
        self.carried = Carried(None)
        self.chapters: list[str] = []
        self.fresh: dict[str, Decided] = {}
        self.suspects: list[Suspect] = []
        self.changes: list[Change] = []
        self.points: list[CoursePoint] = []

    def settle(self, start: float, middle: float, end: float, remembered: Remembered) -> None:
        """Take in the chapter from ``start`` to ``middle``, weighed with the one to ``end``."""
        key = self.past.key(self.chapters[-1] if self.chapters else "", (start, middle, end))
        season = self.past.until(end)
        known = remembered.get(key)
        if known is None:
            reading = self._read(season, start, end, (middle,))
            known = self.fresh[key] = decide(reading, self.carried, middle)
        self._look_back(season, start, middle, end)
        self.chapters.append(key)
        self.suspects += known.suspects
        self.changes += known.changes
        self.carried = known.carried

    def finish(self, start: float, middle: float, end: float) -> Reading:
        """Read the last two chapters, with nothing after them to wait for."""
        season = self.past.season
        reading = self._read(season, start, end, (middle,))
        self._look_back(season, start, end, end)
        self.suspects += suspects(reading)
        self.changes += changes(reading)
        return reading

    def _read(
        self, season: Season, start: float, end: float, keep: tuple[float, ...], back: bool = False
    ) -> Reading:
        fixed, carried = self.past.fixed, self.carried
        return read(season, fixed, carried, start=start, end=end, keep=keep, smooth=back)

    def _look_back(self, season: Season, start: float, until: float, end: float) -> None:
        """Levels at the times of the course that lie after ``start`` and up to ``until``.

        They take a reading of their own: to stop at them would change what else is told by a
        rounding, and one answer would not be the same with a sheet and without.
        """
        wanted = tuple(t for t in self.course if start < t <= until)
        if wanted:
            names = self.past.season.quantities
            reading = self._read(season, start, end, wanted, back=True)
            self.points += (course_point(reading, t, names) for t in wanted)


def estimate_season(
    season: Season,
    at: float,
    *,
    bands: Mapping[str, tuple[float, float]],
    course: Sequence[float] = (),
    remembered: Remembered = NOTHING,
) -> SeasonEstimate:
    """Read a season to its end. ``course`` names times whose levels are wanted with hindsight.

    Chapters that are ``remembered`` aren't read again; the answer is the same to the last bit.
    """
    marks = boundaries(season, at)
    reader = _Reader(season, course)
    for times in zip(marks, marks[1:], marks[2:-1], strict=False):
        reader.settle(*times, remembered)
    first = max(len(marks) - 3, 0)
    reading = reader.finish(marks[first], marks[first + 1], marks[-1])
    return _estimate(reader, reading, at, bands=bands, told=tell(season, reading, at))


def _estimate(
    reader: _Reader,
    reading: Reading,
    at: float,
    *,
    bands: Mapping[str, tuple[float, float]],
    told: Mixture,
) -> SeasonEstimate:
    season = reader.past.season
    measures = told.measures()
    nq = len(season.quantities)
    names = list(enumerate(season.quantities))

    def level(block: int, position: int) -> Measure:
        measure = measures[block * nq + position]
        known = QUANTITIES[season.quantities[position]]
        return within(measure, known.low, known.high)

    days = range(FORECAST_DAYS)
    return SeasonEstimate(
        season=season,
        at=at,
        now={name: level(0, i) for i, name in names},
        consumption={name: measures[nq + i] for i, name in names},
        net_rate={name: measures[(2 + FORECAST_DAYS) * nq + i] for i, name in names},
        forecast={name: tuple(level(2 + day, i) for day in days) for i, name in names},
        outside={name: _outside(told, bands[name], nq, i) for i, name in names if name in bands},
        volume=_volume(season, measures[-1]) if len(measures) > (3 + FORECAST_DAYS) * nq else None,
        suspects=tuple(reader.suspects),
        changes=tuple(reader.changes),
        course=tuple(reader.points),
        last=reading,
        chapters=tuple(reader.chapters),
        fresh=reader.fresh,
    )


def _volume(season: Season, logarithm: Measure) -> Measure:
    low, middle, high = (
        season.volume * math.exp(value)
        for value in (logarithm.low, logarithm.value, logarithm.high)
    )
    return Measure(middle, middle * logarithm.sd, "L", low, high)


def _outside(
    told: Mixture, band: tuple[float, float], nq: int, position: int
) -> tuple[float, float]:
    """Chance of being under and over the band at the worst of the seven days."""
    answers = [nq * (2 + day) + position for day in range(FORECAST_DAYS)]
    return (
        max(told.below(answer, band[0]) for answer in answers),
        max(1.0 - told.below(answer, band[1]) for answer in answers),
    )


def estimate(
    system: System,
    facts: Sequence[Fact],
    at: datetime,
    *,
    course: Sequence[datetime] = (),
    remembered: Remembered = NOTHING,
) -> tuple[SeasonEstimate, ...]:
    """Estimate every season of the facts up to ``at``."""
    times = [days_since_epoch(when) for when in course]
    return tuple(
        estimate_season(
            season, days_since_epoch(at), bands=system.bands, course=times, remembered=remembered
        )
        for season in arrange(system, facts, at)
    )
