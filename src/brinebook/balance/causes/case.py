"""What the causes of a matter are judged by: the answer with its season, the facts, the words said.

Raw tests are gathered into occasions here, so that a reason can name what the keeper read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brinebook.balance.answer import Answer
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.season import Test, days_since_epoch
from brinebook.system import System
from brinebook.timeline import Fact

_HOUR = 1.0 / 24.0


@dataclass(frozen=True, slots=True)
class Case:
    """All there is to judge by. ``facts`` are those up to ``at``, a time in days of the season."""

    system: System
    facts: Sequence[Fact]
    answer: Answer
    at: float

    def season_of(self, quantity: str) -> SeasonEstimate | None:
        """The season in which a quantity is estimated; None where it was never tested."""
        for season in self.answer.seasons:
            if quantity in season.season.quantities:
                return season
        return None

    @property
    def joint(self) -> SeasonEstimate | None:
        """The season of all that has mass; None where nothing of that was tested."""
        for season in self.answer.seasons:
            if season.volume is not None:
                return season
        return None

    def of_kind(self, *kinds: str) -> list[tuple[float, Fact]]:
        """The facts of some kinds with their times, oldest first."""
        found = [(days_since_epoch(fact.when), fact) for fact in self.facts if fact.kind in kinds]
        return sorted(found, key=lambda one: (one[0], one[1].id))

    def tests_of(self, quantity: str) -> list[Test]:
        """The system's own tests of a quantity, oldest first."""
        season = self.season_of(quantity)
        if season is None:
            return []
        return [t for t in season.season.tests if t.quantity == quantity and not t.target]


def dosed_per_day(case: Case, quantity: str) -> float | None:
    """What the additives dosed daily, as set, bring to each litre in a day; None without any."""
    season = case.season_of(quantity)
    if season is None or season.volume is None:
        return None
    position = season.season.quantities.index(quantity)
    brought = [
        float(flow.upto(case.at) - flow.upto(case.at - 1.0)) * float(flow.brings[position])
        for flow in season.season.flows
    ]
    total = math.fsum(brought) / season.volume.value
    return total if total > 0.0 else None


def daily_swing(case: Case, quantity: str) -> float:
    """From the lowest to the highest of a day, by dosing that runs at some hours only.

    Use is taken to be even; canonical units. 0 where nothing is dosed.
    """
    season = case.season_of(quantity)
    if season is None or season.volume is None:
        return 0.0
    position = season.season.quantities.index(quantity)
    hours = case.at - 1.0 + np.arange(25) / 24.0
    brought = np.zeros(25)
    for flow in season.season.flows:
        brought += flow.upto(hours) * float(flow.brings[position])
    course = brought - brought[0] - (brought[-1] - brought[0]) * np.arange(25) / 24.0
    return float(np.ptp(course)) / season.volume.value


@dataclass(frozen=True, slots=True)
class Occasion:
    """Tests of one quantity within the hour: time, mean, sd of that mean, and the tests."""

    t: float
    value: float
    sd: float
    tests: tuple[Test, ...]


def occasions(tests: Sequence[Test]) -> list[Occasion]:
    """The occasions of tests that stand in order of time. The noise of one occasion is shared in
    part, so a mean of many is never better than half a test's own deviation."""
    groups: list[list[Test]] = []
    for test in tests:
        if groups and test.t - groups[-1][0].t <= _HOUR:
            groups[-1].append(test)
        else:
            groups.append([test])
    return [_occasion(group) for group in groups]


def _occasion(group: list[Test]) -> Occasion:
    value = math.fsum(test.value for test in group) / len(group)
    noise = test_noise(group[0])
    sd = max(noise / math.sqrt(len(group)), 0.5 * noise)
    return Occasion(group[0].t, value, sd, tuple(group))


def test_noise(test: Test) -> float:
    """Standard deviation of one test about what the water holds, its step included."""
    return math.sqrt(test.noise**2 + (test.fraction * test.value) ** 2 + test.step**2 / 12.0)


def around(found: Sequence[Occasion], t: float) -> tuple[Occasion | None, Occasion | None]:
    """The last occasion up to a time, and the first one after it."""
    before = [one for one in found if one.t <= t + 1e-9]
    after = [one for one in found if one.t > t + 1e-9]
    return (before[-1] if before else None), (after[0] if after else None)
