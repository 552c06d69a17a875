"""Treatments: volume arithmetic alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.treatment import (
    amount_by_label,
    changes_until,
    left_after_changes,
    refill_amount,
)


def test_a_label_for_a_hundred_litres_in_sixty_and_three() -> None:
    # By hand: 5 mL for 100 L in 63 L is 3.15 mL; after a change of 15 L of it, 0.75 mL is missing.
    assert amount_by_label(63.0, label_amount=5.0, label_litres=100.0) == pytest.approx(3.15)
    assert refill_amount(3.15, 15.0, 63.0) == pytest.approx(0.75)


def test_what_is_left_after_changes() -> None:
    # By hand: 0.8^10 = 0.107374 (a fifth, ten times); under a tenth takes one more.
    assert left_after_changes(0.2, 10) == pytest.approx(0.107374, abs=5e-7)
    assert changes_until(0.2, 0.1) == 11


@given(st.floats(0.02, 0.98), st.integers(0, 30))
def test_the_changes_counted_are_the_changes_made(share: float, times: int) -> None:
    assert changes_until(share, left_after_changes(share, times)) == times
