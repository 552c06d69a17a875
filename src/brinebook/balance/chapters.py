"""The season in chapters: each decided with the next one in hand, then carried forward as a belief.

A chapter is some weeks of tests. The estimator weighs two chapters at a time; what it decides of
the earlier one stands, and the belief at its end starts the next. So the work grows with the number
of facts only, and a new fact costs one pair of chapters.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.explain import field_of
from brinebook.balance.field import Cause, Field, rescaled_field
from brinebook.balance.noise import (
    NoiseBelief,
    inverse,
    learn_noise,
    noise_ratio,
    rescaled,
    settled_noise,
)
from brinebook.balance.season import Floats, Season, Test
from brinebook.balance.state import Anchor, Belief, extend
from brinebook.balance.steps import Mover, Path, Tuning
from brinebook.balance.weigh import Story, Weigher, neighbours, search
from brinebook.balance.window import Moment, Window, walk

_CHAPTER_TESTS = 45
_CHAPTER_SHORTEST_DAYS = 21.0
_CHAPTER_LONGEST_DAYS = 80.0


#: The causes that are a change of the water: the others are a test's, a rate's or a container's.
CHANGES = frozenset({"jump", "exchange", "dilution", "fall", "stop"})


@dataclass(frozen=True, slots=True)
class Carried:
    """All that one chapter hands to the next."""

    belief: Belief | None
    noise: Mapping[str, NoiseBelief] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Finding:
    """A cause with what it did: coefficient, its sd, and the chance that it is so."""

    cause: Cause
    coefficient: float
    coefficient_sd: float
    probability: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A window read: the window, its field of causes, and the stories with their shares."""

    window: Window
    field: Field
    weigher: Weigher
    best: tuple[int, ...]
    stories: tuple[Story, ...]
    precision: Floats
    departure: Floats
    noise: Mapping[str, NoiseBelief]
    wrong: Floats  # probability of each row


def boundaries(season: Season, at: float) -> list[float]:
    """Starts of the chapters, and the end. They depend only on the tests before each."""
    times = sorted(test.t for test in season.tests)
    start = min([times[0], *(event.t for event in season.events[:1])]) - 0.5 if times else at - 1.0
    starts = [start]
    count = 0
    for position, t in enumerate(times):
        count += 1
        length = t - starts[-1]
        full = count >= _CHAPTER_TESTS and length >= _CHAPTER_SHORTEST_DAYS
        if not (full or (length >= _CHAPTER_LONGEST_DAYS and count >= 4)):
            continue
        following = times[position + 1] if position + 1 < len(times) else None
        if following is None or following - t > 0.1:
            starts.append(t + 0.05)
            count = 0
    while len(starts) > 1 and starts[-1] >= at:
        starts.pop()
    return [*starts, max(at, starts[-1] + 0.01)]


def usual_path(season: Season, start: float, end: float) -> Path:
    """Levels from ``start`` to ``end`` as the running median of three tests.

    That is where a step is linearised.
    """
    knots: list[tuple[Floats, Floats]] = []
    for rows in _recent_tests(season, start, end).values():
        times = np.array([row.t for row in rows] or [0.0])
        values = np.array([row.value for row in rows] or [0.0])
        if values.size >= 3:
            stacked = np.vstack([values[:-2], values[1:-1], values[2:]])
            middle = np.median(stacked, axis=0)
            values = np.concatenate([[middle[0]], middle, [middle[-1]]])
        knots.append((times, values))

    def path(t: float) -> Floats:
        return np.array([np.interp(t, times, values) for times, values in knots])

    return path


def _recent_tests(season: Season, start: float, end: float) -> dict[str, list[Test]]:
    """The system's own tests by quantity: those of the window, and two from before it.

    The last of the two is where the path comes from, the other is that one's neighbour.
    """
    found: dict[str, list[Test]] = {name: [] for name in season.quantities}
    before = dict.fromkeys(season.quantities, 2)
    for test in reversed(season.tests_in(-math.inf, end)):
        rows = found.get(test.quantity)
        if rows is None or test.target:
            continue
        if test.t <= start:
            if not before:
                break
            if test.quantity not in before:
                continue
            before[test.quantity] -= 1
            if not before[test.quantity]:
                del before[test.quantity]
        rows.append(test)
    for rows in found.values():
        rows.reverse()
    return found


