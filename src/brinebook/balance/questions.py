"""What is asked of a state: levels now and ahead, use, volume, each a linear question."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.chapters import Reading, posterior
from brinebook.balance.mixture import Mixture
from brinebook.balance.season import Exchange, Floats, Pour, Season
from brinebook.balance.steps import Mover
from brinebook.balance.sudden import at_once

FORECAST_DAYS = 7
#: Stories with a smaller share (as a logarithm) are left out of a mixture.
LEAST_SHARE = math.log(0.004)
#: Doubt about the water that has evaporated since the last top-off by hand, as a share of it.
_MISSING_DOUBT = 0.35
_DAY_PARTS = 48
#: Of what is taken up at such a share a day, a meal leaves little to see at the next test: a day's
#: use varies so many times more than the levels do from day to day (common practice, no source).
_TAKEN_UP, _MEALS = 0.1, 1.5


@dataclass(frozen=True, slots=True)
class Questions:
    """Linear questions to a state: rows, constants and added variances."""

    rows: Floats
    constants: Floats
    variances: Floats


def levels(mover: Mover, at: float) -> Questions:
    """The levels as they are: what has evaporated and not been replaced concentrates them."""
    rows = np.zeros((mover.nq, len(mover.names)))
    missing = min(float(mover.season.deficit(at)) / mover.litres, 0.3)
    rows[:, : mover.nq] = np.eye(mover.nq) / (1.0 - missing)
    rows += waves(mover, at)
    return Questions(rows, np.zeros(mover.nq), missing_variance(mover, at, missing))


def waves(mover: Mover, at: float) -> Floats:
    """What is not known of the day's swing, on each level: the same at the same hour of any day."""
    return np.array([mover.waves(at, name) for name in mover.season.quantities])


def missing_variance(mover: Mover, at: float, missing: float) -> Floats:
    """Nobody measures evaporation by the hour: doubt about the missing water, on each level."""
    return np.asarray((_MISSING_DOUBT * missing * mover.path(at)) ** 2)


def usual_missing(mover: Mover) -> float:
    """The share of water missing on the average of the last month, with top-off by hand."""
    times = mover.season.deficit_times
    if times.size == 0:
        return 0.0
    grid = np.linspace(max(times[-1] - 30.0, times[0]), times[-1], 121)
    return min(float(mover.season.deficit(grid).mean()) / mover.litres, 0.3)


def uses(season: Season, mover: Mover, at: float) -> Questions:
    """What the system takes out in the 24 hours before: the drift of the levels without what comes
    in, at the levels as they were on the average of that day (dosing makes a sawtooth)."""
    nq, D = mover.nq, mover.moving
    rows = np.zeros((nq, len(mover.names)))
    drift, levels = mover.A[:nq], mover.A[:nq, :nq]
    # Half a day ago, on the average, the levels were higher by half a day's use, less what came in.
    rows[:, :D] = -drift + levels @ drift / 2.0
    constants = -mover.constant[:nq] + levels @ (mover.constant[:nq] / 2.0 + _lately_in(mover, at))
    if "response" in mover.index:
        response = mover.index["response"]
        responded = mover.responded(mover.path(at))
        rows[:, response] = -responded
        constants += responded * mover.mean[response]
    for position, name in enumerate(season.quantities):
        column = mover.index.get(f"food|{name}")
        if column is not None and season.food is not None:
            eaten = float(season.food.upto(at) - season.food.upto(at - 1.0)) / mover.litres
            rows[position, column] -= eaten * season.food.brings[position]
    return Questions(rows, constants, np.diag(mover.noise)[:nq] * _meals(season))


def losses(mover: Mover, at: float) -> Questions:
    """What a day's unseen losses of water take from each level, at the levels then."""
    rows = np.zeros((mover.nq, len(mover.names)))
    if "lost" not in mover.index:
        return Questions(rows, np.zeros(mover.nq), np.zeros(mover.nq))
    rows[:, mover.index["lost"]] = mover.path(at)
    return Questions(rows, beliefs.WATER_LOST * mover.path(at), np.zeros(mover.nq))


