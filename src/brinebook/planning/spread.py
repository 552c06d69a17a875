"""A wide guess as three numbers, and what many guesses together come to.

A plan that rests on a label, a dry share or a literature value carries its spread through to the
answer. Everything here is deterministic: the draws are the same on every run.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from brinebook.measure import Z95, Measure

Floats = npt.NDArray[np.float64]

#: Draws behind a figure: its 95 % ends are then good to about 3 % of their distance.
DRAWS = 4000


@dataclass(frozen=True, slots=True)
class Spread:
    """A positive number as it is believed: the middle, and the ends of 95 % of belief.

    0 < low <= middle <= high. Between them it is normal in the logarithm, with a width of its own
    to each side, so a range may be skewed.
    """

    low: float
    middle: float
    high: float

    @classmethod
    def about(cls, middle: float, relative_sd: float) -> Spread:
        """A spread about a figure: 0.15 is a standard deviation of some 15 %."""
        factor = math.exp(Z95 * math.sqrt(math.log1p(relative_sd**2)))
        return cls(middle / factor, middle, middle * factor)

    @classmethod
    def exactly(cls, value: float) -> Spread:
        """A figure that is taken as it stands."""
        return cls(value, value, value)

    def times(self, factor: float) -> Spread:
        """The spread of ``factor`` times the number."""
        return Spread(self.low * factor, self.middle * factor, self.high * factor)

    def drawn(self, deviates: Floats) -> Floats:
        """The number at standard normal deviates."""
        if self.middle <= 0.0:
            return np.zeros_like(deviates)
        up = math.log(self.high / self.middle) / Z95
        down = math.log(self.middle / self.low) / Z95
        return np.asarray(self.middle * np.exp(np.where(deviates > 0.0, up, down) * deviates))


@lru_cache(maxsize=64)
def _deviates(stream: int, count: int) -> Floats:
    half = np.random.default_rng(20_240 + stream).standard_normal((count + 1) // 2)
    # In pairs of opposite sign, shuffled so that streams stay apart: medians are then exact.
    found = np.concatenate([half, -half])[:count]
    found = np.random.default_rng(70_240 + stream).permutation(found)
    found.setflags(write=False)
    return found


def deviates(stream: int, count: int = DRAWS) -> Floats:
    """Standard normal deviates, the same for the same stream: one stream a number that is drawn."""
    return _deviates(stream, count)


def told(values: Floats, unit: str, *, weights: Floats | None = None) -> Measure:
    """Median, standard deviation and central 95 % of drawn values, each with its weight."""
    low, middle, high = quantiles(values, (0.025, 0.5, 0.975), weights=weights)
    share = np.full(values.shape, 1.0 / values.size) if weights is None else weights
    mean = float(np.sum(share * values))
    sd = math.sqrt(max(float(np.sum(share * (values - mean) ** 2)), 0.0))
    return Measure(middle, sd, unit, low, high)


def quantiles(
    values: Floats, shares: Sequence[float], *, weights: Floats | None = None
) -> tuple[float, ...]:
    """Quantiles of weighted draws; ``weights`` sum to one."""
    if weights is None:
        return tuple(float(found) for found in np.quantile(values, shares))
    order = np.argsort(values, kind="stable")
    upto = np.cumsum(weights[order])
    # The middle of each draw's own share, so that equal weights give what np.quantile nearly gives.
    middle = (upto - 0.5 * weights[order]) / upto[-1]
    return tuple(float(np.interp(share, middle, values[order])) for share in shares)


def chance(true: npt.NDArray[np.bool_], *, weights: Floats | None = None) -> float:
    """The share of the draws in which something holds."""
    if weights is None:
        return float(np.mean(true))
    return float(np.sum(weights[true]) / np.sum(weights))
