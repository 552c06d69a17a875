"""How the use has changed within the last window: growth then and now, from all or some tests.

Growth is what the reef would use at its anchor's alkalinity, so a use that only follows the water
is not a change. It wanders without pull, hence its covariance between two times is, before any
test, its variance at the earlier one; with the tests in view the usual rules of joint normals
follow. Source: durbin2012 (chapter 4)
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.season import Floats
from brinebook.balance.window import Moment, Window, walk
from brinebook.measure import Measure


@dataclass(frozen=True, slots=True)
class UseChange:
    """Growth at two times and its change, meq/L/day, from the tests of ``quantities``."""

    then: Measure
    now: Measure
    change: Measure
    tests: int


def change_of_use(
    season: SeasonEstimate, since: float, *, quantities: Collection[str], without: Collection[str]
) -> UseChange | None:
    """By how much growth changed between ``since`` and the season's end, by some tests alone.

    ``quantities`` names whose tests count, ``without`` the ids of tests that don't. None where the
    season has no growth or ``since`` lies outside its last window.
    """
    window = season.last.window
    position = window.mover.index.get("growth")
    if position is None or not window.start.t < since < window.end.t:
        return None
    tests = tuple(
        test
        for test in season.season.tests
        if (test.quantity in quantities or test.target) and test.fact not in without
    )
    again = walk(
        replace(season.season, tests=tests),
        window.start,
        window.mover,
        end=window.end.t,
        keep=(since,),
        with_columns=False,
        smooth=True,
    )
    count = sum(test.t > since and not test.target for test in tests)
    return _between(again, again.smooth[since], position, count)


def _between(window: Window, earlier: Moment, position: int, tests: int) -> UseChange:
    departure = np.array([row.value for row in window.rows]) - window.expected
    gain_then, gain_now = (
        _gain(window, moment.cross[position]) for moment in (earlier, window.end)
    )
    then = float(earlier.mean[position] + gain_then @ departure)
    now = float(window.end.mean[position] + gain_now @ departure)
    before = float(earlier.covariance[position, position])
    variance_then = before - float(gain_then @ earlier.cross[position])
    variance_now = float(
        window.end.covariance[position, position] - gain_now @ window.end.cross[position]
    )
    together = before - float(gain_then @ window.end.cross[position])
    variance = max(variance_then + variance_now - 2.0 * together, 0.0)
    unit = "meq/L/day"
    return UseChange(
        Measure(then, float(np.sqrt(max(variance_then, 0.0))), unit),
        Measure(now, float(np.sqrt(max(variance_now, 0.0))), unit),
        Measure(now - then, float(np.sqrt(variance)), unit),
        tests,
    )


def _gain(window: Window, cross: Floats) -> Floats:
    if not window.rows:
        return np.zeros(0)
    return np.asarray(np.linalg.solve(window.covariance, cross))
