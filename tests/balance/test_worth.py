"""What a test is worth: by how much it narrows the belief."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.balance.worth import narrowing

_SD = st.floats(0.01, 10.0)


@given(_SD, _SD)
def test_two_normals_combine_by_their_weights(now: float, test: float) -> None:
    # The textbook product of two normals: 1/s^2 = 1/a^2 + 1/b^2.
    after = 1.0 / math.sqrt(1.0 / now**2 + 1.0 / test**2)
    assert narrowing(now, test) == pytest.approx(1.0 - after / now, abs=1e-12)


@given(_SD, _SD, _SD)
def test_a_test_never_widens_and_never_tells_more_than_its_bias_lets_it(
    now: float, test: float, bias: float
) -> None:
    found = narrowing(now, test, bias_sd=bias)
    assert 0.0 <= found <= 1.0
    assert found <= 1.0 - min(bias, now) / now + 1e-12


def test_an_exact_test_leaves_the_bias_alone() -> None:
    assert narrowing(2.0, 0.0, bias_sd=1.0) == pytest.approx(0.5)
    assert narrowing(0.0, 1.0) == 0.0
    assert narrowing(1.0, 1.0, bias_sd=1.0) == 0.0
