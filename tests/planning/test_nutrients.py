"""Nutrients: budgets that close, courses that keep mass, levers that find their size."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.algae import AlgaeContent
from brinebook.planning.levers import (
    Place,
    algae_lever,
    change_lever,
    less_food_lever,
    media_out_lever,
)
from brinebook.planning.nutrients import (
    Budget,
    Lever,
    Nutrient,
    Push,
    chance_in_band,
    course_of,
    pull_lever,
    risk_of_gone,
    share_of_change,
)
from brinebook.planning.spread import Spread


def nutrient(
    *, now: float = 20.0, net: float = 0.0, supply: float = 0.6, half: float = 1.0,
    stored: float = 0.0, name: str = "nitrate", count: int = 3,
) -> Nutrient:  # fmt: skip
    def draws(value: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.full(count, value)

    return Nutrient(
        name, draws(now), draws(net), draws(supply), draws(half), draws(stored), (2.0, 15.0)
    )


@given(
    now=st.floats(0.01, 100), supply=st.floats(0.001, 5), half=st.floats(0.1, 10),
    stored=st.floats(0, 20),
)  # fmt: skip
def test_a_level_without_drift_stays_where_it_is(
    now: float, supply: float, half: float, stored: float
) -> None:
    course = course_of(nutrient(now=now, supply=supply, half=half, stored=stored), 28)
    assert course == pytest.approx(now)


@given(
    now=st.floats(0.01, 100), net=st.floats(-1, 1), out=st.floats(0, 50), stored=st.floats(0, 20)
)
def test_no_push_takes_a_level_below_zero(
    now: float, net: float, out: float, stored: float
) -> None:
    course = course_of(nutrient(now=now, net=net, stored=stored), 60, Push(uptake=out))
    assert (course > 0.0).all()


def test_the_level_sets_out_at_its_own_drift() -> None:
    # By hand: a gain of 0.3 mg/L a day shows as 0.3 after the first day, but for the uptake that
    # follows the level (a few hundredths).
    first = course_of(nutrient(net=0.3), 1)[1, 0] - 20.0
    assert first == pytest.approx(0.3, abs=0.01)


def test_what_rock_holds_slows_the_level_and_not_where_it_ends() -> None:
    # dC/dt = 0 at the same level with and without a store: half the supply, uptake in proportion.
    quick = nutrient(half=1e6, supply=0.6)
    slow = nutrient(half=1e6, supply=0.6, stored=4.0)
    less = Push(supply=-0.3)
    assert course_of(slow, 10, less)[-1, 0] > course_of(quick, 10, less)[-1, 0] + 1.0
    assert course_of(quick, 3000, less)[-1, 0] == pytest.approx(10.0, rel=1e-3)
    assert course_of(slow, 3000, less)[-1, 0] == pytest.approx(10.0, rel=1e-3)


def test_mass_is_kept_by_every_step() -> None:
    # (1 + stored) times the rise of a day is what came in less what was taken, whatever the push.
    each, push = nutrient(net=0.2, stored=3.0), Push(supply=0.4, uptake=0.1, share=0.02, towards=1)
    course = course_of(each, 30, push)
    for before, after in pairwise(course):
        relative = before / each.now
        taken = (each.uptake + 0.1) * (1 + each.half) * after
        taken = taken / (each.now * (relative + each.half))
        came = each.supply + 0.4 - taken - 0.02 * (after - 1.0)
        assert (1 + each.stored) * (after - before) == pytest.approx(came)


def test_a_tenth_a_week_brings_what_a_continuous_change_of_as_much_would() -> None:
    # Levenspiel 1999: 0.9 of it is left after a week, by changes or by exp(-7 share).
    assert np.exp(-7.0 * share_of_change(0.1)) == pytest.approx(0.9)


def test_a_budget_closes_on_what_food_brings() -> None:
    fed, kept = np.array([100.0, 200.0]), np.array([25.0, 40.0])
    budget = Budget(
        fed, kept, np.array([5.0, 9.0]), np.zeros(2), np.array([20.0, 8.0]), np.array([-3.0, 60.0])
    )
    total = budget.algae + budget.media + budget.changes + budget.rises + budget.rest
    assert total == pytest.approx(budget.to_water)
    assert ((budget.explained >= 0) & (budget.explained <= 1)).all()


def _place(litres: float = 300.0) -> Place:
    ones = np.ones(3)
    budget = {
        "nitrogen": Budget(162 * ones, 0 * ones, 0 * ones, 0 * ones, 0 * ones, 0 * ones),
        "phosphorus": Budget(27 * ones, 0 * ones, 0 * ones, 9 * ones, 0 * ones, 0 * ones),
    }
    content = AlgaeContent(Spread.exactly(0.12), Spread.exactly(0.03), Spread.exactly(0.0025))
    return Place(litres * ones, budget, 0.0, content, {})


def test_levers_act_in_their_own_measure() -> None:
    # By hand in 300 L: 100 g of algae a week is 0.36 g N, 5.31 mg/L of NO3 a week; half the food of
    # 162 mg N a day is 1.195 mg/L of NO3 a day; media of 9 mg P a day are 0.092 mg/L of PO4.
    place = _place()
    cut = algae_lever(place).pushes(100.0)["nitrate"]
    assert cut.uptake == pytest.approx(5.312 / 7, rel=1e-3)
    assert less_food_lever(place).pushes(0.5)["nitrate"].supply == pytest.approx(-1.195, rel=1e-3)
    out = media_out_lever(place).pushes(1.0)["phosphate"]
    assert out.uptake == pytest.approx(-0.09198, rel=1e-3)
    assert change_lever(place).pushes(0.1)["phosphate"].share == pytest.approx(0.01505, rel=1e-3)


def test_a_lever_finds_the_size_that_ends_at_the_goal() -> None:
    levels = {"nitrate": nutrient(now=20.0, net=0.1, half=3.0, count=41)}
    pulled = pull_lever(change_lever(_place()), levels, "nitrate", goal=12.0, horizon=28)
    assert pulled.reaches
    assert np.median(pulled.levels["nitrate"]) == pytest.approx(12.0, rel=0.01)
    assert pulled.in_band["nitrate"] == 1.0


def test_a_lever_is_held_by_what_is_let_fall_in_a_week() -> None:
    levels = {"nitrate": nutrient(now=60.0, net=0.1, half=3.0, count=41)}
    pulled = pull_lever(change_lever(_place()), levels, "nitrate", goal=2.0, horizon=28)
    assert not pulled.reaches
    assert pulled.size <= 0.5
    slow = pull_lever(change_lever(_place()), levels, "nitrate", goal=20.0, horizon=28, per_day=0.5)
    assert slow.held_by == "fall"


def test_a_weak_lever_says_that_it_does_not_reach() -> None:
    def pushes(size: float) -> Mapping[str, Push]:
        return {"nitrate": Push(uptake=0.001 * size)}

    weak = Lever("blow on it", "puffs", 3.0, pushes)
    pulled = pull_lever(weak, {"nitrate": nutrient()}, "nitrate", goal=10.0, horizon=28)
    assert (pulled.reaches, pulled.days, pulled.held_by) == (False, None, "size")


def test_risks_are_shares_of_the_draws() -> None:
    each = nutrient(now=1.5, net=0.0, count=4)
    course = np.array([[1.5, 1.5, 1.5, 1.5], [1.5, 0.9, 1.2, 1.5], [1.5, 1.5, 0.5, 1.5]])
    assert risk_of_gone(each, course) == pytest.approx(0.5)
    assert chance_in_band(each, np.array([1.0, 2.0, 15.0, 16.0])) == pytest.approx(0.5)
