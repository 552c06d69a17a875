"""What could explain the tests: wrong tests, spells, and changes of the water, with their chances.

Every explanation is a column ``u`` of effects on the rows with a normal coefficient, mean ``a0``
and standard deviation ``tau``, and prior odds. `brinebook.balance.weigh` weighs them.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.season import Floats, Ints, Pour, Season
from brinebook.balance.window import Window

#: Replicates of one occasion that agree are water as a rule; two to four occasions in a row are
#: what one bottle spoils before somebody notices (common practice, no source).
_SPELL_SHARE = {1: 0.3, 2: 0.4, 3: 0.7, 4: 0.6, 5: 0.25, 6: 0.05}
_WRONG_SCALES = (6.0, 18.0, 60.0)
_SPELL_SCALES = (6.0, 20.0, 60.0)
_STOP_LONGEST_DAYS = 25.0
_STOP_MEAN_DAYS = 5.0
_SAME_TIME_DAYS = 0.05
#: Share of the dosing that failed to arrive: all of it as a rule, or some part (mean, sd).
_STOPPED = [(0.95, 0.08), (0.55, 0.2)]
#: Chance that one of these falls alone, against that it rises: water can't lose more than is used.
_FALLS = {"alkalinity": 0.12, "salinity": 0.15}
#: What a unit of these causes may come to (mean, sd of each option), its share, and chance a day.
_PLAIN: dict[str, tuple[list[tuple[list[tuple[float, float]], float]], float]] = {
    "refill": ([([(1000.0, 1500.0), (4000.0, 3000.0)], 1.0)], beliefs.CHANCE_REFILL_DAY),
    "exchange": ([([(0.2, 0.12)], 1.0)], beliefs.CHANCE_FORGOTTEN_CHANGE_DAY),
    "dilution": ([([(0.06, 0.04), (0.0, 0.03)], 1.0)], beliefs.CHANCE_DILUTION_DAY),
    "fall": ([([(0.5, 0.4)], 1.0)], beliefs.CHANCE_PRECIPITATION_DAY),
}
_KEEPER_SAYS_SO = 0.99999


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that could have happened in the window.

    ``rows`` are the tests it calls wrong; ``columns`` the window's columns that it adds up.
    """

    kind: str  # wrong, spell, jump, exchange, dilution, fall, step, stop, refill
    what: str
    begins: float
    ends: float
    rows: tuple[int, ...] = ()
    columns: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Field:
    """All causes of a window as arrays: candidates may share a cause, with other coefficients."""

    causes: tuple[Cause, ...]
    U: Floats  # rows x causes
    cause: Ints  # candidate -> cause
    a0: Floats
    tau: Floats
    odds: Floats  # log prior odds of each candidate


