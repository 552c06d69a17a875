"""How the state moves from one moment to the next: linear steps about a reference path.

A step maps the moving part ``x`` and the constants ``k`` to ``A x + B k + u`` with noise ``Q``.
Steps over stretches of time are exact to third order in the stretch (at most a day); those without
duration stand in `brinebook.balance.sudden`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.daycourse import light_swing
from brinebook.balance.season import Floats, Flow, Season
from brinebook.balance.state import LIGHT, Anchor, Belief

_MEDIA_LIFE_DAYS = 20.0  # over which ferric media tire: common practice, no source
#: How far evaporation wanders from its setting in a root day, as a fraction (common practice).
_TAP_DRIFT = 0.04
_UNREST_POWER = 0.35  # common practice, no source
_MOST_AT_ONCE = 0.5  # of the water that a step may exchange: its series hold for less than one


@dataclass(slots=True)
class Step:
    """One linear step of the moving state (see the module's text)."""

    A: Floats
    B: Floats
    u: Floats
    Q: Floats

    def then(self, later: Step) -> Step:
        """This step followed by a later one."""
        return Step(
            later.A @ self.A,
            later.A @ self.B + later.B,
            later.A @ self.u + later.u,
            later.A @ self.Q @ later.A.T + later.Q,
        )


@dataclass(frozen=True, slots=True)
class Tuning:
    """Multipliers on how restless the system is: learned, 1 by default."""

    growth: float = 1.0
    nutrient: float = 1.0


#: A response of calcification that would undo an excess of alkalinity within a day, 1/d.
_FASTEST_RESPONSE = 0.9
#: Midpoints of twelve parts of a stretch.
_MIDDLES = (np.arange(12) + 0.5) / 12.0

Path = Callable[[float], Floats]


class Mover:
    """Builds steps for one window, linearised about a start belief and a path of levels."""

    def __init__(
        self, season: Season, fixed: Anchor, start: Belief, path: Path, tuning: Tuning
    ) -> None:
        self.season = season
        self.fixed = fixed
        self.path = path
        self.index = start.index()
        self.names = start.names
        self.mean = start.mean
        self.nq = len(season.quantities)
        self.moving = sum(
            name.partition("|")[0] in ("level", "rate", "growth", "media", "tap", "left")
            for name in start.names
        )
        self.constants = len(start.names) - self.moving
        self.has_mass = beliefs.BELIEFS[season.quantities[0]].has_mass
        volume = self.constant_now("volume")
        self.litres = season.volume * math.exp(volume)
        growth = self.mean[self.index["growth"]] if "growth" in self.index else 0.0
        self.use = max(float(growth), 0.0)
        self.tuning = tuning
        self.scale = self._scales()
        self.passing = season.passing(start.t, start.t + 30.0)
        self.wander = self._inflow_wander(start.t)
        self.growing, self.growing_constant = self._calcification()
        self.A = self._drift()
        self.constant = self._constant_drift()
        self.noise = self._noise()

    def constant_now(self, name: str) -> float:
        """What a constant is believed to be; 0 where there is none of the name."""
        return float(self.mean[self.index[name]]) if name in self.index else 0.0

    def _scales(self) -> Floats:
        scale = np.ones(self.nq)
        for position, name in enumerate(self.season.quantities):
            belief = beliefs.BELIEFS[name]
            if belief.relative:
                scale[position] = max(float(self.mean[position]), belief.floor)
        return scale

    def _feedback(self) -> float:
        """Rise of calcification with alkalinity, 1/d (per meq/L of excess over the anchor)."""
        if "alkalinity" not in self.season.quantities:
            return 0.0
        elasticity = max(beliefs.USE_ELASTICITY + self.constant_now("response"), 0.0)
        return min(elasticity * self.use / self.fixed.of("alkalinity"), _FASTEST_RESPONSE)

    def responded(self, levels: Floats) -> Floats:
        """What one more of elasticity would add to the levels in a day, where they are so high:
        of the shape of ``levels``, quantities last."""
        usual = self.fixed.of("alkalinity")
        position = self.season.quantities.index("alkalinity")
        more = self.use * (levels[..., position] / usual - 1.0)
        taken = [-beliefs.SKELETON.get(name, (0.0, 0.0))[0] for name in self.season.quantities]
        return np.asarray(np.array(taken) * more[..., None])

    def _calcification(self) -> tuple[Floats, Floats]:
        """The part of the drift that is calcification: more with alkalinity, and by day."""
        A, u = np.zeros((self.moving, self.moving)), np.zeros(self.moving)
        if not self.has_mass:
            return A, u
        feedback = self._feedback()
        for position, name in enumerate(self.season.quantities):
            coefficient = beliefs.SKELETON.get(name, (0.0, 0.0))[0]
            if not coefficient:
                continue
            A[position, self.index["growth"]] = -coefficient
            if feedback:
                A[position, self.index["level|alkalinity"]] -= coefficient * feedback
                u[position] += coefficient * feedback * self.fixed.of("alkalinity")
        return A, u

    def swing(self, t: Floats | float) -> Floats:
        """How far calcification has run ahead of its mean by each time, in days of it."""
        return light_swing(t, self.season.clock)

    def _inflow_wander(self, start: float) -> dict[str, float]:
        """How far what runs in wanders between two measurements of it: half of what lies between
        neighbouring ones, as a rule."""
        running = self.season.streams_in(start, math.inf)
        measured = [s for s in running if not s.labelled.all()]
        if len(measured) < 3:
            return {}
        steps = np.abs(np.diff([s.incoming for s in measured], axis=0))
        return dict(zip(self.season.quantities, np.median(steps, axis=0) / 2.0, strict=True))

    def waves(self, t: float, quantity: str) -> Floats:
        """What the two waves of doubt about the day's swing do to a level at a time: a row over the
        state. Water that passes through carries part of the wave away."""
        row = np.zeros(len(self.names))
        if quantity not in ("alkalinity", "calcium") or LIGHT[0] not in self.index:
            return row
        size = self._wave_size(quantity)
        phase = 2.0 * math.pi * (t + self.season.clock)
        row[self.index[LIGHT[0]]] = size * math.cos(phase)
        row[self.index[LIGHT[1]]] = size * math.sin(phase)
        return row

    def unrest_in_day(self, quantity: str) -> float:
        """Variance of a level at an hour about its usual course of the day: no two days are alike,
        and what runs in is known at the times at which it was measured only."""
        variance = float(self.wander.get(quantity, 0.0)) ** 2
        if quantity in ("alkalinity", "calcium"):
            variance += (beliefs.LIGHT_UNREST * self._wave_size(quantity)) ** 2
        return variance

    def _wave_size(self, quantity: str) -> float:
        """How far a swing of the whole use moves a level; water that passes carries part away."""
        taken = beliefs.SKELETON[quantity][0] * self.use
        return taken / math.hypot(2.0 * math.pi, self.passing)

    def _drift(self) -> Floats:
        A = self.growing.copy()
        if not self.has_mass:
            return A
        for position, name in enumerate(self.season.quantities):
            A[position, position] -= beliefs.BELIEFS[name].pull
            A[position, self.index[f"rate|{name}"]] = -1.0
        if "media" in self.index:
            A[self.index["level|phosphate"], self.index["media"]] = -1.0
            A[self.index["media"], self.index["media"]] = -1.0 / _MEDIA_LIFE_DAYS
        if {"alkalinity", "nitrate"} <= set(self.season.quantities):
            nitrate = self.index["level|nitrate"]
            A[self.index["level|alkalinity"]] -= beliefs.ALKALINITY_PER_NITRATE * A[nitrate]
        return A

    def _constant_drift(self) -> Floats:
        u = self.growing_constant.copy()
        if not self.has_mass:
            return u
        for position, name in enumerate(self.season.quantities):
            u[position] += beliefs.BELIEFS[name].pull * self.fixed.of(name)
        if {"alkalinity", "nitrate"} <= set(self.season.quantities):
            pull = beliefs.BELIEFS["nitrate"].pull * self.fixed.of("nitrate")
            u[self.index["level|alkalinity"]] -= beliefs.ALKALINITY_PER_NITRATE * pull
        return u

    def _unrest(self, position: int) -> float:
        """What the day-to-day disturbance is a fraction of: meals stir a rich tank little more."""
        belief = beliefs.BELIEFS[self.season.quantities[position]]
        if not belief.relative:
            return 1.0
        return float(belief.floor * (self.scale[position] / belief.floor) ** _UNREST_POWER)

    def _noise(self) -> Floats:
        Q = np.zeros((self.moving, self.moving))
        for position, name in enumerate(self.season.quantities):
            belief = beliefs.BELIEFS[name]
            tune = self.tuning.nutrient if belief.relative else 1.0
            Q[position, position] = (belief.restless * self._unrest(position) * tune) ** 2
            if self.has_mass:
                rate = self.index[f"rate|{name}"]
                coefficient, share = beliefs.SKELETON.get(name, (0.0, 0.0))
                drift = belief.drift * self.scale[position] * tune
                own = share * coefficient * self.use * 0.015
                Q[rate, rate] = drift**2 + own**2
        for name, position in self.index.items():
            if name.startswith("tap|"):
                Q[position, position] = _TAP_DRIFT**2
        if "growth" in self.index:
            growth = self.index["growth"]
            drift = beliefs.USE_DRIFT * self.use + beliefs.USE_DRIFT_FLOOR
            Q[growth, growth] = (drift * self.tuning.growth) ** 2
            together = np.zeros(self.moving)
            for position, name in enumerate(self.season.quantities):
                together[position] = beliefs.SKELETON.get(name, (0.0, 0.0))[0]
            Q += np.outer(together, together) * (beliefs.USE_RESTLESS * self.use) ** 2
        return Q

    def stretches(self, times: Floats) -> list[Step]:
        """Steps over each stretch between consecutive times, at most about a day long."""
        if times.size < 2:
            return []
        fine = self._refined(times)
        if fine.size == times.size:
            return self._stretches(times)
        found: list[Step] = []
        ends = set(times.tolist())
        for step, begins in zip(self._stretches(fine), fine[:-1].tolist(), strict=True):
            if begins in ends:
                found.append(step)
            else:
                found[-1] = found[-1].then(step)
        return found

    def _refined(self, times: Floats) -> Floats:
        """The same times with more between, where so much water passes through that a step would
        exchange more than it may at once."""
        running = self.season.streams_in(times[0], times[-1])
        if not running:
            return times
        share = np.zeros(times.size - 1)
        for stream in running:
            amount = np.diff(stream.flow.upto(times))
            share += amount if stream.is_fraction else amount / self.litres
        parts = np.maximum(np.ceil(share / _MOST_AT_ONCE), 1.0).astype(int)
        if parts.max() == 1:
            return times
        pieces = [
            np.linspace(begins, ends, part, endpoint=False)
            for begins, ends, part in zip(times[:-1], times[1:], parts, strict=True)
        ]
        return np.concatenate([*pieces, times[-1:]])

    def _stretches(self, times: Floats) -> list[Step]:
        length = np.diff(times)
        count = length.size
        D, C = self.moving, self.constants
        ahead = np.diff(self.swing(times))
        share = ahead / np.maximum(length, 1e-12)
        A = self.A + share[:, None, None] * self.growing
        put = self.constant * length[:, None] + ahead[:, None] * self.growing_constant
        B = np.zeros((count, D, C))
        if self.has_mass:
            self._add_flows(times, put, B)
            self._add_taps(times, A)
            self._add_food(times, B)
            self._add_streams(times, A, put, B)
            self._add_by_level(times, put, B)
        X = A * length[:, None, None]
        eye = np.eye(D)
        X2 = X @ X
        late = self._late_swing(times)
        F = eye + X + X2 / 2.0 + X2 @ X / 6.0 + late[:, None, None] * (X @ self.growing)
        half = eye + X / 2.0 + X2 / 6.0
        put = np.einsum("kij,kj->ki", half, put)
        put += np.einsum("kij,kj->ki", X, self._late_flows(times))
        put += late[:, None] * (X @ self.growing_constant)
        B = half @ B
        N = self.noise * length[:, None, None]
        AN = X @ N
        Q = N + (AN + AN.transpose(0, 2, 1)) / 2.0 + X @ AN.transpose(0, 2, 1) / 3.0
        return [Step(F[k], B[k], put[k], Q[k]) for k in range(count)]

    def _late_flows(self, times: Floats) -> Floats:
        """By how much what flowed in was there for longer than had it come evenly (first moment):
        dosing by night has had a day's uptake at work on it before the next evening's test."""
        late = np.zeros((times.size - 1, self.moving))
        if not self.has_mass:
            return late
        middles = times[:-1, None] + np.diff(times)[:, None] * _MIDDLES
        for flow in self.season.flows:
            share, _ = self.delivery(flow)
            total = flow.upto(times)
            lag = flow.upto(middles).mean(axis=1) - (total[:-1] + total[1:]) / 2.0
            late[:, : self.nq] += np.outer(lag, flow.brings * share)
        return late

    def _late_swing(self, times: Floats) -> Floats:
        """The same for calcification, in days of it."""
        ahead = self.swing(times)
        quarter = self.swing(times - 0.25) / (2.0 * math.pi)  # the integral of the swing
        return np.diff(quarter) / np.diff(times) - (ahead[:-1] + ahead[1:]) / 2.0

    def delivery(self, flow: Flow) -> tuple[float, dict[str, float]]:
        """Units that reach each litre per unit set, and how that answers to the constants."""
        pump = self.constant_now(f"pump|{flow.name}")
        strength = self.constant_now(f"strength|{flow.name}")
        share = (1.0 + pump) * (1.0 + strength) / self.litres
        slopes = {
            f"pump|{flow.name}": share / (1.0 + pump),
            f"strength|{flow.name}": share / (1.0 + strength),
            "volume": -share,
        }
        return share, slopes

    def linear(self, share: float, slopes: dict[str, float]) -> tuple[float, Floats]:
        """Value at zero constants and the row of slopes of a quantity linearised at the mean."""
        row = np.zeros(self.constants)
        base = share
        for name, slope in slopes.items():
            if name in self.index:
                row[self.index[name] - self.moving] = slope
                base -= slope * self.mean[self.index[name]]
        return base, row

    def _add_flows(self, times: Floats, put: Floats, B: Floats) -> None:
        for flow in self.season.flows:
            amount = np.diff(flow.upto(times))
            base, row = self.linear(*self.delivery(flow))
            put[:, : self.nq] += np.outer(amount, flow.brings * base)
            B[:, : self.nq] += amount[:, None, None] * flow.brings[None, :, None] * row
            left = self.index.get(f"left|{flow.name}")
            if left is not None and flow.volume_ml:
                put[:, left] -= amount * flow.volume_ml
                pump = self.index[f"pump|{flow.name}"] - self.moving
                B[:, left, pump] -= amount * flow.volume_ml

    def _add_taps(self, times: Floats, A: Floats) -> None:
        """Limewater goes in as water evaporates: more or less than its setting, as a fraction."""
        length = np.maximum(np.diff(times), 1e-12)
        for flow in self.season.flows:
            tap = self.index.get(f"tap|{flow.name}")
            if tap is None:
                continue
            rate = np.diff(flow.upto(times)) / length
            share, _ = self.delivery(flow)
            A[:, : self.nq, tap] += rate[:, None] * flow.brings * share
            left = self.index.get(f"left|{flow.name}")
            if left is not None:
                A[:, left, tap] -= rate * flow.volume_ml

    def _add_by_level(self, times: Floats, put: Floats, B: Floats) -> None:
        """What goes with the level itself, about its usual: how strongly calcification answers to
        alkalinity, and water that leaves unseen and is made up fresh."""
        length = np.diff(times)[:, None]
        levels = np.array([self.path(t) for t in (times[1:] + times[:-1]) / 2.0])
        if "response" in self.index:
            more = self.responded(levels) * length
            B[:, : self.nq, self.index["response"] - self.moving] += more
            put[:, : self.nq] -= more * self.constant_now("response")
        taken = levels * length
        put[:, : self.nq] -= beliefs.WATER_LOST * taken
        if "lost" in self.index:
            B[:, : self.nq, self.index["lost"] - self.moving] -= taken

    def _add_food(self, times: Floats, B: Floats) -> None:
        food = self.season.food
        if food is None:
            return
        amount = np.diff(food.upto(times)) / self.litres
        for name in ("nitrate", "phosphate"):
            column = self.index.get(f"food|{name}")
            if column is None:
                continue
            position = self.index[f"level|{name}"]
            B[:, position, column - self.moving] += amount * food.brings[position]
            if name == "nitrate" and "level|alkalinity" in self.index:
                taken = beliefs.ALKALINITY_PER_NITRATE * amount * food.brings[position]
                B[:, self.index["level|alkalinity"], column - self.moving] -= taken

    def _add_streams(self, times: Floats, A: Floats, put: Floats, B: Floats) -> None:
        length = np.maximum(np.diff(times), 1e-12)
        for stream in self.season.streams_in(times[0], times[-1]):
            amount = np.diff(stream.flow.upto(times))
            if not amount.any():
                continue
            share = amount if stream.is_fraction else amount / self.litres
            for position, name in enumerate(self.season.quantities):
                A[:, position, position] -= share / length
                put[:, position] += share * stream.incoming[position]
                if stream.labelled[position]:
                    self._add_mix(B, share, stream.mix, position, stream.incoming[position])
                else:
                    B[:, position, self.index[f"inflow|{name}"] - self.moving] += share
            if not stream.is_fraction and "volume" in self.index:
                middle = (times[1:] + times[:-1]) / 2.0
                levels = np.array([self.path(t) for t in middle])
                slope = -share[:, None] * (stream.incoming - levels)
                column = self.index["volume"] - self.moving
                B[:, : self.nq, column] += slope
                put[:, : self.nq] -= slope * self.mean[self.index["volume"]]

    def _add_mix(self, B: Floats, share: Floats, mix: str, position: int, incoming: float) -> None:
        column = self.index.get(f"mix|{mix}|{self.season.quantities[position]}")
        if column is not None:
            B[:, position, column - self.moving] += share * incoming
