"""From a season to the answer: chapters read in turn, the last one's stories told as numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.arrange import arrange
from brinebook.balance.chapters import (
    Carried,
    Finding,
    Reading,
    boundaries,
    findings,
    posterior,
    read,
    settle,
)
from brinebook.balance.mixture import Mixture, not_negative
from brinebook.balance.season import Floats, Season, days_since_epoch
from brinebook.balance.state import anchor
from brinebook.balance.steps import Mover
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.timeline import Fact

FORECAST_DAYS = 7
_LEAST_SHARE = math.log(0.004)
#: Doubt about the water that has evaporated since the last top-off by hand, as a share of it.
_MISSING_DOUBT = 0.35


@dataclass(frozen=True, slots=True)
class Suspect:
    """A test more likely wrong than not."""

    fact: str
    t: float
    quantity: str
    value: float
    method: str
    replicate: str
    probability: float


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """Levels and use at one time with hindsight: mean and sd by quantity."""

    t: float
    level: Floats
    level_sd: Floats
    use: Floats
    use_sd: Floats


@dataclass(frozen=True, slots=True)
class SeasonEstimate:
    """All that is said of one season at one time."""

    season: Season
    at: float
    now: Mapping[str, Measure]
    consumption: Mapping[str, Measure]
    net_rate: Mapping[str, Measure]
    forecast: Mapping[str, tuple[Measure, ...]]
    outside: Mapping[str, tuple[float, float]]
    volume: Measure | None
    suspects: tuple[Suspect, ...]
    changes: tuple[tuple[Finding, Reading], ...]
    course: tuple[CoursePoint, ...]
    last: Reading


def estimate_season(
    season: Season,
    at: float,
    *,
    bands: Mapping[str, tuple[float, float]],
    course: Sequence[float] = (),
) -> SeasonEstimate:
    """Read a season to its end. ``course`` names times whose levels are wanted with hindsight."""
    fixed = anchor(season)
    marks = boundaries(season, at)
    carried = Carried(None)
    suspects: list[Suspect] = []
    changes: list[tuple[Finding, Reading]] = []
    points: list[CoursePoint] = []
    count = len(marks) - 1
    for position in range(max(count - 1, 1)):
        last = position >= count - 2
        end = marks[min(position + 2, count)]
        middle = marks[position + 1]
        horizon = math.inf if last else middle
        wanted = tuple(t for t in course if marks[position] < t <= min(horizon, end))
        reading = read(
            season,
            fixed,
            carried,
            start=marks[position],
            end=end,
            keep=(middle, *wanted),
            smooth=bool(wanted),
        )
        suspects.extend(_suspects(reading, horizon))
        changes.extend((finding, reading) for finding in findings(reading, horizon))
        points.extend(_course_point(reading, t) for t in wanted)
        if not last:
            carried = settle(reading, carried, middle)
    told = _tell(season, reading, at)
    found = (suspects, changes, points)
    return _estimate(season, at, bands=bands, told=told, reading=reading, found=found)


def _suspects(reading: Reading, before: float) -> list[Suspect]:
    found = []
    for row, probability in zip(reading.window.rows, reading.wrong, strict=True):
        test = row.test
        if test is None or row.t >= before or probability <= 0.5:
            continue
        found.append(
            Suspect(
                fact=test.fact,
                t=test.t,
                quantity=test.quantity,
                value=test.value,
                method=test.method,
                replicate=test.replicate,
                probability=float(min(probability, 1.0)),
            )
        )
    return found


@dataclass(frozen=True, slots=True)
class _Questions:
    """Linear questions to a state: rows, constants and added variances."""

    rows: Floats
    constants: Floats
    variances: Floats


def _levels(mover: Mover, at: float) -> _Questions:
    """The levels as they are: what has evaporated and not been replaced concentrates them."""
    rows = np.zeros((mover.nq, len(mover.names)))
    missing = min(float(mover.season.deficit(at)) / mover.litres, 0.3)
    rows[:, : mover.nq] = np.eye(mover.nq) / (1.0 - missing)
    return _Questions(rows, np.zeros(mover.nq), _missing_variance(mover, at, missing))


def _missing_variance(mover: Mover, at: float, missing: float) -> Floats:
    """Nobody measures evaporation by the hour: doubt about the missing water, on each level."""
    return np.asarray((_MISSING_DOUBT * missing * mover.path(at)) ** 2)


def _usual_missing(mover: Mover) -> float:
    """The share of water missing on the average of the last month, with top-off by hand."""
    times = mover.season.deficit_times
    if times.size == 0:
        return 0.0
    grid = np.linspace(max(times[-1] - 30.0, times[0]), times[-1], 121)
    return min(float(mover.season.deficit(grid).mean()) / mover.litres, 0.3)


def _uses(season: Season, mover: Mover, at: float) -> _Questions:
    """What the system takes out in a day: the drift of the levels without what comes in."""
    nq, D = mover.nq, mover.moving
    rows = np.zeros((nq, len(mover.names)))
    rows[:, :D] = -mover.A[:nq]
    for position, name in enumerate(season.quantities):
        column = mover.index.get(f"food|{name}")
        if column is not None and season.food is not None:
            eaten = float(season.food.upto(at) - season.food.upto(at - 1.0)) / mover.litres
            rows[position, column] -= eaten * season.food.brings[position]
    return _Questions(rows, -mover.constant[:nq], np.diag(mover.noise)[:nq].copy())


def _ahead(mover: Mover, at: float) -> list[_Questions]:
    """The levels one to seven days on, dosing and continuous changes going on as they are."""
    times = at + np.arange(FORECAST_DAYS + 1, dtype=float)
    found = []
    total = None
    missing = _usual_missing(mover)
    more = 1.0 / (1.0 - missing)
    doubt = _missing_variance(mover, at, 1.5 * missing)
    for step in mover.stretches(times):
        total = step if total is None else total.then(step)
        rows = np.hstack([total.A, total.B])[: mover.nq] * more
        spread = np.diag(total.Q)[: mover.nq] * more**2 + doubt
        found.append(_Questions(rows, total.u[: mover.nq] * more, spread))
    return found


def _volume_question(mover: Mover) -> list[_Questions]:
    if "volume" not in mover.index:
        return []
    row = np.zeros((1, len(mover.names)))
    row[0, mover.index["volume"]] = 1.0
    return [_Questions(row, np.zeros(1), np.zeros(1))]


def _ask(reading: Reading, questions: list[_Questions]) -> Mixture:
    """Put the questions to the end state under every story that still counts."""
    rows = np.vstack([q.rows for q in questions])
    constants = np.concatenate([q.constants for q in questions])
    variances = np.concatenate([q.variances for q in questions])
    stories = [story for story in reading.stories if story.weight > _LEAST_SHARE]
    stories = stories or list(reading.stories[:1])
    shares = np.exp(np.array([story.weight for story in stories]))
    means, sds = [], []
    for story in stories:
        mean, covariance = posterior(reading, reading.window.end, story)
        means.append(rows @ mean + constants)
        spread = np.einsum("ij,jk,ik->i", rows, covariance, rows) + variances
        sds.append(np.sqrt(np.maximum(spread, 1e-18)))
    return Mixture(shares / shares.sum(), np.array(means), np.array(sds))


def _tell(season: Season, reading: Reading, at: float) -> Mixture:
    """Answers in blocks of all quantities: now, use, seven days ahead, net rate; then volume."""
    mover = reading.window.mover
    now, ahead = _levels(mover, at), _ahead(mover, at)
    net = _Questions(ahead[0].rows - now.rows, ahead[0].constants, ahead[0].variances)
    questions = [now, _uses(season, mover, at), *ahead, net, *_volume_question(mover)]
    return _ask(reading, questions)


def _estimate(
    season: Season,
    at: float,
    *,
    bands: Mapping[str, tuple[float, float]],
    told: Mixture,
    reading: Reading,
    found: tuple[list[Suspect], list[tuple[Finding, Reading]], list[CoursePoint]],
) -> SeasonEstimate:
    measures = told.measures()
    nq = len(season.quantities)
    names = list(enumerate(season.quantities))

    def level(block: int, position: int) -> Measure:
        measure = measures[block * nq + position]
        positive = beliefs.BELIEFS[season.quantities[position]].nonnegative
        return not_negative(measure) if positive else measure

    days = range(FORECAST_DAYS)
    suspects, changes, points = found
    return SeasonEstimate(
        season=season,
        at=at,
        now={name: level(0, i) for i, name in names},
        consumption={name: measures[nq + i] for i, name in names},
        net_rate={name: measures[(2 + FORECAST_DAYS) * nq + i] for i, name in names},
        forecast={name: tuple(level(2 + day, i) for day in days) for i, name in names},
        outside={name: _outside(told, bands[name], nq, i) for i, name in names if name in bands},
        volume=_volume(season, measures[-1]) if len(measures) > (3 + FORECAST_DAYS) * nq else None,
        suspects=tuple(suspects),
        changes=tuple(changes),
        course=tuple(points),
        last=reading,
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


def _course_point(reading: Reading, t: float) -> CoursePoint:
    mover = reading.window.mover
    mean, covariance = posterior(reading, reading.window.smooth[t], reading.stories[0])
    levels, uses = _levels(mover, t), _uses(mover.season, mover, t)

    def spread(q: _Questions) -> Floats:
        variance = np.einsum("ij,jk,ik->i", q.rows, covariance, q.rows) + q.variances
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    return CoursePoint(
        t, levels.rows @ mean, spread(levels), uses.rows @ mean + uses.constants, spread(uses)
    )


def estimate(
    system: System, facts: Sequence[Fact], at: datetime, *, course: Sequence[datetime] = ()
) -> tuple[SeasonEstimate, ...]:
    """Estimate every season of the facts up to ``at``."""
    times = [days_since_epoch(when) for when in course]
    return tuple(
        estimate_season(season, days_since_epoch(at), bands=system.bands, course=times)
        for season in arrange(system, facts, at)
    )