def dosing_rate(season: Season, start: float, end: float) -> float:
    """Alkalinity that the settings bring in a day, meq/L/d, as set (at the believed volume)."""
    if "alkalinity" not in season.quantities:
        return 0.0
    position = season.quantities.index("alkalinity")
    length = max(end - start, 1.0)
    total = 0.0
    for flow in season.flows:
        total += float(flow.upto(end) - flow.upto(start)) * flow.brings[position]
    return max(total / length / season.volume, 0.0)


def read(
    season: Season,
    fixed: Anchor,
    carried: Carried,
    *,
    start: float,
    end: float,
    keep: tuple[float, ...] = (),
    tuning: Tuning | None = None,
    smooth: bool = False,
) -> Reading:
    """Read one window: walk, learn the noise, weigh the causes."""
    tuning = tuning or Tuning()
    belief = extend(
        season,
        fixed,
        carried.belief,
        start=start,
        end=end,
        dosing=dosing_rate(season, start, min(end, start + 30.0)),
    )
    path = usual_path(season, start, end)
    first = carried.belief is None
    reference = belief
    reading: Reading | None = None
    for _ in range(2 if first else 1):
        mover = Mover(season, fixed, reference, path, tuning)
        reading = _read_once(season, belief, mover, carried, end=end, keep=keep, smooth=smooth)
        if first:
            reference = _relinearised(reading, belief)
    assert reading is not None
    return reading


def _relinearised(reading: Reading, belief: Belief) -> Belief:
    mean, _ = posterior(reading, reading.window.end, reading.stories[0])
    middle = belief.mean.copy()
    D = reading.window.mover.moving
    middle[D:] = mean[D:]
    index = belief.index()
    if "growth" in index:
        middle[index["growth"]] = max(mean[index["growth"]], 0.0)
    return replace(belief, mean=middle)


def _read_once(
    season: Season,
    belief: Belief,
    mover: Mover,
    carried: Carried,
    *,
    end: float,
    keep: tuple[float, ...],
    smooth: bool,
) -> Reading:
    factors = {key: known.factor for key, known in carried.noise.items()}
    window = walk(season, belief, mover, end=end, keep=keep, noise_scale=factors, smooth=smooth)
    departure = np.array([row.value for row in window.rows]) - window.expected
    noise = dict(carried.noise)
    causes = field_of(window, season)
    weigher = Weigher(causes, inverse(window.covariance), departure)
    members = search(weigher)
    # What the first weighing calls sound teaches the noise; with that all is weighed again.
    learned = learn_noise(window, carried.noise, causes, weigher.story(members), departure)
    ratio = noise_ratio(window, noise, learned)
    window, noise = rescaled(window, ratio), learned
    causes = rescaled_field(causes, ratio)
    precision = inverse(window.covariance)
    weigher = Weigher(causes, precision, departure)
    members = search(weigher)
    stories = tuple(neighbours(weigher, members))
    wrong = np.zeros(len(window.rows))
    for story in stories:
        share = math.exp(story.weight)
        for cause in causes.of(story.members):
            wrong[list(cause.wrong_rows)] += share
    return Reading(window, causes, weigher, members, stories, precision, departure, noise, wrong)


def posterior(reading: Reading, moment: Moment, story: Story) -> tuple[Floats, Floats]:
    """Mean and covariance of the state at a moment, under one story, from the rows in its view."""
    window = reading.window
    n = moment.rows
    whole = n == len(window.rows)
    precision = reading.precision if whole else inverse(window.covariance[:n, :n])
    gain = moment.cross @ precision
    mean = moment.mean + gain @ reading.departure[:n]
    covariance = moment.covariance - gain @ moment.cross.T
    if story.members:
        causes = reading.field.cause[np.array(story.members)]
        U = reading.field.U[:n, causes]
        a, A = _coefficients(reading, story, U, precision)
        D = window.mover.moving
        R = np.zeros((mean.size, causes.size))
        for column, cause in enumerate(causes):
            R[:D, column] = reach_of(reading.field.causes[cause], moment, D)
        L = R - gain @ U
        mean = mean + L @ a
        covariance = covariance + L @ A @ L.T
    return mean, (covariance + covariance.T) / 2.0


