"""Draws tell what the balance tells, are the same for the same facts, and keep mass."""

from __future__ import annotations

import random
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from brinebook.balance.drawn import Drawn, Extra, Put, Swap, ahead, draw, draw_plain
from brinebook.balance.estimate import SeasonEstimate, estimate
from brinebook.book.description import read_description
from brinebook.book.history_csv import read_history
from brinebook.demo import history_csv, system_toml
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.timeline import Fact

FAR = datetime(2100, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo() -> tuple[System, tuple[Fact, ...]]:
    system = read_description(system_toml()).system
    found = read_history(history_csv().encode(), zone=ZoneInfo(system.timezone), now=FAR)
    return system, tuple(found.facts)


@pytest.fixture(scope="module")
def season(demo: tuple[System, tuple[Fact, ...]]) -> SeasonEstimate:
    system, facts = demo
    return estimate(system, facts, max(fact.when for fact in facts))[0]


@pytest.fixture(scope="module")
def drawn(season: SeasonEstimate) -> Drawn:
    return draw(season)


def test_draws_have_the_middle_and_the_interval_that_the_balance_tells(
    season: SeasonEstimate, drawn: Drawn
) -> None:
    for name in drawn.quantities:
        now, use = season.now[name], season.consumption[name]
        low, middle, high = np.quantile(drawn.level(name), [0.025, 0.5, 0.975])
        # 4000 draws know a quantile of 2.5 % to about a tenth of the standard deviation.
        assert middle == pytest.approx(now.value, abs=0.05 * now.sd)
        assert high - low == pytest.approx(now.high - now.low, rel=0.08)
        assert drawn.use(name).mean() == pytest.approx(use.value, abs=0.05 * use.sd)
        assert drawn.use(name).std() == pytest.approx(use.sd, rel=0.05)


def test_a_book_left_alone_for_two_years_can_still_be_drawn_from(
    demo: tuple[System, tuple[Fact, ...]],
) -> None:
    # By then some of the state is certain (media that gave out), and its covariance has no inverse.
    system, facts = demo
    later = draw(estimate(system, facts, datetime(2027, 1, 1, tzinfo=UTC))[0])
    assert np.isfinite(later.states).all()


def test_a_week_ahead_is_the_balances_own_forecast(season: SeasonEstimate, drawn: Drawn) -> None:
    found = ahead(drawn, 7.0)
    for name in ("alkalinity", "calcium", "magnesium", "nitrate"):
        for day, told in enumerate(season.forecast[name], start=1):
            assert np.median(found.of(name)[day]) == pytest.approx(told.value, abs=0.06 * told.sd)


def test_the_same_facts_in_any_order_make_the_same_draws(
    demo: tuple[System, tuple[Fact, ...]], drawn: Drawn
) -> None:
    system, facts = demo
    shuffled = list(facts)
    random.Random(3).shuffle(shuffled)
    again = draw(estimate(system, shuffled, max(fact.when for fact in facts))[0])
    assert np.array_equal(again.states, drawn.states)
    assert np.array_equal(again.levels, drawn.levels)
    assert np.array_equal(ahead(again, 5.0).levels, ahead(drawn, 5.0).levels)


def test_a_put_raises_every_draw_by_its_amount_over_its_volume(drawn: Drawn) -> None:
    put = Put(drawn.at, {"magnesium": 5000.0})
    without, given = ahead(drawn, 1.0), ahead(drawn, 1.0, puts=[put])
    rise = given.of("magnesium")[1] - without.of("magnesium")[1]
    assert rise == pytest.approx(5000.0 / drawn.litres, rel=1e-9)


def test_the_bottles_own_doubt_is_in_what_it_brings(drawn: Drawn) -> None:
    put = Put(drawn.at, {"alkalinity": 50.0}, additive="carbonate solution")
    without, given = ahead(drawn, 1.0), ahead(drawn, 1.0, puts=[put])
    rise = given.of("alkalinity")[1] - without.of("alkalinity")[1]
    expected = 50.0 * drawn.strength("carbonate solution") / drawn.litres
    assert rise == pytest.approx(expected, rel=1e-9)


def test_more_from_the_pump_is_more_each_day(drawn: Drawn) -> None:
    more = Extra("calcium solution", 10.0, {"calcium": 19.08})
    without, given = ahead(drawn, 3.0), ahead(drawn, 3.0, extras=[more])
    rise = given.of("calcium")[3] - without.of("calcium")[3]
    expected = 3 * 190.8 * drawn.delivery("calcium solution") / drawn.litres
    assert rise == pytest.approx(expected, rel=0.02)  # calcium doesn't pull back by much


def _plain(level: float, litres: float, use: float = 0.0) -> Drawn:
    return draw_plain(
        {"nitrate": Measure(level, 0.0, "mg/L")},
        {"nitrate": Measure(use, 0.0, "mg/L/day")},
        Measure(litres, 0.0, "L"),
        count=10,
    )


def test_a_stated_belief_without_doubt_is_plain_arithmetic() -> None:
    drawn = _plain(40.0, 300.0, use=-1.0)
    found = ahead(drawn, 7.0, swaps=[Swap(7.0, 30.0, {"nitrate": 0.0})])
    # (40 + 7) less a tenth: arithmetic.
    assert found.of("nitrate")[-1] == pytest.approx(np.full(10, 42.3), rel=1e-12)


def test_a_put_is_taken_once_wherever_it_falls() -> None:
    drawn = _plain(10.0, 100.0)
    for t in (0.0, 0.3, 1.0, 2.0):
        found = ahead(drawn, 3.0, puts=[Put(t, {"nitrate": 500.0})])
        assert found.of("nitrate")[-1] == pytest.approx(np.full(10, 15.0), rel=1e-12)


def test_what_was_never_in_a_belief_is_left_out() -> None:
    drawn = _plain(10.0, 100.0)
    found = ahead(drawn, 1.0, puts=[Put(0.0, {"sodium": 9.0})])
    assert found.of("nitrate")[-1] == pytest.approx(np.full(10, 10.0))
