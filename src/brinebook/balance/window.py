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
from brinebook.balance.season import (
    Event,
    Floats,
    Mark,
    Season,
    Test,
)
from brinebook.balance.state import Belief, bias_names
from brinebook.balance.steps import Mover, Step

_SAME_OCCASION_DAYS = 1.0 / 24.0
_MARK_SHARE = 0.012  # how well a level is read, as a share of the fullest mark
_MARK_ML = 4.0
_TICK_DAYS = 1.0
_GAP_DAYS = 0.3


@dataclass(frozen=True, slots=True)
class Row:
    """One observation: a test or a container mark."""

    t: float
    test: Test | None
    mark: Mark | None
    value: float
    noise: float  # variance


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
class Column:
    """Something that could have happened, and when: a column of the window's ``reach``.

    ``kind``: "jump" (one quantity), "exchange" (a water change nobody wrote down), "fall"
    (precipitation), "step" (a rate changes for good), "stop" (an additive's share of a stretch) or
    "refill" (a container was filled up and nobody wrote it down).
    """

    kind: str
    what: str
    node: int


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


def observe(season: Season, start: float, end: float) -> tuple[list[Row], list[Event]]:
    """Rows and events between two times. A mark above the last one is a refill, not a row."""
    rows = [
        Row(test.t, test, None, *_reading(test))
        for test in season.tests
        if start < test.t <= end and test.verdict != "wrong"
    ]
    events: list[Event] = [event for event in season.events if start < event.t <= end]
    rows += [
        Row(mark.t, None, mark, mark.left_ml, mark_noise(season, mark.additive) ** 2)
        for mark in events
        if isinstance(mark, Mark) and not _refilled(season, mark)
    ]
    rows.sort(key=lambda row: (row.t, row.test is None))
    return rows, events


def mark_noise(season: Season, additive: str) -> float:
    """Standard deviation of reading a container's level, mL (common practice, no source)."""
    marks = [e.left_ml for e in season.events if isinstance(e, Mark) and e.additive == additive]
    return max(_MARK_SHARE * max(marks, default=0.0), _MARK_ML)


def _refilled(season: Season, mark: Mark) -> bool:
    before = [
        e
        for e in season.events
        if isinstance(e, Mark) and e.additive == mark.additive and e.t < mark.t
    ]
    return not before or mark.left_ml > before[-1].left_ml + 2.0 * mark_noise(season, mark.additive)