def _coefficients(
    reading: Reading, story: Story, U: Floats, precision: Floats
) -> tuple[Floats, Floats]:
    """Mean and covariance of a story's coefficients, from the rows of ``U`` alone."""
    n = U.shape[0]
    if n == len(reading.window.rows):
        return story.coefficients, story.covariance
    chosen = np.array(story.members)
    a0, tau2 = reading.field.a0[chosen], reading.field.tau[chosen] ** 2
    A = np.linalg.inv(U.T @ precision @ U + np.diag(1.0 / tau2))
    mean = A @ (U.T @ precision @ reading.departure[:n] + a0 / tau2)
    return np.asarray(mean), np.asarray(A, dtype=np.float64)


def reach_of(cause: Cause, moment: Moment, moving: int) -> Floats:
    """What one unit of a cause has done to the moving state by a moment."""
    if not cause.columns or not moment.reach.size:
        return np.zeros(moving)
    return np.asarray(moment.reach[:, list(cause.columns)].sum(axis=1))


def findings(reading: Reading, before: float) -> list[Finding]:
    """The best story's changes of the water that begin before a time, and how likely each is."""
    best = reading.stories[0]
    chosen = [
        (position, cause)
        for position, cause in enumerate(reading.field.of(best.members))
        if cause.begins < before and cause.kind in CHANGES
    ]
    if not chosen:
        return []
    beside = reading.weigher.scan(best.members)
    return [
        Finding(
            cause,
            float(best.coefficients[position]),
            math.sqrt(max(float(best.covariance[position, position]), 0.0)),
            _share(reading, best.members[position], beside),
        )
        for position, cause in chosen
    ]


def _share(reading: Reading, member: int, beside: Floats) -> float:
    """Belief in a change of the best story, or one like it, against all else there may be instead.

    Either side may have one more cause beside it: a change that was only weighed together with idle
    ones would gain by each of them. ``beside``: log odds of each candidate beside the best story.
    """
    field, weigher = reading.field, reading.weigher
    members = reading.stories[0].members
    cause = field.causes[field.cause[member]]
    alike = np.array([_alike(cause, other) for other in field.causes], dtype=bool)[field.cause]
    without = weigher.scan(tuple(m for m in members if m != member))
    log_with = _log_sum(without[alike]) + float(np.logaddexp(0.0, _log_sum(beside[~alike])))
    log_without = float(np.logaddexp(0.0, _log_sum(without[~alike])))
    return 1.0 / (1.0 + math.exp(min(log_without - log_with, 700.0)))


def _log_sum(logs: Floats) -> float:
    if not logs.size or not np.isfinite(top := float(logs.max())):
        return -math.inf
    return top + math.log(float(np.exp(logs - top).sum()))


def _alike(cause: Cause, other: Cause) -> bool:
    near = other.begins <= cause.ends + 1.5 and other.ends >= cause.begins - 1.5
    return near and (cause.kind == other.kind) and cause.what == other.what


def settle(reading: Reading, carried: Carried, boundary: float) -> Carried:
    """What the chapter that ends at ``boundary`` hands on."""
    moment = reading.window.moments[boundary]
    mean, covariance = posterior(reading, moment, reading.stories[0])
    names = reading.window.start.names
    days = boundary - reading.window.start.t
    for position, name in enumerate(names):
        if name.startswith("pump|"):
            covariance[position, position] += beliefs.PUMP_WEAR**2 * days
    belief = Belief(boundary, names, mean, covariance)
    noise = settled_noise(reading.window.rows, carried.noise, reading.noise, decided=moment.rows)
    return Carried(belief, noise)
