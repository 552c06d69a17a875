"""What could explain the tests: wrong tests, spells, and changes of the water, with their chances.

`brinebook.balance.misread` proposes what a test may have got wrong; here stands what may have
happened to the water. `brinebook.balance.weigh` weighs them all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.field import Cause, Field, Proposal, gathered
from brinebook.balance.misread import read_after, spells, wrong_tests
from brinebook.balance.said import named_change
from brinebook.balance.season import Floats, Pour, Season
from brinebook.balance.window import Window

_STOP_LONGEST_DAYS = 25.0
_STOP_MEAN_DAYS = 5.0
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


class _Changes:
    """What may have happened to the water in a window, and nobody wrote down."""

    def __init__(self, window: Window, season: Season) -> None:
        self.window, self.season = window, season
        verdicts = [(named_change(name), says) for name, says in season.verdicts]
        self.said = [(each, says) for each, says in verdicts if each and says in ("yes", "no")]
        self.noise_sd = np.sqrt(np.diag(window.noise))
        self.least_noise = float(self.noise_sd.min(initial=math.inf))
        self.moved = np.abs(window.reach).max(axis=0, initial=0.0) > 0.0
        self.first = _first_tests(season)
        seen = {row.test.quantity for row in window.rows if row.test is not None}
        self.all_known = max((self.first.get(name, math.inf) for name in seen), default=-math.inf)
        nodes = window.nodes
        self.gap_end = np.append(nodes[1:], window.end.t) if nodes.size else nodes

    def proposals(self) -> Iterator[Proposal]:
        """All of them, each with its chance."""
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
                yield Proposal(cause, vector, each, chance * share)
        yield from self._pours()
        for name, positions in stops.items():
            yield from self._stops(name, positions)

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
                size = max(0.3 * mover.use, 0.03)
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

    def _pours(self) -> Iterator[Proposal]:
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
            chance = self._settled(cause, beliefs.CHANCE_POURED_WRONG)
            yield Proposal(cause, vector, options, chance)

    def _stops(self, name: str, positions: list[int]) -> Iterator[Proposal]:
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
            yield Proposal(cause, vector, _STOPPED, chance)

    def _stop_chance(self, cause: Cause, first_end: float, last_begin: float) -> float:
        """That it began in its first gap, lasted, and ended in its last one or goes on still."""
        began = beliefs.CHANCE_STOP_DAY * (first_end - cause.begins)
        if cause.ends >= self.window.end.t:
            lasted = cause.ends - first_end
            return max(began * math.exp(-lasted / _STOP_MEAN_DAYS), 1e-12)
        last_gap = cause.ends - last_begin
        lasted = cause.ends - cause.begins - last_gap
        ended = min(last_gap / _STOP_MEAN_DAYS, 1.0)
        return max(began * ended * math.exp(-lasted / _STOP_MEAN_DAYS), 1e-12)


def _first_tests(season: Season) -> dict[str, float]:
    """When each quantity was first tested."""
    found: dict[str, float] = {}
    for test in season.tests:
        if not test.target:
            found.setdefault(test.quantity, test.t)
        if len(found) == len(season.quantities):
            break  # tests come in time order
    return found


def field_of(window: Window, season: Season) -> Field:
    """Everything that could have happened in the window, with its chances."""

    def proposals() -> Iterator[Proposal]:
        yield from wrong_tests(window)
        yield from read_after(window, season)
        yield from spells(window)
        yield from _Changes(window, season).proposals()

    return gathered(proposals(), rows=len(window.rows))
