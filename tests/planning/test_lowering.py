"""What is too high comes down by dosing less, no faster than the limit and no lower than wanted."""

from __future__ import annotations

import numpy as np
import pytest

from brinebook.balance.drawn import draw_plain
from brinebook.measure import Measure
from brinebook.planning.dosing import Pump
from brinebook.planning.lowering import MOST_DAYS, Pause, pause
from brinebook.planning.substances import choose
from brinebook.water.quantities import DKH_PER_MEQ

DKH = 1.0 / DKH_PER_MEQ


def _paused(level: float, use: float, target: float, *, per_day: float, sd: float = 0.0) -> Pause:
    """A reef of 300 L whose dosing covers just what it uses; levels and use in dKH."""
    (part,) = choose("alkalinity", "NaHCO3", None)
    grams = use * DKH * 300.0 / part.brings("alkalinity")
    drawn = draw_plain(
        {"alkalinity": Measure(level * DKH, sd * DKH, "")},
        {"alkalinity": Measure(0.0, 0.1 * sd * DKH, "")},
        Measure(300.0, 0.0, "L"),
    )
    pump = Pump(part, "alkalinity", grams)
    return pause(drawn, pump, target=target * DKH, per_day=per_day * DKH)


def test_dosing_stops_where_use_keeps_the_limit_by_itself() -> None:
    # 1.5 dKH too much at 0.5 dKH of use a day: nothing for three days. Arithmetic.
    found = _paused(10.0, 0.5, 8.5, per_day=1.0)
    assert found.days == 3
    assert found.setting == pytest.approx(0.0, abs=1e-6)
    assert float(np.median(found.levels[3])) / DKH == pytest.approx(8.5, abs=0.02)


def test_dosing_is_only_lowered_where_use_alone_would_pass_the_limit() -> None:
    # Used 2 dKH a day, allowed 1, 1.8 too high: 45 % left out for two days. Arithmetic.
    found = _paused(10.3, 2.0, 8.5, per_day=1.0)
    assert found.days == 2
    assert found.setting / found.pump.setting == pytest.approx(0.55, abs=0.01)
    assert float(np.mean(found.falls / DKH > 1.0 + 1e-9)) <= 0.02


def test_the_middle_of_belief_ends_at_the_target_and_not_a_day_below_it() -> None:
    # 1.2 dKH at 0.5 a day are 2.4 days: three days at a fifth of the dosing. Arithmetic.
    found = _paused(9.7, 0.5, 8.5, per_day=1.0)
    assert found.days == 3
    assert found.setting / found.pump.setting == pytest.approx(0.2, abs=0.01)
    assert float(np.median(found.levels[3])) / DKH == pytest.approx(8.5, abs=0.02)


def test_the_limit_holds_in_98_of_100_draws_of_an_uncertain_use() -> None:
    found = _paused(11.0, 1.2, 8.5, per_day=1.0, sd=1.5)
    assert found.days is not None
    assert float(np.mean(found.falls / DKH > 1.0 + 1e-9)) <= 0.02


def test_what_takes_longer_than_three_weeks_is_not_called_a_pause() -> None:
    found = _paused(12.0, 0.1, 8.5, per_day=1.0)
    assert found.days is None
    assert len(found.levels) == MOST_DAYS + 1
