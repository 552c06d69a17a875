"""Levels that run away: balances, analytic courses, and cases worked by hand."""

from __future__ import annotations

import math

import pytest

from brinebook.lifesupport.stuck import blocked_drain, top_off_stuck_off, top_off_stuck_on
from tests.lifesupport import described

INTAKE = 0.05


def test_a_stuck_top_off_dilutes_by_its_whole_reservoir() -> None:
    # 25 L of fresh water in 300 L of 35 PSU: 35 x 300/325 = 32.31, by hand.
    course = top_off_stuck_on(described.plain(), litres=300)
    assert course is not None
    assert course.salinity == pytest.approx(32.31, abs=0.005)
    assert course.ends_at == pytest.approx(25 / 60)
    assert course.spilt == 0.0


def test_what_no_longer_fits_in_the_sump_takes_salt_along_as_a_well_mixed_vessel_loses_it() -> None:
    # Analytic: dS/dV = -S/V once full. 44.8 L fit below the rim, so of 100 L 55.2 L run over.
    course = top_off_stuck_on(described.plain(**{'"25 L"': '"100 L"'}), litres=300)
    assert course is not None
    assert course.spilt == pytest.approx(100 - 44.8, abs=1e-9)
    full = 300 + 44.8
    assert course.salinity == pytest.approx(35 * 300 / full * math.exp(-55.2 / full), rel=1e-9)


def test_a_top_off_that_something_stops_adds_no_more_than_that() -> None:
    course = top_off_stuck_on(
        described.plain(**{'reservoir = "25 L"': 'reservoir = "25 L"\nlongest_run = "5 min"'}),
        litres=300,
    )
    assert course is not None
    assert course.salinity == pytest.approx(35 * 300 / 305)


def test_without_top_off_the_return_section_falls_until_the_pump_draws_air() -> None:
    # 0.32 m2 from 0.22 m to 0.05 m are 54.4 L; at 6 L/day that is 217.6 h, and 35 x 300/245.6 PSU.
    course = top_off_stuck_off(described.plain(), 6.0, litres=300)
    assert course is not None
    assert course.ends_at == pytest.approx(54.4 / 6 * 24, rel=1e-9)
    assert course.salinity == pytest.approx(35 * 300 / (300 - 54.4), rel=1e-9)
    day = next(hour for hour in course.hours if hour.hours == 24)
    assert day.depth == pytest.approx(0.22 - 0.006 / 0.32, rel=1e-9)
    # Salt is conserved: nothing but water has gone.
    for hour in course.hours:
        gone = 1000 * 0.32 * (0.22 - hour.depth)
        assert hour.salinity * (300 - gone) == pytest.approx(35 * 300, rel=1e-9)


def test_a_blocked_drain_lifts_what_the_pump_can_reach_and_the_reservoir_into_the_display() -> None:
    found = blocked_drain(described.plain(), 2500.0)
    assert found is not None
    # 0.72 m2 x 60 mm and the box's 7.2 L; the pump has 0.32 m2 x 170 mm.
    assert found.room == pytest.approx(43.2 + 7.2)
    assert found.from_section == pytest.approx(54.4)
    assert found.from_top_off == 25.0
    assert found.over == pytest.approx(54.4 + 25.0 - 50.4)
    assert found.hours_to_rim == pytest.approx(50.4 / 2500)
    # The section loses 2500 - 60 L/h while the reservoir lasts.
    assert found.hours_to_dry == pytest.approx(54.4 / 2440)


def test_a_smaller_reservoir_or_a_small_return_section_may_keep_the_floor_dry() -> None:
    small = described.plain(**{
        'water = "0.22 m"\nfloor = "0.05 m"': 'water = "0.22 m"\nfloor = "0.05 m"\nsections = [\n'
        '  { name = "first", length = "0.60 m", baffle = "0.2 m" },\n'
        '  { name = "return", length = "0.20 m", role = "return", water = "0.18 m" },\n]',
        'in = "sump"': 'in = "sump/return"',
    })  # fmt: skip
    found = blocked_drain(small, 2500.0)
    assert found is not None
    assert found.from_section == pytest.approx(1000 * 0.08 * (0.18 - INTAKE))
    assert found.over == 0.0
    assert found.hours_to_rim is None


def test_a_display_that_fills_slowly_does_so_at_the_top_offs_pace_once_the_pump_is_dry() -> None:
    rig = described.plain(**{'"25 L"': '"60 L"', 'height = "0.50 m"': 'height = "0.52 m"'})
    found = blocked_drain(rig, 2500.0)
    assert found is not None
    # Room 57.6 + 7.2 = 64.8 L; the pump is dry after 54.4/2440 h with 55.74 L up; 60 L/h from then.
    dry = 54.4 / 2440
    assert found.hours_to_rim == pytest.approx(dry + (64.8 - 2500 * dry) / 60, rel=1e-9)


def test_a_drain_that_still_carries_the_flow_keeps_everything_where_it_is() -> None:
    found = blocked_drain(described.plain(), 2500.0, carried=2600.0)
    assert found is not None
    assert found.over == 0.0
    assert found.hours_to_rim is None
