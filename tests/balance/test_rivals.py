"""Weighing causes by signs: Bayes' rule, no sign beyond its tails, reasons that were reckoned."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import cauchy

from brinebook.balance.rivals import TAIL_SHARE, TAIL_WIDTH, Rival, Sign, weigh


def _mixed(value: float, mean: float, sd: float) -> float:
    """The density with tails, from the distributions of general reference libraries."""
    far = float(cauchy.pdf(value, loc=mean, scale=TAIL_WIDTH * sd))
    return (1 - TAIL_SHARE) * NormalDist(mean, sd).pdf(value) + TAIL_SHARE * far


def test_two_causes_and_one_sign_are_bayes_rule() -> None:
    # Bayes' rule written out: share times density, over their sum.
    sign = Sign("bottle", 0.1, 0.3, (1.0, 0.4))
    stopped = Rival("dose_not_arriving", 0.2, {"bottle": (0.0, 0.4)})
    other = Rival("other", 0.8)
    up = 0.2 * _mixed(0.1, 0.0, 0.5)
    expected = up / (up + 0.8 * _mixed(0.1, 1.0, 0.5))
    found = {one.cause: one.probability for one in weigh([stopped, other], [sign])}
    assert found["dose_not_arriving"] == pytest.approx(expected, rel=1e-12)


def test_what_speaks_for_one_cause_speaks_against_its_rival() -> None:
    sign = Sign("bottle", 0.0, 0.05, (1.0, 0.05))
    found = {
        one.cause: one
        for one in weigh(
            [Rival("dose_not_arriving", 0.5, {"bottle": (0.0, 0.05)}), Rival("other", 0.5)], [sign]
        )
    }
    assert found["dose_not_arriving"].speaks_for == ("bottle",)
    assert found["other"].speaks_against == ("bottle",)
    assert found["other"].speaks_for == ()


def test_a_sign_that_the_tests_have_used_gives_reasons_and_moves_no_share() -> None:
    sign = Sign("size", 0.0, 0.05, (1.0, 0.05), counted=False)
    found = weigh([Rival("a", 0.3, {"size": (0.0, 0.05)}), Rival("other", 0.7)], [sign])
    assert [(one.cause, round(one.probability, 12)) for one in found] == [
        ("other", 0.7),
        ("a", 0.3),
    ]
    assert found[1].speaks_for == ("size",)


def test_one_sign_however_far_off_decides_nothing_alone() -> None:
    # Exactly as one cause expects and fifty deviations from the other: under the normal alone the
    # odds would be exp(1250); with the tail they are some ten thousands, and no more.
    sign = Sign("bottle", 50.0, 0.0, (0.0, 1.0))
    found = weigh([Rival("a", 0.5, {"bottle": (50.0, 1.0)}), Rival("other", 0.5)], [sign])
    odds = found[0].probability / found[1].probability
    assert odds == pytest.approx(_mixed(0, 0, 1) / _mixed(50, 0, 1), rel=1e-9)
    assert odds < 1e5


def test_a_cause_without_share_stays_impossible() -> None:
    found = weigh([Rival("a", 0.0), Rival("other", 1.0)], [])
    assert {one.cause: one.probability for one in found} == {"a": 0.0, "other": 1.0}


_SHARES = st.lists(st.floats(0.01, 1.0), min_size=1, max_size=5)
_SIGNS = st.lists(
    st.tuples(st.floats(-9, 9), st.floats(0.0, 2.0), st.floats(-5, 5), st.floats(0.1, 5.0)),
    max_size=4,
)


@given(_SHARES, _SIGNS)
def test_probabilities_sum_to_one_in_any_order(
    shares: list[float], seen: list[tuple[float, float, float, float]]
) -> None:
    rivals = [
        Rival(f"c{k}", share, {"s0": (float(k), 1.0), "s1": (-float(k), 0.5)})
        for k, share in enumerate(shares)
    ]
    signs = [Sign(f"s{k}", value, sd, (mean, spread))
             for k, (value, sd, mean, spread) in enumerate(seen)]  # fmt: skip
    there = weigh(rivals, signs)
    back = weigh(rivals[::-1], signs[::-1])
    assert math.fsum(one.probability for one in there) == pytest.approx(1.0, abs=1e-12)
    assert {one.cause: one.probability for one in there} == pytest.approx(
        {one.cause: one.probability for one in back}, abs=1e-12
    )


@given(_SHARES)
def test_without_signs_the_shares_stand(shares: list[float]) -> None:
    rivals = [Rival(f"c{k}", share) for k, share in enumerate(shares)]
    total = math.fsum(shares)
    for one in weigh(rivals, []):
        assert one.probability == pytest.approx(shares[int(one.cause[1:])] / total, rel=1e-9)
