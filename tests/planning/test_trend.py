"""A trend of use: told only where its sign is sure, and then followed by its middle."""

from __future__ import annotations

import pytest

from brinebook.measure import Measure
from brinebook.planning.trend import WEEKS, Trend, weekly


def _trend(before: float, now: float, sd: float) -> Trend:
    return Trend("alkalinity", Measure(before, sd, ""), Measure(now, sd, ""), 28.0)


def test_the_change_of_a_week_is_a_quarter_of_that_of_four() -> None:
    found = _trend(0.30, 0.34, 0.01)
    assert found.per_week.value == pytest.approx(0.01)
    assert found.per_week.sd == pytest.approx(2**0.5 * 0.01 / 4.0)
    assert found.is_sure


def test_what_two_noisy_ends_make_is_no_trend() -> None:
    found = _trend(0.30, 0.34, 0.05)
    # The normal distribution's own: 0.04 / (0.05 x root 2) = 0.566 sd, 71.4 %.
    assert found.sureness == pytest.approx(0.714, abs=0.001)
    assert not found.is_sure
    assert weekly(30.0, found, per_unit=0.003) == (30.0,) * WEEKS


def test_the_weeks_to_come_rise_by_what_the_use_of_a_week_rises() -> None:
    # 0.009 meq/L more each week at 0.003 meq/L a millilitre: 3 mL a week.
    found = weekly(30.0, _trend(0.300, 0.336, 0.001), per_unit=0.003)
    assert found == pytest.approx((30.0, 33.0, 36.0, 39.0))


def test_a_falling_use_never_makes_an_amount_below_nothing() -> None:
    assert weekly(1.0, _trend(0.5, 0.1, 0.001), per_unit=0.003)[-1] == 0.0


def test_without_four_weeks_of_tests_the_setting_stands() -> None:
    assert weekly(12.0, None, per_unit=0.003) == (12.0,) * WEEKS
