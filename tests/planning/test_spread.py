"""Wide guesses and what many of them come to."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.measure import Z95
from brinebook.planning.spread import Spread, chance, deviates, quantiles, told


@given(st.floats(1e-3, 1e3), st.floats(1.01, 10), st.floats(1.01, 10))
def test_the_ends_of_a_spread_hold_ninety_five_in_a_hundred(
    middle: float, down: float, up: float
) -> None:
    spread = Spread(middle / down, middle, middle * up)
    ends = spread.drawn(np.array([-Z95, 0.0, Z95]))
    assert ends == pytest.approx([spread.low, spread.middle, spread.high])


def test_draws_come_back_as_the_spread_they_were_drawn_from() -> None:
    spread = Spread(0.1, 0.3, 2.0)
    measure = told(spread.drawn(deviates(1)), "")
    assert measure.value == pytest.approx(0.3, rel=0.05)
    assert measure.low == pytest.approx(0.1, rel=0.15)
    assert measure.high == pytest.approx(2.0, rel=0.15)


def test_equal_weights_change_nothing() -> None:
    values = deviates(2)
    weights = np.full(values.shape, 1.0 / values.size)
    plain, weighted = (
        quantiles(values, (0.025, 0.5)),
        quantiles(values, (0.025, 0.5), weights=weights),
    )
    assert weighted == pytest.approx(plain, abs=0.01)
    assert chance(values > 0.0, weights=weights) == pytest.approx(chance(values > 0.0))


def test_streams_are_their_own_and_always_the_same() -> None:
    assert np.array_equal(deviates(3), deviates(3))
    assert abs(float(np.corrcoef(deviates(3), deviates(4))[0, 1])) < 0.05


def test_nothing_drawn_from_nothing() -> None:
    assert np.all(Spread(0.0, 0.0, 0.0).drawn(deviates(5)) == 0.0)
