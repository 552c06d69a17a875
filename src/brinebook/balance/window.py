"""What a stretch of the season expects of its tests, before any of them is believed.

A window walks the state from its start through every stretch, event and test, and collects the
joint normal distribution of all tests and of the state at the moments asked for. Explanations (a
wrong test, a change that nobody wrote down) are columns added to that distribution, so that each
can be weighed without walking again.
Source: durbin2012 (chapters 4 and 6)
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.columns import Column, Columns
from brinebook.balance.observe import Row, mark_noise, noise_key, observe
from brinebook.balance.season import Event, Floats, Mark, Season
from brinebook.balance.state import Belief, bias_names
from brinebook.balance.steps import Mover, Step
from brinebook.balance.sudden import at_once, refilled

_SAME_OCCASION_DAYS = 1.0 / 24.0
_TICK_DAYS = 1.0


@dataclass(frozen=True, slots=True)
class Moment:
    """The state at one time, before the tests: mean, covariance, and with the rows so far."""

    t: float
    mean: Floats
    covariance: Floats
    cross: Floats  # state x rows up to here
    rows: int
    reach: Floats  # moving state x columns: what each column does to it


@dataclass(frozen=True, slots=True)
class Window:
    """The joint distribution of a stretch of season: see the module's text."""

    start: Belief
    mover: Mover
    rows: tuple[Row, ...]
    expected: Floats
    covariance: Floats  # of the rows, with their noise
    noise: Floats  # variance of each row's own noise (with shared occasions off the diagonal)
    columns: tuple[Column, ...]
    reach: Floats  # rows x columns
    nodes: Floats  # times of the gaps that the columns start in
    moments: dict[float, Moment]
    end: Moment
    smooth: dict[float, Moment]


