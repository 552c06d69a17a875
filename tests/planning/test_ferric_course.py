"""Ferric media learned from tests: mass that is kept, days that narrow, a tank not our own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.ferric import PHOSPHATE_PER_P
from brinebook.planning.ferric_course import (
    Bed,
    Draws,
    Happened,
    Learned,
    Reading,
    ahead,
    balance_level,
    days_until_tired,
    falls_too_fast,
    holds,
    learn,
    most_grams,
    outflow,
    prior_draws,
    step,
    strength,
    with_fresh_media,
)
from brinebook.planning.spread import Spread, quantiles
from tests.planning.media_tanks import tanks


def draws(count: int = 1, **numbers: float) -> Draws:
    usual = {
        "factor": 1.0, "exponent": 1 / 3, "caught": 0.4, "take": 0.1, "gain": 0.01,
        "litres": 300.0, "level": 0.1, "held": 0.0,
    }  # fmt: skip
    return Draws(**{name: np.full(count, each) for name, each in (usual | numbers).items()})


@given(
    level=st.floats(0.005, 2.0), held=st.floats(0.0, 8.0), grams=st.floats(5, 500),
    flow=st.floats(1, 500), length=st.floats(0.05, 0.5),
)  # fmt: skip
def test_what_leaves_the_water_is_on_the_media(
    level: float, held: float, grams: float, flow: float, length: float
) -> None:
    before = draws(level=level, held=held, take=1e-9, gain=0.0)
    after = step(before, Bed(grams, flow), length)

    def phosphate(each: Draws) -> float:
        return float((each.level * each.litres + PHOSPHATE_PER_P * grams * each.held)[0])

    assert phosphate(after) == pytest.approx(phosphate(before), rel=1e-6)
    assert after.held[0] >= before.held[0]
    assert after.level[0] >= 0.0


def test_without_media_the_level_settles_where_gain_and_take_meet() -> None:
    # dC/dt = gain - take C: 0.02 / 0.2 = 0.1, and on the way C = 0.1 (1 - e^(-0.2 t)), by hand.
    start = draws(level=1e-9, gain=0.02, take=0.2)
    told = ahead(start, Bed(0.0, 60.0), 60)
    assert told.level[5, 0] == pytest.approx(0.1 * (1 - np.exp(-1.0)), rel=1e-3)
    assert told.level[60, 0] == pytest.approx(0.1, rel=1e-3)


def test_full_media_neither_take_nor_show_in_the_outflow() -> None:
    each = draws(level=0.09)
    full = replace(each, held=holds(each, each.level))
    assert balance_level(full, full.held) == pytest.approx(0.09)
    assert outflow(full, Bed(100.0, 50.0)) == pytest.approx(0.09)
    assert strength(full) == pytest.approx(0.0, abs=1e-9)
    assert outflow(each, Bed(100.0, 50.0)) == pytest.approx(0.09 * 0.6)


def test_a_steady_load_fills_media_in_the_days_of_plain_arithmetic() -> None:
    # By hand: 100 g at 0.09 mg/L hold 461 mg P, 17 days of 27 mg. Let a strong bed hold the level
    # down near 0.09 by itself: until it tires it takes about what comes in.
    load = 27.0 * PHOSPHATE_PER_P / 300.0
    start = draws(level=0.09, gain=load, take=1e-6, caught=0.9)
    told = ahead(start, Bed(100.0, 60.0), 40)
    full = np.argmax(told.held[:, 0] * 100 >= 461.0)
    assert full == pytest.approx(17, abs=1)


def _learn(truth: Draws, bed: Bed, *, days: int, pairs: bool) -> Learned:
    """What a keeper with a fine photometer, a test each five days, learns of a truth."""
    noise = np.random.default_rng(7).standard_normal((60, 2))
    tests, state = [], truth
    for day in range(1, days + 1):
        for _ in range(4):
            state = step(state, bed, 0.25)
        if day % 5 == 0:
            level = float(state.level[0])
            sd = 0.0015 + 0.015 * level
            tests.append(Reading(float(day), max(level + sd * noise[day, 0], 0.0), sd))
            if pairs:
                out = float(outflow(state, bed)[0])
                tests.append(
                    Reading(float(day), max(out + sd * noise[day, 1], 0.0), sd, outflow=True)
                )
    level = float(truth.level[0])
    prior = prior_draws(
        Spread(level / 2.5, level, level * 2.5), Spread(level / 3, level, level * 4),
        np.full(100, 300.0), gain=Spread.about(300 * float(truth.gain[0]), 0.3),
    )  # fmt: skip
    return learn(
        prior, Bed(0.0, 60.0), tests=tests, happened=[Happened(0.0, bed=bed)], until=float(days)
    )


def test_pairs_of_inflow_and_outflow_narrow_the_days_left() -> None:
    truth = draws(level=0.2, gain=0.06, take=0.15, caught=0.5)
    bed = Bed(50.0, 60.0)
    width = {}
    for pairs in (False, True):
        learned = _learn(truth, bed, days=30, pairs=pairs)
        left = days_until_tired(ahead(learned.draws, learned.bed, 120))
        low, high = quantiles(left, (0.025, 0.975))
        width[pairs] = high - low
        caught = quantiles(learned.draws.caught, (0.025, 0.975))
        assert caught[0] < 0.5 < caught[1]
        assert low <= 17.0 <= high  # the truth, from the same numbers without any doubt
    assert width[True] < 0.7 * width[False]


def test_a_fresh_bed_pulls_faster_the_more_grams_and_flow_it_has() -> None:
    start = draws(50, level=0.3, gain=0.01, take=0.05)
    falls = [
        float((start.level - ahead(start, Bed(grams, flow), 1).level[1])[0])
        for grams, flow in ((20.0, 60.0), (120.0, 60.0), (120.0, 200.0))
    ]
    assert falls == sorted(falls)
    without = ahead(start, Bed(0.0, 200.0), 7)
    assert falls_too_fast(ahead(start, Bed(120.0, 200.0), 7), without, 0.03) == 1.0
    assert falls_too_fast(without, without, 0.03) == 0.0


def test_the_grams_named_keep_the_limits_and_more_would_not() -> None:
    start = draws(100, level=0.25, gain=0.02, take=0.05)
    start = replace(start, caught=np.linspace(0.1, 0.3, 100))
    grams = most_grams(start, 40.0, limit=0.05, gone=0.02, chance=0.02, most=100.0)
    assert 0.0 < grams < 100.0
    fresh, without = with_fresh_media(start), ahead(start, Bed(0.0, 40.0), 28)
    assert falls_too_fast(ahead(fresh, Bed(grams, 40.0), 28), without, 0.05) <= 0.02
    assert falls_too_fast(ahead(fresh, Bed(100.0, 40.0), 28), without, 0.05) > 0.02


@pytest.mark.slow
def test_days_left_hold_in_tanks_of_another_model() -> None:
    """The truth is when the simulator's media stand within TIRED of the water's level.

    Of 16 intervals of 95 % at least 13 should hold it: fewer would be one in a hundred by chance
    (binomial, n = 16, p = 0.95). And tests of the outflow narrow them.
    """
    found = list(tanks(16))
    for key in ("alone", "pairs"):
        ends = [getattr(each, key) for each in found]
        held = sum(low <= each.truth <= high for each, (low, high) in zip(found, ends, strict=True))
        assert held >= 13, key
    # Tank by tank, as tanks differ far more than what a test of the outflow narrows.
    widths = np.array(
        [[each.pairs[1] - each.pairs[0], each.alone[1] - each.alone[0]] for each in found]
    )
    assert np.median(widths[:, 0] / widths[:, 1]) < 1.0


@pytest.mark.slow
def test_media_that_were_tested_to_their_end_tell_how_long_the_next_last() -> None:
    """A pair tells how much is caught now; only media that tire tell how much they hold.

    Of 12 intervals of 95 % at least 9 should hold the truth: fewer would be three in a thousand by
    chance (binomial, n = 12, p = 0.95). The pairs narrow them by more than a tenth.
    """
    found = list(tanks(12, lives=2))
    for key in ("alone", "pairs"):
        ends = [getattr(each, key) for each in found]
        held = sum(low <= each.truth <= high for each, (low, high) in zip(found, ends, strict=True))
        assert held >= 9, key
    widths = np.array(
        [[each.pairs[1] - each.pairs[0], each.alone[1] - each.alone[0]] for each in found]
    )
    some = widths[:, 1] > 0.0
    assert np.median(widths[some, 0] / widths[some, 1]) < 0.9
