"""Water changes against arithmetic of the well-mixed tank, and mass kept."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.balance.drawn import Drawn, draw_plain
from brinebook.measure import Measure
from brinebook.planning import changes, mixing
from brinebook.planning.changes import ChangeImpossible, NewWater, plan_changes, play


@pytest.mark.parametrize(
    ("share", "times", "left"),
    # (1 - f)^n, arithmetic; Levenspiel 1999 for the principle; half a unit of the last digit.
    [(0.10, 4, 0.6561), (0.25, 4, 0.316406), (0.20, 10, 0.107374)],
)
def test_a_series_of_batches_leaves_a_power_of_what_stays(
    share: float, times: int, left: float
) -> None:
    found = changes.batch_series(1.0, made=0.0, every=7.0, share=share, incoming=0.0, times=times)
    assert found[-1] == pytest.approx(left, abs=1e-6)


def test_ten_per_cent_a_week_never_brings_down_what_is_made_each_day() -> None:
    # 40 mg/L, 1.0 a day, a tenth every seventh day: c <- (c + 7)(1 - f); 1e-3 of the last digit.
    found = changes.batch_series(40.0, made=1.0, every=7.0, share=0.1, incoming=0.0, times=8)
    assert found == pytest.approx([42.3, 44.4, 46.2, 47.9, 49.4, 50.8, 52.0, 53.1], abs=0.06)
    trough, peak = changes.fixed_point(made=1.0, every=7.0, share=0.1, incoming=0.0)
    assert (trough, peak) == pytest.approx((63.0, 70.0), rel=1e-9)


def test_the_share_that_holds_a_trough() -> None:
    # f = 7 / 17 for a trough of 10 (peak 17); half of the water weekly settles at 7: arithmetic.
    share = changes.share_to_hold(10.0, made=1.0, every=7.0, incoming=0.0)
    assert share == pytest.approx(0.412, abs=5e-4)
    assert changes.fixed_point(made=1.0, every=7.0, share=share, incoming=0.0)[1] == pytest.approx(
        17.0
    )
    half = changes.batch_series(40.0, made=1.0, every=7.0, share=0.5, incoming=0.0, times=8)
    assert half == pytest.approx([23.5, 15.25, 11.125, 9.06, 8.03, 7.52, 7.26, 7.13], abs=5e-3)


def test_one_large_change_or_three_smaller_ones() -> None:
    # 40 to 10 with nothing made: 75 % at once, or three of 37.0 %, 333 L of 300 in all; 1e-3.
    assert changes.share_once(40.0, 10.0, incoming=0.0) == pytest.approx(0.75)
    each = changes.share_each(40.0, 10.0, incoming=0.0, times=3)
    assert each == pytest.approx(0.370, abs=5e-4)
    assert 3 * each * 300.0 == pytest.approx(333.0, abs=0.5)


@pytest.mark.parametrize(
    ("turned", "left"),
    # exp(-x), arithmetic; Levenspiel 1999; 1e-6.
    [(0.1, 0.904837), (0.5, 0.606531), (1.0, 0.367879), (3.0, 0.049787)],
)
def test_a_continuous_change_leaves_an_exponential(turned: float, left: float) -> None:
    assert changes.continuous_share(1.0, left, incoming=0.0) == pytest.approx(turned, abs=2e-5)


@settings(max_examples=100)
@given(start=st.floats(5.0, 100.0), part=st.floats(0.05, 0.95), times=st.integers(1, 20))
def test_batches_never_need_more_water_than_a_continuous_change(
    start: float, part: float, times: int
) -> None:
    target = start * part
    batches = times * changes.share_each(start, target, incoming=0.0, times=times)
    continuous = changes.continuous_share(start, target, incoming=0.0)
    assert batches <= continuous + 1e-9
    # And many small ones come to the same.
    many = 4000 * changes.share_each(start, target, incoming=0.0, times=4000)
    assert many == pytest.approx(continuous, rel=1e-3)


@settings(max_examples=100)
@given(
    start=st.floats(0.0, 80.0),
    incoming=st.floats(0.0, 20.0),
    made=st.floats(-2.0, 3.0),
    share=st.floats(0.01, 0.9),
    times=st.integers(1, 30),
)
def test_what_came_and_went_is_what_is_there(
    *, start: float, incoming: float, made: float, share: float, times: int
) -> None:
    # In: made and new water; out: old water. The balance closes to rounding.
    levels = changes.batch_series(
        start, made=made, every=7.0, share=share, incoming=incoming, times=times
    )
    before = start
    total = start
    for level in levels:
        peak = before + 7.0 * made
        total += 7.0 * made + share * incoming - share * peak
        before = level
    assert total == pytest.approx(levels[-1], abs=1e-9 * (1.0 + abs(total)))


def test_salt_by_mass_for_a_batch_and_for_damp_salt() -> None:
    # 38 L from 33 to 35 PSU: 80.0 g of dry salt, 88 g at 1.10 grams of damp salt for one of dry
    # (density of TEOS-10 at 25 C, reference salinity); 0.5 %.
    dry = mixing.salt_grams(38.0, start=33.0, target=35.0, temperature=25.0)
    assert dry == pytest.approx(80.0, rel=5e-3)
    damp = mixing.salt_grams(38.0, start=33.0, target=35.0, temperature=25.0, moisture=1.1)
    assert damp == pytest.approx(88.0, rel=5e-3)


def test_ways_to_bring_salinity_back() -> None:
    # 300 L: arithmetic, 0.5 %.
    assert mixing.mixing_salinity(33.0, 35.0, share=0.1) == pytest.approx(53.0)
    days = mixing.days_of_salt_top_off(33.0, 35.0, litres=300.0, flow=4.0, salinity=35.0)
    assert days == pytest.approx(4.29, rel=5e-3)
    assert mixing.fresh_swap(37.0, 35.0, litres=300.0) == pytest.approx(16.2, abs=0.05)


def test_cold_water_swapped_in_cools_by_its_share() -> None:
    # 45 L at 18 C into 300 L at 25 C: 23.95 C, arithmetic; 0.01 K.
    assert changes.after_change(25.0, 18.0, 0.15) == pytest.approx(23.95, abs=0.01)


def test_warming_takes_the_heat_capacity_of_seawater() -> None:
    # TEOS-10 at 35 PSU and 25 C: 3998.98 J/kg/K, 1.02334 kg/L. 45 L by 7 K with 300 W: 1.194 h.
    assert mixing.heat_capacity(35.0, 25.0) == pytest.approx(3.99898, abs=5e-5)
    hours = mixing.hours_to_warm(45.0, start=18.0, target=25.0, watts=300.0, salinity=35.0)
    assert hours == pytest.approx(45 * 1.0233436 * 3998.98 * 7 / 300 / 3600, rel=1e-4)


def test_a_weak_heater_in_a_cold_room_never_gets_there() -> None:
    cold = mixing.hours_to_warm(
        45.0, start=16.0, target=25.0, watts=50.0, salinity=35.0, room=10.0, loss=5.0
    )
    assert math.isinf(cold)
    slow = mixing.hours_to_warm(
        45.0, start=16.0, target=25.0, watts=100.0, salinity=35.0, room=18.0, loss=5.0
    )
    quick = mixing.hours_to_warm(45.0, start=16.0, target=25.0, watts=100.0, salinity=35.0)
    assert slow > quick


def test_what_new_water_cannot_do_is_refused() -> None:
    with pytest.raises(ChangeImpossible):
        changes.share_once(40.0, 5.0, incoming=10.0)
    with pytest.raises(ChangeImpossible):
        changes.share_to_hold(5.0, made=1.0, every=7.0, incoming=10.0)
    with pytest.raises(ChangeImpossible):
        mixing.fresh_swap(33.0, 35.0, litres=300.0)


def _drawn(level: float, made: float, sd: float = 0.0) -> Drawn:
    return draw_plain(
        {"nitrate": Measure(level, sd, ""), "alkalinity": Measure(2.8, 0.0, "")},
        {"nitrate": Measure(-made, 0.0, ""), "alkalinity": Measure(0.0, 0.0, "")},
        Measure(300.0, 0.0, "L"),
        count=200,
    )


NEW = NewWater({"nitrate": 0.0, "alkalinity": 3.2}, {})


def test_a_plan_takes_as_few_changes_as_stay_under_the_share_at_once() -> None:
    plan = plan_changes(_drawn(40.0, 0.0), "nitrate", 10.0, new=NEW, every=1.0, most_share=0.4)
    assert plan is not None
    assert plan.times == 3
    assert plan.share == pytest.approx(0.370, abs=5e-4)
    after = float(np.median(plan.of("nitrate")[3]))
    assert after == pytest.approx(10.0, abs=0.01)
    # What comes along: 3.2 in, 2.8 there, by the same shares.
    assert float(np.median(plan.of("alkalinity")[3])) == pytest.approx(
        3.2 - 0.4 * (1 - plan.share) ** 3, rel=1e-6
    )


def test_where_changes_cannot_win_there_is_no_plan() -> None:
    # 1 mg/L a day, 30 % a week settles at 16.3: it never comes to 10.
    plan = plan_changes(_drawn(40.0, 1.0), "nitrate", 10.0, new=NEW, every=7.0, most_share=0.3)
    assert plan is None


def test_playing_a_change_mixes_every_quantity_alike() -> None:
    levels = play(_drawn(20.0, 0.0), NEW, litres=30.0, times=1, every=7.0, days=1.0)
    assert levels[1][:, 0] == pytest.approx(np.full(200, 18.0))
    assert levels[1][:, 1] == pytest.approx(np.full(200, 2.84))
