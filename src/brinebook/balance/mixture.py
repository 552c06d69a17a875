"""Numbers told by several stories at once: quantiles and spread of mixtures of normals."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from brinebook.balance.season import Floats
from brinebook.measure import Measure

_BISECTIONS = 36
_LEVELS = (0.025, 0.5, 0.975)


def _erf(values: Floats) -> Floats:
    return np.array([math.erf(v) for v in values.ravel()]).reshape(values.shape)


def normal_below(edge: Floats | float, mean: Floats, sd: Floats) -> Floats:
    """Chance of a normal being under an edge."""
    return 0.5 * (1.0 + _erf(np.asarray((edge - mean) / (sd * math.sqrt(2.0)))))


@dataclass(frozen=True, slots=True)
class Mixture:
    """Shares of the stories, and each story's mean and sd of every answer (stories x answers)."""

    shares: Floats
    means: Floats
    sds: Floats

    def quantiles(self, levels: tuple[float, ...] = _LEVELS) -> Floats:
        """Quantiles by bisection: levels x answers."""
        if self.shares.size == 1:
            steps = np.array([NormalDist().inv_cdf(level) for level in levels])
            return np.asarray(self.means[0] + steps[:, None] * self.sds[0])
        low = (self.means - 9.0 * self.sds).min(axis=0)
        high = (self.means + 9.0 * self.sds).max(axis=0)
        found = np.zeros((len(levels), self.means.shape[1]))
        for k, level in enumerate(levels):
            a, b = low.copy(), high.copy()
            for _ in range(_BISECTIONS):
                middle = (a + b) / 2.0
                under = self.shares @ normal_below(middle, self.means, self.sds) < level
                a, b = np.where(under, middle, a), np.where(under, b, middle)
            found[k] = (a + b) / 2.0
        return found

    def spread(self) -> Floats:
        """Standard deviation of each answer."""
        average = self.shares @ self.means
        return np.sqrt(np.maximum(self.shares @ (self.sds**2 + self.means**2) - average**2, 1e-30))

    def below(self, answer: int, edge: float) -> float:
        """Chance that one answer is under an edge."""
        return float(self.shares @ normal_below(edge, self.means[:, answer], self.sds[:, answer]))

    def measures(self) -> list[Measure]:
        """Median, sd and 95 % interval of every answer (no unit)."""
        quantiles, spread = self.quantiles(), self.spread()
        return [
            Measure(
                float(quantiles[1, i]),
                float(spread[i]),
                "",
                float(quantiles[0, i]),
                float(quantiles[2, i]),
            )
            for i in range(self.means.shape[1])
        ]


def within(measure: Measure, low: float, high: float) -> Measure:
    """The measure of what can't be outside a range."""

    def inside(value: float) -> float:
        return min(max(value, low), high)

    return Measure(
        inside(measure.value),
        measure.sd,
        measure.unit,
        inside(measure.low),
        inside(measure.high),
    )