def _reading(test: Test) -> tuple[float, float]:
    """Value and noise variance, with readings off the kit's scale as the span they leave open."""
    if test.edge == "<":
        spread = test.value / math.sqrt(12.0)
        return test.value / 2.0, spread**2 + (0.5 * test.noise) ** 2
    noise = test.noise**2 + (test.fraction * test.value) ** 2 + test.step**2 / 12.0
    if test.edge == ">":
        return test.value * 1.25, noise + (0.25 * test.value) ** 2
    return test.value, noise


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
        with_columns: bool,
        smooth: bool,
    ) -> None:
        self.smooth = smooth
        self.season, self.start, self.mover = season, start, mover
        self.rows, self.events, self.end = rows, events, end
        self.marks_read = {row.mark for row in rows if row.mark is not None}
        self.keep = {t for t in keep if start.t < t <= end}
        self.noise_scale = noise_scale
        self.with_columns = with_columns and mover.has_mass
        self.with_jumps = with_columns
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
        self.columns: list[Column] = []
        self.nodes: list[float] = []
        self.R = np.zeros((self.D, 0))
        self.U = np.zeros((n, 0))

    def timetable(self) -> tuple[Floats, dict[float, list[Event]]]:
        ticks = np.arange(self.start.t, self.end, _TICK_DAYS)[1:]
        at_once: dict[float, list[Event]] = {}
        for event in self.events:
            at_once.setdefault(event.t, []).append(event)
        times = np.unique(
            np.concatenate(
                [
                    [self.start.t],
                    ticks,
                    np.array([row.t for row in self.rows]),
                    np.array(list(at_once)),
                    np.array(sorted(self.keep)),
                    [self.end],
                ]
            )
        )
        return times, at_once

    def gaps(self) -> list[float]:
        """Moments after which something unseen may have happened: one between occasions."""
        found: list[float] = [self.start.t]
        last = -math.inf
        for row in self.rows:
            if row.t - last >= _GAP_DAYS:
                found.append(row.t)
                last = row.t
        return found

    def plan_columns(self) -> None:
        gaps = self.gaps()
        self.nodes = gaps
        names = self.season.quantities
        for node in range(len(gaps)):
            self.columns += [Column("jump", name, node) for name in names]
            if not self.with_columns:
                continue
            if self.season.forgotten_mix is not None:
                self.columns.append(Column("exchange", "", node))
            if {"alkalinity", "calcium"} <= set(names):
                self.columns.append(Column("fall", "", node))
            if "growth" in self.mover.index:
                self.columns.append(Column("step", "growth", node))
            self.columns += [
                Column("step", name, node)
                for name in names
                if name not in beliefs.SKELETON and name != "salinity"
            ]
            self.columns += [Column("stop", flow.name, node) for flow in self.season.flows]
            self.columns += [
                Column("refill", name.partition("|")[2], node)
                for name in self.start.names
                if name.startswith("left|")
            ]
        self.R = np.zeros((self.D, len(self.columns)))
        self.U = np.zeros((len(self.rows), len(self.columns)))
        self.by_node: list[list[int]] = [[] for _ in gaps]
        for position, column in enumerate(self.columns):
            self.by_node[column.node].append(position)

    def start_columns(self, node: int) -> None:
        t = self.nodes[node]
        for position in self.by_node[node]:
            column = self.columns[position]
            if column.kind == "jump":
                self.R[self.mover.index[f"level|{column.what}"], position] = 1.0
            elif column.kind == "exchange" and self.season.forgotten_mix is not None:
                nq = self.mover.nq
                self.R[:nq, position] = self.season.forgotten_mix - self.mover.path(t)
            elif column.kind == "fall":
                for name, (coefficient, _) in beliefs.SKELETON.items():
                    if name in ("alkalinity", "calcium"):
                        self.R[self.mover.index[f"level|{name}"], position] = -coefficient
            elif column.kind == "refill":
                self.R[self.mover.index[f"left|{column.what}"], position] = 1.0
            elif column.kind == "step":
                key = "growth" if column.what == "growth" else f"rate|{column.what}"
                self.R[self.mover.index[key], position] = 1.0

    def stop_flows(self, before: float, after: float, node: int) -> None:
        """What would be missing had an additive not run during this stretch."""
        for position in self.by_node[node]:
            column = self.columns[position]
            if column.kind != "stop":
                continue
            flow = next(f for f in self.season.flows if f.name == column.what)
            amount = float(flow.upto(after) - flow.upto(before))
            if amount == 0.0:
                continue
            share, _ = self.mover.delivery(flow)
            self.R[: self.mover.nq, position] -= amount * share * flow.brings
            left = self.mover.index.get(f"left|{flow.name}")
            if left is not None:
                self.R[left, position] += amount * flow.volume_ml

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
        if self.R.size:
            self.R = step.A @ self.R
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
        if self.R.size:
            self.U[i] = h[: self.D] @ self.R
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
        h[index[f"level|{test.quantity}"]] = 1.0 / (1.0 - min(missing / self.mover.litres, 0.3))
        return h, 0.0, 0.0

    def remember(self, t: float) -> None:
        self.moments[t] = Moment(
            t,
            self.m.copy(),
            self.P.copy(),
            self.X[:, : self.done].copy(),
            self.done,
            self.R.copy(),
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

    def run(self) -> Window:
        if self.with_jumps:
            self.plan_columns()
        times, at_once = self.timetable()
        steps = self.mover.stretches(times)
        self.node = 0
        if self.nodes:
            self.start_columns(0)
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
            if self.nodes:
                self.stop_flows(waiting_from, t, self.node)
            waiting, waiting_from = None, t
            while next_row < len(self.rows) and self.rows[next_row].t <= t:
                self.look(self.rows[next_row])
                next_row += 1
            for event in at_once.get(t, ()):
                self.happen(event)
            if t in self.keep:
                self.remember(t)
            while self.node + 1 < len(self.nodes) and self.nodes[self.node + 1] <= t:
                self.node += 1
                self.start_columns(self.node)
        self.remember(self.end)
        return self.result()

    def happen(self, event: Event) -> None:
        if isinstance(event, Mark):
            if event not in self.marks_read:
                spread = mark_noise(self.season, event.additive)
                step = self.mover.refill(event, spread)
                self.move(step)
            return
        self.move(self.mover.at_once(event))

    def result(self) -> Window:
        end = self.moments[self.end]
        return Window(
            start=self.start,
            mover=self.mover,
            rows=tuple(self.rows),
            expected=self.expected,
            covariance=self.S + self.noise,
            noise=self.noise,
            columns=tuple(self.columns),
            reach=self.U,
            nodes=np.array(self.nodes),
            moments=self.moments,
            end=end,
            smooth=self.smoothed() if self.smooth else {},
        )


def noise_key(row: Row) -> str:
    """Which tests share one noise: same quantity, same method."""
    if row.test is None:
        return "mark"
    return f"{row.test.quantity}|{row.test.method}"


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
    return _Walk(
        season,
        start,
        mover,
        rows,
        events,
        end=end,
        keep=keep,
        noise_scale=noise_scale or {},
        with_columns=with_columns,
        smooth=smooth,
    ).run()
