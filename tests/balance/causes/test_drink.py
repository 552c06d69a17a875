"""The water that a system drinks: rates between marks, a usual rate, and what a leak does."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.drink import (
    Interval,
    drink_of,
    intervals_of,
    salinity_after_loss,
)
from brinebook.balance.season import days_since_epoch
from tests.report import books
from tests.report.books import Story


def _case(story: Story) -> Case:
    return Case(story.system, story.facts, story.told(), days_since_epoch(story.now))


@given(st.floats(20, 40), st.floats(0.1, 5.0), st.integers(2000, 4000))
def test_a_leak_made_up_with_fresh_water_is_many_small_dilutions(
    salinity: float, litres: float, steps: int
) -> None:
    # Mass balance of salt, step by step: each small loss takes its share, fresh water brings none.
    volume, left = 300.0, salinity
    for _ in range(steps):
        left *= 1.0 - litres / steps / volume
    assert salinity_after_loss(salinity, litres, volume) == pytest.approx(left, rel=1e-5)


def test_half_a_litre_of_skimmate_a_day_costs_what_the_books_of_the_trade_say() -> None:
    # Common practice, no source: 0.5 L a day out of 300 L replaced by fresh is 0.058 PSU a day.
    assert 35.0 - salinity_after_loss(35.0, 0.5, 300.0) == pytest.approx(0.058, abs=0.0005)


def test_marks_that_rise_are_refills_and_tell_no_rate() -> None:
    found = intervals_of(_case(books.leaking()))
    assert len(found) == 8
    assert [round(one.per_day, 1) for one in found] == [3.1, 2.9, 3.0, 3.2, 3.0, 2.9, 3.1, 7.0]


def test_what_is_poured_by_hand_counts_where_no_container_is_marked() -> None:
    story = books.quiet()
    for ago in range(20, 0, -2):
        story.add(float(ago), "top_off", "", "5 L")
    found = intervals_of(_case(story))
    assert {round(one.per_day, 2) for one in found} == {2.5}


def _weeks(*per_day: float) -> list[Interval]:
    count = len(per_day)
    return [Interval(-7.0 * (count - k), -7.0 * (count - k - 1) - 0.1, rate)
            for k, rate in enumerate(per_day)]  # fmt: skip


def test_one_odd_week_moves_neither_the_usual_rate_nor_its_scatter() -> None:
    calm = drink_of(_weeks(3.0, 3.1, 2.9, 3.0, 3.1, 4.0), 0.0)
    odd = drink_of(_weeks(3.0, 3.1, 9.0, 3.0, 3.1, 4.0), 0.0)
    assert calm is not None
    assert odd is not None
    assert odd.usual == pytest.approx(calm.usual, abs=0.11)
    assert odd.recent == calm.recent == pytest.approx(4.0)


def test_with_too_few_weeks_nothing_is_usual() -> None:
    assert drink_of(_weeks(3.0, 3.0, 9.0), 0.0) is None
    assert drink_of([], 0.0) is None


def test_the_difference_is_as_sure_as_its_intervals() -> None:
    few = drink_of(_weeks(3.0, 3.2, 2.8, 3.0, 4.0), 0.0)
    many = drink_of(_weeks(*(3.0, 3.2, 2.8, 3.0) * 2, 4.0), 0.0)
    assert few is not None
    assert many is not None
    # One recent interval either way, four or eight before it: sd by sqrt(1 + 1/n).
    assert few.sd / many.sd == pytest.approx(math.sqrt(1 + 1 / 4) / math.sqrt(1 + 1 / 8), rel=1e-9)
