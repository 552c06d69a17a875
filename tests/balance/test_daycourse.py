"""The course of a level within a day, by arithmetic."""

from __future__ import annotations

import math
from datetime import timedelta

import numpy as np
import pytest

from brinebook.balance import beliefs
from brinebook.balance.arrange import arrange
from brinebook.balance.daycourse import light_swing, moved_since
from brinebook.balance.season import days_since_epoch
from tests.balance.test_estimate import REEF, START, alkalinity_tests, fact


def test_the_swing_of_a_whole_day_comes_to_nothing_and_runs_fastest_at_its_peak() -> None:
    for start in (0.0, 0.3, 7.9):
        assert float(light_swing(start + 1.0, 0.1) - light_swing(start, 0.1)) == pytest.approx(0.0)
    # The rate is one plus the swing's slope: 1 + LIGHT_SWING at the peak, by differentiation.
    step = 1e-5
    peak = beliefs.LIGHT_PEAK - 0.1
    slope = float(light_swing(peak + step, 0.1) - light_swing(peak - step, 0.1)) / (2.0 * step)
    assert slope == pytest.approx(beliefs.LIGHT_SWING, rel=1e-6)
    times = np.linspace(0.0, 1.0, 1001)
    assert float(np.ptp(light_swing(times, 0.0))) == pytest.approx(
        beliefs.LIGHT_SWING / math.pi, rel=1e-4
    )


def test_dosing_by_night_stands_high_in_the_morning() -> None:
    # 100 mL of 80 g/L between 22 and 6 o'clock: 8 g = 95.23 meq (atomic weights) in 300 L, all of
    # it after eight in the evening. Used from then to eight in the morning: half a day, less what
    # the dark saves: twice 0.55 / 2 pi times the sine of 75 degrees, 0.169 of a day.
    facts = [
        fact(-9, "dosing", "carbonate", "100", "mL/day", hours="22-06"),
        *alkalinity_tests([(day, 2.9) for day in range(0, 12, 3)]),
    ]
    season = arrange(REEF, facts, START + timedelta(days=12))[0]
    begins = days_since_epoch(START.replace(hour=20) + timedelta(days=10))
    moved = moved_since(
        season, "alkalinity", begins=begins, ends=begins + 0.5, use=0.3, litres=300.0
    )
    assert moved == pytest.approx(95.23 / 300.0 - 0.3 * (0.5 - 0.1691), abs=2e-4)