class _Walk:
    """The walk itself; ``walk`` below is the way in."""

    def __init__(
        self,
        season: Season,
        start: Belief,
        mover: Mover,
        rows: list[Row],
        events: list[Event],
        *,
        end: float,
        keep: tuple[float, ...],
        noise_scale: dict[str, float],
    ) -> None:
        self.season, self.start, self.mover = season, start, mover
        self.rows, self.events, self.end = rows, events, end
        self.marks_read = {row.mark for row in rows if row.mark is not None}
        self.keep = {t for t in keep if start.t < t <= end}
        self.noise_scale = noise_scale
        n, size = len(rows), len(start.names)
        self.D = mover.moving
        self.m = start.mean.copy()
        self.P = start.covariance.copy()
        self.X = np.zeros((size, n))
        self.expected = np.zeros(n)
        self.S = np.zeros((n, n))
        self.noise = np.zeros((n, n))
        self.done = 0
        self.moments: dict[float, Moment] = {}
        self.trail: list[tuple[str, float | int, Floats | None]] = []
        self.unseen = Columns(season, mover, moving=self.D, rows=n)

    def timetable(self) -> tuple[Floats, dict[float, list[Event]]]:
        ticks = np.arange(self.start.t, self.end, _TICK_DAYS)[1:]
        at_once: dict[float, list[Event]] = {}
        for event in self.events:
            at_once.setdefault(event.t, []).append(event)
        seen = [row.t for row in self.rows]
        stops = np.array([self.start.t, *seen, *at_once, *self.keep, self.end])
        return np.unique(np.concatenate([ticks, stops])), at_once

    def move(self, step: Step) -> None:
        D = self.D
        whole = np.hstack([step.A, step.B])
        self.m[:D] = whole @ self.m + step.u
        top = whole @ self.P
        self.P[:D, D:] = top[:, D:]
        self.P[D:, :D] = top[:, D:].T
        corner = top @ whole.T + step.Q
        self.P[:D, :D] = (corner + corner.T) / 2.0
        if self.done:
            self.X[:D, : self.done] = whole @ self.X[:, : self.done]
        self.unseen.move(step.A)
        self.trail.append(("move", 0, whole))

    def look(self, row: Row) -> None:
        i = self.done
        h, known, extra = self.slope(row)
        self.expected[i] = h @ self.m + known
        Ph = self.P @ h
        self.S[i, :i] = h @ self.X[:, :i]
        self.S[:i, i] = self.S[i, :i]
        variance = row.noise * self.noise_scale.get(noise_key(row), 1.0) + extra
        self.S[i, i] = h @ Ph
        self.noise[i, i] = variance
        self.share_occasion(i, row)
        self.X[:, i] = Ph
        self.unseen.look(i, h[: self.D])
        self.trail.append(("look", i, h))
        self.done += 1

    def share_occasion(self, i: int, row: Row) -> None:
        """Replicates within the hour have part of their noise in common."""
        if row.test is None:
            return
        for j in range(i - 1, -1, -1):
            other = self.rows[j]
            if row.t - other.t > _SAME_OCCASION_DAYS:
                return
            if other.test is None or noise_key(other) != noise_key(row):
                continue
            if other.test.lot == row.test.lot and other.test.target == row.test.target:
                both = math.sqrt(self.noise[i, i] * self.noise[j, j])
                self.noise[i, j] = self.noise[j, i] = beliefs.SHARED_OCCASION * both

    def slope(self, row: Row) -> tuple[Floats, float, float]:
        h = np.zeros(len(self.start.names))
        index = self.mover.index
        if row.mark is not None:
            h[index[f"left|{row.mark.additive}"]] = 1.0
            return h, 0.0, 0.0
        test = row.test
        assert test is not None
        for name in bias_names(test):
            h[index[name]] = 1.0
        if test.target:
            mix = f"mix|{test.target}|{test.quantity}"
            if mix in index:
                h[index[mix]] = test.known
                return h, test.known, (0.8 * test.known_sd) ** 2
            return h, test.known, test.known_sd**2
        missing = float(self.season.deficit(row.t))
        h += self.mover.waves(row.t, test.quantity)
        h[index[f"level|{test.quantity}"]] = 1.0 / (1.0 - min(missing / self.mover.litres, 0.3))
        return h, 0.0, self.mover.unrest_in_day(test.quantity)

    def remember(self, t: float) -> None:
        self.moments[t] = Moment(
            t,
            self.m.copy(),
            self.P.copy(),
            self.X[:, : self.done].copy(),
            self.done,
            self.unseen.reach.copy(),
        )
        self.trail.append(("remember", t, None))

    def smoothed(self) -> dict[float, Moment]:
        """The remembered moments with all rows in view, later ones too (a walk backwards)."""
        D = self.D
        W = np.zeros((len(self.start.names), len(self.rows)))
        found: dict[float, Moment] = {}
        for kind, key, array in reversed(self.trail):
            if kind == "look" and array is not None:
                W[:, int(key)] = array
            elif kind == "move" and array is not None:
                pulled = array.T @ W[:D]
                pulled[D:] += W[D:]
                W = pulled
            else:
                moment = self.moments[key]
                cross = moment.covariance @ W
                cross[:, : moment.rows] = moment.cross
                found[key] = Moment(
                    moment.t,
                    moment.mean,
                    moment.covariance,
                    cross,
                    len(self.rows),
                    moment.reach,
                )
        return found

    def run(self) -> None:
        times, at_once = self.timetable()
        steps = self.mover.stretches(times)
        waiting: Step | None = None
        waiting_from = self.start.t
        next_row = 0
        for position in range(1, times.size):
            t = times[position]
            waiting = steps[position - 1] if waiting is None else waiting.then(steps[position - 1])
            has_row = next_row < len(self.rows) and self.rows[next_row].t <= t
            if not (has_row or t in self.keep or t in at_once or position == times.size - 1):
                continue
            self.move(waiting)
            self.unseen.stand_still(waiting_from, t)
            waiting, waiting_from = None, t
            while next_row < len(self.rows) and self.rows[next_row].t <= t:
                self.look(self.rows[next_row])
                next_row += 1
            for event in at_once.get(t, ()):
                self.happen(event)
            if t in self.keep:
                self.remember(t)
            self.unseen.reached(t)
        self.remember(self.end)

    def happen(self, event: Event) -> None:
        if isinstance(event, Mark):
            if event not in self.marks_read:
                spread = mark_noise(self.season, event.additive)
                step = refilled(self.mover, event, spread)
                self.move(step)
            return
        self.move(at_once(self.mover, event))

    def result(self, *, smooth: bool) -> Window:
        return Window(
            start=self.start,
            mover=self.mover,
            rows=tuple(self.rows),
            expected=self.expected,
            covariance=self.S + self.noise,
            noise=self.noise,
            columns=tuple(self.unseen.columns),
            reach=self.unseen.seen,
            nodes=np.array(self.unseen.nodes),
            moments=self.moments,
            end=self.moments[self.end],
            smooth=self.smoothed() if smooth else {},
        )


def walk(
    season: Season,
    start: Belief,
    mover: Mover,
    *,
    end: float,
    keep: tuple[float, ...] = (),
    noise_scale: dict[str, float] | None = None,
    with_columns: bool = True,
    smooth: bool = False,
) -> Window:
    """Walk from ``start`` to ``end`` and return the joint distribution of what is seen there.

    ``keep`` names further times at which the state is wanted. ``noise_scale`` multiplies the noise
    variance of a method. Without ``with_columns`` no explanations are prepared; with ``smooth`` the
    kept moments are also told with the later rows in view.
    """
    rows, events = observe(season, start.t, end)
    one = _Walk(
        season, start, mover, rows, events, end=end, keep=keep, noise_scale=noise_scale or {}
    )
    if with_columns:
        one.unseen.plan(start, rows, causes=mover.has_mass)
    one.run()
    return one.result(smooth=smooth)
