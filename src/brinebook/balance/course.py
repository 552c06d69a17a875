"""Levels and use at chosen times of the past, with all that is known later in view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.chapters import Reading, posterior
from brinebook.balance.questions import Questions, levels, losses, uses
from brinebook.balance.season import Floats


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """Levels, use and unseen losses at one time with hindsight: mean and sd by quantity."""

    t: float
    level: Floats
    level_sd: Floats
    use: Floats
    use_sd: Floats
    lost: Floats
    lost_sd: Floats


def course_point(reading: Reading, t: float, quantities: tuple[str, ...]) -> CoursePoint:
    """What a reading that kept the time ``t`` (and smoothed it) tells of it.

    The numbers are in the order of ``quantities``: NaN for those that the reading doesn't know.
    """
    mover = reading.window.mover
    mean, covariance = posterior(reading, reading.window.smooth[t], reading.stories[0])
    place = [quantities.index(name) for name in mover.season.quantities]

    def spread_out(values: Floats) -> Floats:
        found = np.full(len(quantities), np.nan)
        found[place] = values
        return found

    def told(question: Questions) -> tuple[Floats, Floats]:
        variance = np.einsum("ij,jk,ik->i", question.rows, covariance, question.rows)
        sd = np.sqrt(np.maximum(variance + question.variances, 0.0))
        return spread_out(question.rows @ mean + question.constants), spread_out(sd)

    level, use = levels(mover, t), uses(mover.season, mover, t)
    return CoursePoint(t, *told(level), *told(use), *told(losses(mover, t)))
