"""Drip and bucket: published dilution, round trips, and salt that is neither made nor lost."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.acclimate import (
    flow_of_drops,
    hours_of_filling,
    hours_of_overflow,
    kept_after_filling,
    kept_after_overflow,
    kept_after_swaps,
    kept_for,
    mixed,
    swaps_for,
)


@pytest.mark.parametrize(
    ("turns", "left"),
    [
        (0.1, 0.904837),
        (0.25, 0.778801),
        (0.5, 0.606531),
        (1, 0.367879),
        (2, 0.135335),
        (3, 0.049787),
    ],
)
def test_dripping_with_overflow_leaves_e_to_the_minus_turns(turns: float, left: float) -> None:
    # Levenspiel 1999, a stirred vessel washed out: exp(-Q t / V); half a unit of the sixth decimal.
    assert kept_after_overflow(1.5 * turns, 1.5, 1.0) == pytest.approx(left, abs=5e-7)


@pytest.mark.parametrize(("share", "times", "left"), [(0.1, 4, 0.6561), (0.25, 4, 0.31641)])
def test_swaps_leave_what_is_not_poured_out(share: float, times: int, left: float) -> None:
    # By hand: 0.9^4 and 0.75^4.
    assert kept_after_swaps(share, times) == pytest.approx(left, abs=5e-6)


def test_from_31_to_34_by_drip_and_by_bucket() -> None:
    # By hand: 31 to 34 beside 35 leaves a quarter. With overflow V ln 4 / q: 1.5 L at 2 L/h takes
    # 62.4 min; filling up takes three more volumes, 4.5 L, 2.25 h; halves twice.
    kept = kept_for(31.0, 35.0, 34.0)
    assert kept == pytest.approx(0.25)
    assert 60 * hours_of_overflow(2.0, 1.5, kept) == pytest.approx(60 * 0.75 * math.log(4))
    assert hours_of_filling(2.0, 1.5, kept) == pytest.approx(2.25)
    assert swaps_for(0.5, kept) == 2


def test_two_drops_a_second_are_a_third_of_a_litre_an_hour() -> None:
    # By hand at 20 drops a mL (common practice, no source): 2 / 20 mL/s = 0.36 L/h.
    assert flow_of_drops(2.0) == pytest.approx(0.36)


volumes, flows, hours = st.floats(0.2, 20), st.floats(0.1, 20), st.floats(0.0, 5)
salinities = st.floats(5, 45)


@given(volumes, flows, hours, salinities, salinities)
def test_filling_keeps_the_books_of_salt(
    litres: float, flow: float, time: float, bag: float, system: float
) -> None:
    kept = kept_after_filling(flow, litres, time)
    inside = mixed(bag, system, kept) * (litres + flow * time)
    assert inside == pytest.approx(bag * litres + system * flow * time)


@given(volumes, flows, st.floats(0.01, 5), salinities, salinities)
def test_overflow_carries_away_what_it_no_longer_holds(
    litres: float, flow: float, time: float, bag: float, system: float
) -> None:
    # What ran out, integrated, is what was there plus what came in less what is left.
    ran_out = flow * (
        system * time + (bag - system) * litres / flow * -math.expm1(-flow * time / litres)
    )
    left = mixed(bag, system, kept_after_overflow(flow, litres, time)) * litres
    assert bag * litres + system * flow * time == pytest.approx(ran_out + left)


@given(volumes, flows, st.floats(0.01, 1.0))
def test_the_hours_undo_the_drip(litres: float, flow: float, kept: float) -> None:
    time = hours_of_overflow(flow, litres, kept)
    assert kept_after_overflow(flow, litres, time) == pytest.approx(kept)
    time = hours_of_filling(flow, litres, kept)
    assert kept_after_filling(flow, litres, time) == pytest.approx(kept)


@given(flows, volumes, st.floats(0.05, 3))
def test_overflow_is_kinder_to_the_litres_than_filling(
    flow: float, litres: float, turns: float
) -> None:
    time = turns * litres / flow
    assert kept_after_overflow(flow, litres, time) < kept_after_filling(flow, litres, time)


@given(st.floats(0.05, 0.95), st.floats(0.001, 1.0))
def test_as_many_swaps_as_needed_and_no_more(share: float, kept: float) -> None:
    count = swaps_for(share, kept)
    assert kept_after_swaps(share, count) <= kept * (1 + 1e-6)
    assert count == 0 or kept_after_swaps(share, count - 1) > kept * (1 - 1e-6)