class _FieldMaker:
    def __init__(self, window: Window, season: Season) -> None:
        self.window, self.season = window, season
        self.said = [(change, says) for name, says in season.verdicts
                     if says in ("yes", "no") and (change := _named(name)) is not None]  # fmt: skip
        self.causes: list[Cause] = []
        self.vectors: list[Floats] = []
        self.cause: list[int] = []
        self.a0: list[float] = []
        self.tau: list[float] = []
        self.odds: list[float] = []
        noise = np.diag(window.noise)
        self.noise_sd = np.sqrt(noise)
        self.least_noise = math.sqrt(float(noise.min())) if noise.size else 0.0
        self.moved = np.abs(window.reach).max(axis=0, initial=0.0) > 0.0
        self.first = _first_tests(season)
        seen = {row.test.quantity for row in window.rows if row.test is not None}
        self.all_known = max((self.first.get(name, math.inf) for name in seen), default=-math.inf)
        nodes = window.nodes
        self.gap_end = np.append(nodes[1:], window.end.t) if nodes.size else nodes

    def add(
        self, cause: Cause, vector: Floats, options: list[tuple[float, float]], chance: float
    ) -> None:
        """Add a cause with its possible coefficients (mean, sd) and its chance."""
        position = len(self.causes)
        self.causes.append(cause)
        self.vectors.append(vector)
        odds = math.log(chance / (1.0 - chance) / len(options))
        for a0, tau in options:
            self.cause.append(position)
            self.a0.append(a0)
            self.tau.append(tau)
            self.odds.append(odds)

    def wrong_tests(self) -> None:
        noise = np.diag(self.window.noise)
        count = len(self.window.rows)
        for i, row in enumerate(self.window.rows):
            if row.test is not None and row.test.verdict == "sound":
                continue
            vector = np.zeros(count)
            vector[i] = 1.0
            sd = math.sqrt(noise[i])
            options = [(0.0, scale * sd) for scale in _WRONG_SCALES]
            self.add(Cause("wrong", "", row.t, row.t, rows=(i,)), vector, options,
                     beliefs.CHANCE_WRONG)  # fmt: skip

    def spells(self) -> None:
        noise = np.diag(self.window.noise)
        series: dict[tuple[str, str, str], list[list[int]]] = {}
        for i, row in enumerate(self.window.rows):
            if row.test is None or row.test.target or row.test.verdict == "sound":
                continue
            runs = series.setdefault((row.test.quantity, row.test.method, row.test.lot), [])
            if runs and row.t - self.window.rows[runs[-1][0]].t < 1 / 24:
                runs[-1].append(i)
            else:
                runs.append([i])
        for (quantity, _, _), occasions in series.items():
            for length, share in _SPELL_SHARE.items():
                for first in range(len(occasions) - length + 1):
                    rows = tuple(i for group in occasions[first : first + length] for i in group)
                    if len(rows) < 2:
                        continue
                    vector = np.zeros(len(noise))
                    vector[list(rows)] = 1.0
                    sd = math.sqrt(float(np.mean(noise[list(rows)])))
                    begins, ends = self.window.rows[rows[0]].t, self.window.rows[rows[-1]].t
                    self.add(
                        Cause("spell", quantity, begins, ends, rows=rows),
                        vector,
                        [(0.0, scale * sd) for scale in _SPELL_SCALES],
                        beliefs.CHANCE_SPELL * share,
                    )

    def changes(self) -> None:
        stops: dict[str, list[int]] = {}
        for position, column in enumerate(self.window.columns):
            if column.kind == "stop":
                stops.setdefault(column.what, []).append(position)
                continue
            if not self.moved[position]:
                continue
            begins = float(self.window.nodes[column.node])
            ends = float(self.gap_end[column.node])
            cause = Cause(column.kind, column.what, begins, ends, columns=(position,))
            vector = self.window.reach[:, position]
            if self._is_forbidden(cause) or not self._has_before(ends, vector):
                continue
            options, per_day = self._coefficients(column.kind, column.what)
            chance = self._settled(cause, min(per_day * max(ends - begins, 0.05), 0.2))
            for each, share in options:
                self.add(cause, vector, each, chance * share)
        self._pours()
        for name, positions in stops.items():
            self._stops(name, positions)

    def _has_before(self, t: float, vector: Floats) -> bool:
        """Whether anything that the cause moves was known before: else it shifts only a guess."""
        if self.all_known < t:
            return True
        shift = np.abs(vector) / self.noise_sd
        test = self.window.rows[int(np.argmax(shift))].test if shift.size else None
        return test is None or self.first.get(test.quantity, math.inf) < t

    def _is_forbidden(self, cause: Cause) -> bool:
        return any(
            says == "no" and said.is_like(cause) and said.overlaps(cause)
            for said, says in self.said
        )

    def _settled(self, cause: Cause, chance: float) -> float:
        """The chance of a cause, or near certainty where the keeper said that it was so."""
        told = any(
            says == "yes" and said.is_like(cause) and said.is_met_by(cause)
            for said, says in self.said
        )
        return _KEEPER_SAYS_SO if told else chance

    def _coefficients(
        self, kind: str, what: str
    ) -> tuple[list[tuple[list[tuple[float, float]], float]], float]:
        mover = self.window.mover
        if kind in _PLAIN:
            return _PLAIN[kind]
        if kind == "step":
            if what == "growth":
                size = max(0.4 * mover.use, 0.03)
            else:
                position = self.season.quantities.index(what)
                size = 0.04 * float(mover.scale[position])
            return [([(0.0, size)], 1.0)], beliefs.CHANCE_STEP_DAY
        position = self.season.quantities.index(what)
        belief = beliefs.BELIEFS[what]
        size = belief.jump * (float(mover.scale[position]) if belief.relative else 1.0)
        if what in beliefs.SKELETON or what == "potassium":
            # Water can't lose more than is used, short of dilution or precipitation (which have
            # their own columns): falls of one quantity alone are given little chance.
            # Nor does it rise by itself: where nothing is ever poured, a rise is unlikely too.
            season = self.season
            poured = bool(season.flows or season.strength_sd or season.mixes) or any(
                isinstance(event, Pour) for event in season.events
            )
            return [
                ([(size, size), (3 * size, 2 * size)], 1.0 if poured else 0.05),
                ([(-size, size)], _FALLS.get(what, 0.005)),
            ], beliefs.CHANCE_CHANGE_DAY
        # Where uptake pulls a level back within days, a lone high test looks like a jump: it is
        # more often the vial.
        share = 0.3 if belief.pull else 1.0
        return [([(0.0, size), (0.0, 3 * size)], share)], beliefs.CHANCE_CHANGE_DAY

    def _pours(self) -> None:
        """A dose by hand may have been poured twice and written down once, or not poured at all."""
        window, names = self.window, self.season.quantities
        place = {(c.what, c.node): i for i, c in enumerate(window.columns) if c.kind == "jump"}
        for event in self.season.events_in(window.start.t, window.end.t):
            if not isinstance(event, Pour):
                continue
            raised = event.brings / window.mover.litres
            main = int(np.argmax(raised / np.maximum(window.mover.scale, 1e-9)))
            node = int(np.searchsorted(window.nodes, event.t, side="right")) - 1
            position = place.get((names[main], node), -1)
            size = float(raised[main])
            if position < 0 or size <= 0.0 or not self.moved[position]:
                continue
            begins, ends = float(window.nodes[node]), float(self.gap_end[node])
            cause = Cause("jump", names[main], begins, ends, columns=(position,))
            vector = window.reach[:, position]
            if self._is_forbidden(cause) or not self._has_before(ends, vector):
                continue
            options = [(size, 0.12 * size), (-size, 0.12 * size)]
            self.add(cause, vector, options, self._settled(cause, beliefs.CHANCE_POURED_WRONG))

    def _stops(self, name: str, positions: list[int]) -> None:
        """Every run of stretches over which an additive may have stood still."""
        reach = np.cumsum(self.window.reach[:, positions], axis=1)
        reach = np.hstack([np.zeros((reach.shape[0], 1)), reach])
        nodes = np.array([self.window.columns[p].node for p in positions])
        begins, ends = self.window.nodes[nodes], self.gap_end[nodes]
        first, last = np.nonzero(np.triu(ends[None, :] - begins[:, None] <= _STOP_LONGEST_DAYS))
        vectors = reach[:, last + 1] - reach[:, first]
        # What shifts no row by its own noise can't be told from nothing.
        seen = np.abs(vectors).max(axis=0, initial=0.0) > self.least_noise
        for i, j, vector in zip(first[seen], last[seen], vectors[:, seen].T, strict=True):
            cause = Cause(
                "stop", name, float(begins[i]), float(ends[j]), columns=tuple(positions[i : j + 1])
            )
            if self._is_forbidden(cause) or not self._has_before(cause.begins + 0.1, vector):
                continue
            chance = self._settled(cause, self._stop_chance(cause, ends[i], begins[j]))
            self.add(cause, vector, _STOPPED, chance)

    def _stop_chance(self, cause: Cause, first_end: float, last_begin: float) -> float:
        length, last_gap = cause.ends - cause.begins, cause.ends - last_begin
        chance = beliefs.CHANCE_STOP_DAY * (first_end - cause.begins)
        chance *= min(last_gap / _STOP_MEAN_DAYS, 1.0)
        return max(chance * math.exp(-max(length - last_gap, 0.0) / _STOP_MEAN_DAYS), 1e-12)

    def make(self) -> Field:
        self.wrong_tests()
        self.spells()
        self.changes()
        rows = len(self.window.rows)
        return Field(
            tuple(self.causes),
            np.array(self.vectors).T.copy() if self.vectors else np.zeros((rows, 0)),
            np.array(self.cause, dtype=np.int64),
            np.array(self.a0),
            np.array(self.tau),
            np.array(self.odds),
        )


