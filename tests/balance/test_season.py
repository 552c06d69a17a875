"""A season laid out in numbers: totals in time, and what a window may look up."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.balance.arrange import arrange
from brinebook.balance.arrange_flows import food
from brinebook.balance.observe import observe
from brinebook.balance.season import Flow, Mark, Season, flow_from_settings, fullest_marks
from brinebook.measure import Measure
from brinebook.system import Additive, System
from brinebook.timeline import Fact

START = datetime(2025, 1, 1, 9, tzinfo=UTC)
REEF = System(
    name="a reef",
    net_volume=Measure(300.0, 15.0, "L"),
    additives=(Additive("carbonate", salt="NaHCO3", grams_per_litre=80.0),),
)


def fact(day: float, kind: str, what: str, value: str, unit: str, **detail: str) -> Fact:
    when = START + timedelta(days=day)
    return Fact(f"{kind}{what}{day}{value}", when, kind, what, value, unit, detail)


def only_season(facts: list[Fact], day: float) -> Season:
    (season,) = arrange(REEF, facts, START + timedelta(days=day))
    return season


NOTHING = np.zeros(0)
amounts = st.floats(0.0, 500.0)
gaps = st.lists(st.floats(0.01, 40.0), min_size=1, max_size=8)


@given(gaps, st.data())
@settings(max_examples=40, deadline=None)
def test_a_total_is_linear_between_its_breakpoints(gaps: list[float], data: st.DataObject) -> None:
    starts = np.cumsum(gaps)
    rows = [(float(start), data.draw(amounts), None) for start in starts]
    flow = flow_from_settings("a pump", rows, until=float(starts[-1]) + 9.0, brings=NOTHING)
    times = np.linspace(0.0, float(starts[-1]) + 12.0, 60)
    # numpy's own interpolation between the same points; the tolerance is rounding.
    expected = np.interp(times, flow.breaks, flow.total)
    assert flow.upto(times) == pytest.approx(expected, rel=1e-12, abs=1e-9)


def test_a_daily_window_delivers_the_whole_day_within_its_hours() -> None:
    windows = ((10.25, 10.75), (11.25, 11.75))
    flow = flow_from_settings("a pump", [(10.0, 48.0, windows)], until=12.0, brings=NOTHING)
    assert flow.upto(np.array([10.25, 10.5, 10.75, 11.2, 12.0, 30.0])) == pytest.approx(
        [0.0, 24.0, 48.0, 48.0, 96.0, 96.0]
    )


@given(gaps, amounts, st.booleans())
@settings(max_examples=40, deadline=None)
def test_a_later_setting_changes_no_bit_of_what_went_in_before_it(
    gaps: list[float], more: float, by_hours: bool
) -> None:
    hours = {"hours": "22-06"} if by_hours else {}
    days = [float(day) for day in np.cumsum(gaps)]
    rows = [fact(day, "dosing", "carbonate", f"{30 + day:.1f}", "mL/day", **hours) for day in days]
    test = fact(0.0, "test", "alkalinity", "2.9", "meq/L")
    later = fact(days[-1] + 0.3, "dosing", "carbonate", f"{more:.1f}", "mL/day", **hours)
    before = only_season([test, *rows], days[-1] + 1.0).flows[0]
    after = only_season([test, *rows, later], days[-1] + 70.0).flows[0]
    first = float(before.breaks[0])
    times = first + np.linspace(0.0, days[-1] - days[0] + 0.29, 50)
    assert np.array_equal(before.upto(times), after.upto(times))


def test_meals_reach_the_water_within_a_day_and_a_half_and_add_up() -> None:
    meals = [fact(day, "feed", "flakes", "2", "g") for day in (0, 1, 2, 2.5, 9)]
    flow = food(meals, ("nitrate",))
    assert flow is not None
    begin = float(flow.breaks[0])
    assert flow.upto(begin + np.array([0.0, 0.75, 1.5, 4.0, 9.0, 99.0])) == pytest.approx(
        [0.0, 1.0, 2.0 + 2.0 / 3.0, 8.0, 8.0, 10.0], abs=1e-12
    )


def test_a_sum_of_the_weeks_food_is_fed_day_by_day_and_no_meal() -> None:
    weeks = [fact(7.0 * k, "feed", "flakes", "21", "g") for k in range(6)]
    flow = food(weeks, ("nitrate",))
    assert flow is not None
    third = float(flow.breaks[0]) + 14.0
    fed = np.diff(flow.upto(third + np.arange(0.0, 60.0)))
    assert fed == pytest.approx(3.0)  # and goes on where rows cease


def test_who_ceases_to_write_down_meals_is_thought_to_go_on_feeding() -> None:
    meals = [fact(day, "feed", "flakes", f"{2 + day % 2}", "g") for day in range(30)]
    flow = food(meals, ("nitrate",))
    assert flow is not None
    last = float(flow.breaks[0]) + 29.0
    month = float(flow.upto(last + 32.0) - flow.upto(last + 2.0))
    assert month == pytest.approx(30 * 2.5, rel=0.05)


def test_a_later_meal_changes_no_bit_of_what_earlier_ones_brought() -> None:
    meals = [fact(0.7 * k, "feed", "flakes", f"{1 + k % 3}", "g") for k in range(40)]
    short, long = food(meals[:30], ("nitrate",)), food(meals, ("nitrate",))
    assert isinstance(short, Flow)
    assert isinstance(long, Flow)
    times = np.linspace(float(short.breaks[0]), float(short.breaks[0]) + 0.7 * 29, 200)
    assert np.array_equal(short.upto(times), long.upto(times))


def marked(levels: list[tuple[float, float]]) -> Season:
    season = only_season([fact(0.0, "test", "alkalinity", "2.9", "meq/L")], 1.0)
    events = tuple(Mark(t, "carbonate", left, f"mark {t}") for t, left in levels)
    return replace(season, events=events, fullest=fullest_marks(events))


def test_a_mark_that_stands_higher_than_the_last_one_is_a_refill_and_not_a_reading() -> None:
    season = marked([(1.0, 2000.0), (4.0, 1800.0), (8.0, 1500.0), (9.0, 2000.0), (12.0, 1700.0)])
    rows, events = observe(season, 0.0, 20.0)
    assert [row.t for row in rows] == [4.0, 8.0, 12.0]
    assert len(events) == 5


def test_a_window_knows_the_last_mark_before_it() -> None:
    season = marked([(1.0, 2000.0), (4.0, 1800.0), (8.0, 1500.0), (9.0, 2000.0)])
    assert [row.t for row in observe(season, 5.0, 20.0)[0]] == [8.0]
    assert [row.t for row in observe(season, 8.5, 20.0)[0]] == []
