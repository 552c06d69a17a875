"""From a season to the answer: chapters read in turn, and the last one's stories told as numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
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
    fixed_points,
    posterior,
    read,
    settle,
)
from brinebook.balance.season import Floats, Season, days_since_epoch
from brinebook.balance.state import Anchor
from brinebook.balance.steps import Mover
from brinebook.measure import Z95, Measure
from brinebook.system import System
from brinebook.timeline import Fact

FORECAST_DAYS = 7


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
    spell: bool


@dataclass(frozen=True, slots=True)
class SeasonEstimate:
    """All that is said of one season at one time."""

    season: Season
    at: float
    now: dict[str, Measure]
    consumption: dict[str, Measure]
    net_rate: dict[str, Measure]
    forecast: dict[str, tuple[Measure, ...]]
    outside: dict[str, tuple[float, float]]
    volume: Measure | None
    suspects: tuple[Suspect, ...]
    changes: tuple[tuple[Finding, Reading], ...]
    last: Reading


def estimate_season(season: Season, at: float, bands: dict[str, tuple[float, float]]) -> SeasonEstimate:
    """Read a season to its end."""
    fixed = fixed_points(season)
    marks = boundaries(season, at)
    carried = Carried(None)
    suspects: list[Suspect] = []
    changes: list[tuple[Finding, Reading]] = []
    count = len(marks) - 1
    reading: Reading | None = None
    for position in range(max(count - 1, 1)):
        last = position >= count - 2
        end = marks[min(position + 2, count)]
        middle = marks[position + 1]
        reading = read(season, fixed, carried, start=marks[position], end=end, keep=(middle,))
        horizon = math.inf if last else middle
        suspects.extend(suspects_of(reading, horizon))
        changes.extend((finding, reading) for finding in findings(reading, horizon))
        if not last:
            carried = settle(reading, carried, middle)
    assert reading is not None
    return _tell(season, fixed, at, bands, reading, suspects, changes)


def suspects_of(reading: Reading, before: float) -> list[Suspect]:
    """Tests of a window before a time that are more likely wrong than not."""
    found = []
    for row, probability in zip(reading.window.rows, reading.wrong, strict=True):
        if row.test is None or row.t >= before or probability <= 0.5:
            continue
        found.append(
            Suspect(
                row.test.fact, row.t, row.test.quantity, row.test.value, row.test.method,
                row.test.replicate, float(min(probability, 1.0)), False,
            )  # fmt: skip
        )
    return found


@dataclass(frozen=True, slots=True)
class _Functionals:
    """Linear answers of the end state: rows, constants and added variances."""

    rows: Floats
    constants: Floats
    variances: Floats


def _functionals(season: Season, mover: Mover, at: float) -> _Functionals:
    """Now, consumption, and the levels one to seven days on, for every quantity."""
    nq, size, D = mover.nq, len(mover.names), mover.moving
    rows, constants, variances = [], [], []
    for position in range(nq):
        row = np.zeros(size)
        row[position] = 1.0
        rows.append(row)
        constants.append(0.0)
        variances.append(0.0)
    for position, name in enumerate(season.quantities):
        row = np.zeros(size)
        row[:D] = -mover.A[position]
        rows.append(row)
        constants.append(-mover.constant[position])
        variances.append(float(mover.noise[position, position]))
        column = mover.index.get(f"food|{name}")
        if column is not None and season.food is not None:
            eaten = float(season.food.upto(at) - season.food.upto(at - 1.0)) / mover.litres
            row[column] -= eaten * season.food.brings[position]
    times = at + np.arange(FORECAST_DAYS + 1, dtype=float)
    total = None
    for step in mover.stretches(times):
        total = step if total is None else total.then(step)
        for position in range(nq):
            rows.append(np.concatenate([total.A[position], total.B[position]]))
            constants.append(float(total.u[position]))
            variances.append(float(total.Q[position, position]))
    return _Functionals(np.array(rows), np.array(constants), np.array(variances))


_erf = np.vectorize(math.erf, otypes=[float])


def mixture_quantiles(
    shares: Floats, means: Floats, sds: Floats, levels: tuple[float, ...]
) -> Floats:
    """Quantiles of normal mixtures by bisection: stories x answers in, levels x answers out."""
    low = (means - 9.0 * sds).min(axis=0)
    high = (means + 9.0 * sds).max(axis=0)
    found = np.zeros((len(levels), means.shape[1]))
    if shares.size == 1:
        from statistics import NormalDist

        for k, level in enumerate(levels):
            found[k] = means[0] + NormalDist().inv_cdf(level) * sds[0]
        return found
    for k, level in enumerate(levels):
        a, b = low.copy(), high.copy()
        for _ in range(36):
            middle = (a + b) / 2.0
            below = 0.5 * (1.0 + _erf((middle - means) / (sds * math.sqrt(2.0))))
            under = shares @ below < level
            a = np.where(under, middle, a)
            b = np.where(under, b, middle)
        found[k] = (a + b) / 2.0
    return found


def _tell(
    season: Season,
    fixed: Anchor,
    at: float,
    bands: dict[str, tuple[float, float]],
    reading: Reading,
    suspects: list[Suspect],
    changes: list[tuple[Finding, Reading]],
) -> SeasonEstimate:
    window = reading.window
    mover = window.mover
    stories = [story for story in reading.stories if story.weight > math.log(0.004)]
    shares = np.exp(np.array([story.weight for story in stories]))
    shares /= shares.sum()
    answers = _functionals(season, mover, at)
    net = answers.rows[2 * mover.nq : 3 * mover.nq] - answers.rows[: mover.nq]
    rows = np.vstack([answers.rows, net])
    constants = np.concatenate([answers.constants, answers.constants[2 * mover.nq : 3 * mover.nq]])
    variances = np.concatenate([answers.variances, answers.variances[2 * mover.nq : 3 * mover.nq]])
    volume_at = mover.index.get("volume")
    if volume_at is not None:
        row = np.zeros((1, rows.shape[1]))
        row[0, volume_at] = 1.0
        rows = np.vstack([rows, row])
        constants = np.append(constants, 0.0)
        variances = np.append(variances, 0.0)
    means, sds = [], []
    for story in stories:
        mean, covariance = posterior(reading, window.end, story)
        means.append(rows @ mean + constants)
        spread = np.einsum("ij,jk,ik->i", rows, covariance, rows) + variances
        sds.append(np.sqrt(np.maximum(spread, 1e-18)))
    M, V = np.array(means), np.array(sds)
    quantiles = mixture_quantiles(shares, M, V, (0.025, 0.5, 0.975))
    average = shares @ M
    spread = np.sqrt(shares @ (V**2 + M**2) - average**2 + 1e-30)

    def measure(i: int, unit: str, *, floor: bool) -> Measure:
        low, middle, high = (float(q) for q in quantiles[:, i])
        if floor:
            low, middle, high = max(low, 0.0), max(middle, 0.0), max(high, 0.0)
        return Measure(middle, float(spread[i]), unit, low, high)

    now, use, net_rate, forecast, outside = {}, {}, {}, {}, {}
    nq = mover.nq
    for position, name in enumerate(season.quantities):
        belief = beliefs.BELIEFS[name]
        floor = belief.nonnegative
        now[name] = measure(position, "", floor=floor)
        use[name] = measure(nq + position, "", floor=False)
        net_rate[name] = measure(rows.shape[0] - nq - (volume_at is not None) + position, "", floor=False)
        forecast[name] = tuple(
            measure(nq * (2 + day) + position, "", floor=floor) for day in range(FORECAST_DAYS)
        )
        if name in bands:
            outside[name] = _outside(bands[name], shares, M, V, nq, position)
    volume = None
    if volume_at is not None:
        low, middle, high = (season.volume * math.exp(float(q)) for q in quantiles[:, -1])
        volume = Measure(middle, middle * float(spread[-1]), "L", low, high)
    return SeasonEstimate(
        season, at, now, use, net_rate, forecast, outside, volume, tuple(suspects), tuple(changes),
        reading,
    )  # fmt: skip


def _outside(
    band: tuple[float, float], shares: Floats, M: Floats, V: Floats, nq: int, position: int
) -> tuple[float, float]:
    """Chance of being under and over the band at the worst of the seven days."""
    worst = [0.0, 0.0]
    for day in range(FORECAST_DAYS):
        i = nq * (2 + day) + position
        for side, edge in enumerate(band):
            below = float(
                shares @ (0.5 * (1.0 + _erf((edge - M[:, i]) / (V[:, i] * math.sqrt(2.0)))))
            )
            worst[side] = max(worst[side], below if side == 0 else 1.0 - below)
    return worst[0], worst[1]


def estimate(system: System, facts: Sequence[Fact], at: datetime) -> tuple[SeasonEstimate, ...]:
    """Estimate every season of the facts up to ``at``."""
    return tuple(
        estimate_season(season, days_since_epoch(at), dict(system.bands))
        for season in arrange(system, facts, at)
    )


_ = Z95
