"""Whether one more test would change the act: what a test is worth before it is made.

Hypothetical readings are drawn from the belief itself; after each the act is planned anew from the
draws, weighted by how well they go with the reading. Where the act comes out differently often
enough, testing first is the better act.
Source: raiffa1961
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brinebook.balance.season import Floats

#: Readings that are tried.
_READINGS = 48
#: The act has changed where it is so much more or less than planned, as a share of the plan.
_CHANGED = 0.5
#: A belief moved by so many of its own standard deviations was surprised: common practice.
FAR = 3.0
#: A knob stays turned, and what it does shows in weeks only: it asks for less of a surprise.
FAR_FOR_A_KNOB = 1.5
#: From how often a change of the act is worth a test: common practice, no source.
OFTEN = 0.25


@dataclass(frozen=True, slots=True)
class Worth:
    """How often a test would change the act, and how far the act would scatter after it."""

    changes: float
    least: float
    most: float

    @property
    def is_worth_it(self) -> bool:
        """Whether the test comes first."""
        return self.changes >= OFTEN


def is_surprising(level: Floats, before: Floats, *, target: float, far: float = FAR) -> bool:
    """Whether one test alone moved a belief so far that an act on it needs another test first.

    ``before`` are draws of the belief without the test. It moved by more than ``far`` of its own
    standard deviations, and the way to the target has more than doubled, or turned round.
    """
    moved = float(np.median(level)) - float(np.median(before))
    if abs(moved) <= far * float(np.std(before)):
        return False
    gap, expected = target - float(np.median(level)), target - float(np.median(before))
    return gap * expected <= 0.0 or abs(gap) > 2.0 * abs(expected)


def weighted_quantile(values: Floats, weights: Floats, level: float) -> float:
    """The value under which a share ``level`` of the weight lies."""
    order = np.argsort(values, kind="stable")
    running = np.cumsum(weights[order])
    place = int(np.searchsorted(running, level * running[-1]))
    return float(values[order][min(place, values.size - 1)])


def worth_of_a_test(
    level: Floats, *, noise: float, planned: float, act: Callable[[Floats], float]
) -> Worth:
    """What a test of ``noise`` standard deviation would do to an act planned now.

    ``level`` are the draws of the quantity; ``act`` gives the amount from weights of the draws.
    """
    if noise <= 0.0 or float(np.std(level)) < 1e-12:
        return Worth(0.0, planned, planned)
    order = np.argsort(level, kind="stable")
    places = ((np.arange(_READINGS) + 0.5) / _READINGS * level.size).astype(int)
    # The reading's own scatter, spread evenly over the readings in an order of its own.
    scatter = _even_normals(_READINGS) * noise
    readings = level[order][places] + scatter
    amounts = []
    for reading in readings:
        distance = (reading - level) / noise
        weights = np.exp(-0.5 * (distance**2 - np.min(distance**2)))
        amounts.append(act(weights))
    found = np.array(amounts)
    edge = _CHANGED * max(planned, 0.0)
    changed = np.abs(found - planned) > edge if planned > 0.0 else found > 0.0
    return Worth(
        float(np.mean(changed)),
        float(np.quantile(found, 0.05)),
        float(np.quantile(found, 0.95)),
    )


def _even_normals(count: int) -> Floats:
    """So many normals at even quantiles, shuffled by a fixed stride so that no order is left."""
    from statistics import NormalDist

    normal = NormalDist()
    values = np.array([normal.inv_cdf((k + 0.5) / count) for k in range(count)])
    stride = 19  # has no divisor in common with the count
    return values[(np.arange(count) * stride) % count]
