"""When a test comes first: because it would change the act, or because the last one is odd."""

from __future__ import annotations

import numpy as np
import pytest

from brinebook.planning.worth import (
    FAR_FOR_A_KNOB,
    is_surprising,
    weighted_quantile,
    worth_of_a_test,
)

_EVEN = np.linspace(-2.0, 2.0, 401)


def test_a_level_moved_far_by_one_test_is_surprising_where_it_makes_the_act() -> None:
    before = 8.0 + 0.2 * _EVEN
    assert is_surprising(6.9 + 0.1 * _EVEN, before, target=8.2)
    # As far, but the act was as large without it.
    assert not is_surprising(6.9 + 0.1 * _EVEN, before, target=12.0)


def test_a_fall_that_was_expected_to_be_possible_is_no_surprise() -> None:
    assert not is_surprising(6.9 + 0.1 * _EVEN, 8.0 + 0.6 * _EVEN, target=8.2)


def test_a_level_that_turns_from_too_low_to_too_high_is_surprising() -> None:
    assert is_surprising(9.5 + 0.1 * _EVEN, 7.9 + 0.2 * _EVEN, target=8.2)


def test_a_sharp_test_of_a_vague_level_changes_the_act_and_of_a_known_one_does_not() -> None:
    def act(level: np.ndarray) -> object:
        return lambda weights: max(8.0 - weighted_quantile(level, weights, 0.5), 0.0)

    vague, known = 7.5 + 0.5 * _EVEN, 7.5 + 0.02 * _EVEN
    assert worth_of_a_test(vague, noise=0.1, planned=0.5, act=act(vague)).is_worth_it  # type: ignore[arg-type]
    assert not worth_of_a_test(known, noise=0.1, planned=0.5, act=act(known)).is_worth_it  # type: ignore[arg-type]
    certain = worth_of_a_test(np.full(9, 7.5), noise=0.1, planned=0.5, act=act(known))  # type: ignore[arg-type]
    assert certain.changes == pytest.approx(0.0)


def test_a_knob_asks_for_less_of_a_surprise_than_a_pour() -> None:
    level, before = 8.55 + 0.15 * _EVEN, 8.2 + 0.18 * _EVEN
    assert not is_surprising(level, before, target=8.2)
    assert is_surprising(level, before, target=8.2, far=FAR_FOR_A_KNOB)