def _meals(season: Season) -> Floats:
    """How many times the variance of a day's use is what the levels' unrest shows."""
    quick = [beliefs.BELIEFS[name].pull >= _TAKEN_UP for name in season.quantities]
    return np.where(quick, _MEALS, 1.0)


def _lately_in(mover: Mover, at: float) -> Floats:
    """What dosing, doses and changes of the last day raised, on the average of that day, between
    its moments and its end."""
    grid = at - (np.arange(_DAY_PARTS) + 0.5) / _DAY_PARTS
    raised = np.zeros(mover.nq)
    for flow in mover.season.flows:
        share, _ = mover.delivery(flow)
        after = float(flow.upto(at)) - float(np.mean(flow.upto(grid)))
        raised += after * share * flow.brings
    # More is used by day than by night.
    ahead = float(mover.swing(at)) - float(np.mean(mover.swing(grid)))
    drift = mover.growing @ _usual(mover, at) + mover.growing_constant
    raised += ahead * drift[: mover.nq]
    for stream in mover.season.streams_in(at - 1.0, at):
        after = float(stream.flow.upto(at)) - float(np.mean(stream.flow.upto(grid)))
        share = after if stream.is_fraction else after / mover.litres
        raised += share * (stream.incoming - mover.path(at))
    for event in mover.season.events:
        if at - 1.0 < event.t <= at and isinstance(event, Pour | Exchange):
            step = at_once(mover, event)
            moved = (step.A[: mover.nq, : mover.nq] - np.eye(mover.nq)) @ mover.path(event.t)
            moved += step.u[: mover.nq] + step.B[: mover.nq] @ mover.mean[mover.moving :]
            raised += (event.t - (at - 1.0)) * moved
    return raised


def _usual(mover: Mover, at: float) -> Floats:
    """The moving state as it is about a time: the usual levels, and what else was believed."""
    state = mover.mean[: mover.moving].copy()
    state[: mover.nq] = mover.path(at)
    return state


def _ahead(mover: Mover, at: float) -> list[Questions]:
    """The levels one to seven days on, dosing and continuous changes going on as they are."""
    times = at + np.arange(FORECAST_DAYS + 1, dtype=float)
    found = []
    total = None
    missing = usual_missing(mover)
    more = 1.0 / (1.0 - missing)
    doubt = missing_variance(mover, at, 1.5 * missing)
    for step in mover.stretches(times):
        total = step if total is None else total.then(step)
        rows = np.hstack([total.A, total.B])[: mover.nq] * more + waves(mover, at)
        spread = np.diag(total.Q)[: mover.nq] * more**2 + doubt
        found.append(Questions(rows, total.u[: mover.nq] * more, spread))
    return found


def _volume_question(mover: Mover) -> list[Questions]:
    if "volume" not in mover.index:
        return []
    row = np.zeros((1, len(mover.names)))
    row[0, mover.index["volume"]] = 1.0
    return [Questions(row, np.zeros(1), np.zeros(1))]


def ask(reading: Reading, questions: list[Questions]) -> Mixture:
    """Put the questions to the end state under every story that still counts."""
    rows = np.vstack([q.rows for q in questions])
    constants = np.concatenate([q.constants for q in questions])
    variances = np.concatenate([q.variances for q in questions])
    stories = [story for story in reading.stories if story.weight > LEAST_SHARE]
    stories = stories or list(reading.stories[:1])
    shares = np.exp(np.array([story.weight for story in stories]))
    means, sds = [], []
    for story in stories:
        mean, covariance = posterior(reading, reading.window.end, story)
        means.append(rows @ mean + constants)
        spread = np.einsum("ij,jk,ik->i", rows, covariance, rows) + variances
        sds.append(np.sqrt(np.maximum(spread, 1e-18)))
    return Mixture(shares / shares.sum(), np.array(means), np.array(sds))


def tell(season: Season, reading: Reading, at: float) -> Mixture:
    """Answers in blocks of all quantities: now, use, seven days ahead, net rate; then volume."""
    mover = reading.window.mover
    now, ahead = levels(mover, at), _ahead(mover, at)
    net = Questions(ahead[0].rows - now.rows, ahead[0].constants, ahead[0].variances)
    questions = [now, uses(season, mover, at), *ahead, net, *_volume_question(mover)]
    return ask(reading, questions)