def _first_tests(season: Season) -> dict[str, float]:
    """When each quantity was first tested."""
    found: dict[str, float] = {}
    for test in season.tests:
        if not test.target:
            found.setdefault(test.quantity, test.t)
        if len(found) == len(season.quantities):
            break  # tests come in time order
    return found


def change_id(cause: Cause) -> str:
    """A name for a change that stays the same while its gap does: what a verdict names."""
    what = cause.what or cause.kind
    return f"{cause.kind}-{what.replace(' ', '_')}-{cause.begins:.3f}-{cause.ends:.3f}"


@dataclass(frozen=True, slots=True)
class _Said:
    """A change that the keeper spoke of, read back from its name."""

    kind: str
    what: str
    begins: float
    ends: float

    def is_like(self, cause: Cause) -> bool:
        """Whether it is of the same kind, and of the same thing."""
        return self.kind == cause.kind and self.what == (cause.what or cause.kind).replace(" ", "_")

    def overlaps(self, cause: Cause) -> bool:
        """Whether both share some time."""
        return self.begins < cause.ends and cause.begins < self.ends

    def is_met_by(self, cause: Cause) -> bool:
        """Whether it is the same change. One that went on after it was spoken of has grown."""
        near = abs(cause.begins - self.begins) < _SAME_TIME_DAYS
        return near and cause.ends > self.ends - _SAME_TIME_DAYS


def _named(name: str) -> _Said | None:
    """The change that `change_id` named so; None for any other name."""
    parts = re.fullmatch(r"([a-z]+)-(.+)-(\d+\.\d{3})-(\d+\.\d{3})", name)
    return _Said(parts[1], parts[2], float(parts[3]), float(parts[4])) if parts else None


def change_begins(name: str) -> float | None:
    """The time at which the change begins that `change_id` named so; None for any other name."""
    said = _named(name)
    return said.begins if said else None


def field_of(window: Window, season: Season) -> Field:
    """Everything that could have happened in the window, with its chances."""
    return _FieldMaker(window, season).make()


def rescaled_field(field: Field, ratio: Floats) -> Field:
    """The same field where the noise of each row (as a standard deviation) is so many times."""
    scale = np.array([ratio[cause.rows[0]] if cause.rows else 1.0 for cause in field.causes])
    return replace(field, tau=field.tau * scale[field.cause]) if scale.size else field
