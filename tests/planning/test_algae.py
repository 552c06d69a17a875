"""Algae: what a cut holds, how fast they grow."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.planning.algae import (
    FED_GROWTH,
    AlgaeContent,
    cut_holds,
    doubling_days,
    growth_between_cuts,
    growth_if_share_cut,
    relative_growth,
    relative_growth_of_ball,
    wet_grams_for,
)
from brinebook.planning.spread import Spread


def test_a_hundred_wet_grams_hold_so_much_whatever_they_are_made_of() -> None:
    # By hand, 100 g wet; dry, N, P low .10 .010 .001, middle .12 .03 .0025, high .20 .045 .005 of
    # the published ranges; in 300 L as NO3 and PO4. 0.1 % and a unit of the last digit given.
    held = cut_holds(100.0, AlgaeContent())
    ends = (held.nitrogen.low, held.nitrogen.middle, held.nitrogen.high)
    assert ends == pytest.approx((0.10, 0.36, 0.90), rel=1e-3)
    assert [1000 * each / 300 * NITRATE_PER_N for each in ends] == pytest.approx(
        [1.5, 5.3, 13.3], abs=0.05
    )
    ends = (held.phosphorus.low, held.phosphorus.middle, held.phosphorus.high)
    assert ends == pytest.approx((0.010, 0.030, 0.100), rel=1e-3)
    assert [1000 * each / 300 * PHOSPHATE_PER_P for each in ends] == pytest.approx(
        [0.10, 0.31, 1.02], abs=0.005
    )


def test_a_quarter_of_the_nitrogen_fed_is_so_many_wet_grams_a_week() -> None:
    # By hand: a quarter of 0.162 g N a day over a week is 0.2835 g; at 12 % dry and 3 % N, 79 g.
    assert wet_grams_for(0.25 * 0.162 * 7, 0.12, 0.03) == pytest.approx(79, abs=0.5)


def test_a_measured_dry_share_narrows_what_a_cut_holds() -> None:
    measured = AlgaeContent(dry=Spread.about(0.11, 0.05))
    told, guessed = cut_holds(100.0, measured).nitrogen, cut_holds(100.0, AlgaeContent()).nitrogen
    assert told.high / told.low < guessed.high / guessed.low


def test_a_ball_grown_in_three_weeks_gives_the_usual_rates() -> None:
    # Common practice, no source: from 43 or 74 mm to more than 97 mm in under three weeks, that is
    # 0.04 to 0.12 a day by volume; half a unit of the last digit given, at 20 days.
    assert relative_growth_of_ball(43.0, 97.0, 20.0) == pytest.approx(0.12, abs=0.005)
    assert relative_growth_of_ball(74.0, 97.0, 20.0) == pytest.approx(0.04, abs=0.005)


def test_fed_algae_double_in_about_six_days() -> None:
    # Menendez 2005: 0.11 and 0.13 a day; ln 2 / 0.11 = 6.30 and ln 2 / 0.13 = 5.33 days, by hand.
    assert [doubling_days(rate) for rate in FED_GROWTH] == pytest.approx([6.30, 5.33], abs=0.005)


@given(
    left=st.floats(1, 1e4), rate=st.floats(1e-3, 0.3), days=st.floats(1, 60), cuts=st.integers(1, 5)
)
def test_what_grows_by_itself_and_is_cut_back_gives_its_rate_again(
    left: float, rate: float, days: float, cuts: int
) -> None:
    for _ in range(cuts):
        grown = left * math.exp(rate * days)
        assert growth_between_cuts(grown - left, left, days) == pytest.approx(rate, rel=1e-6)
        assert growth_if_share_cut(1 - left / grown, days) == pytest.approx(rate, rel=1e-6)


@given(before=st.floats(1, 1e3), more=st.floats(1.01, 10), days=st.floats(1, 60))
def test_a_ball_and_its_volume_tell_the_same_rate(before: float, more: float, days: float) -> None:
    after = before * more
    by_volume = relative_growth(before**3, after**3, days)
    assert relative_growth_of_ball(before, after, days) == pytest.approx(by_volume)
