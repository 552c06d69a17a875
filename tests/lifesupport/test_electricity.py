"""Electricity by part and month."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.electricity import (
    DAYS_OF_MONTHS,
    energy_of_month,
    heaters_mean_power,
    use_by_month,
)
from brinebook.lifesupport.evaporation import Surface
from brinebook.lifesupport.heat import Body, power_needed
from brinebook.lifesupport.humid_air import Air

REEF = Body(1227.7, {"glass": 13.3}, (Surface(0.72, 0.1), Surface(0.32)))
YEAR = [Air(18.0 + abs(6 - month), 0.45) for month in range(12)]


def test_a_hundred_watts_for_ten_hours_are_31_units_in_a_month_of_31_days() -> None:
    assert energy_of_month(100, hours_a_day=10, days=31) == pytest.approx(31.0)


def test_the_year_has_its_days() -> None:
    assert sum(DAYS_OF_MONTHS) == 365.25


def test_heaters_use_what_the_balance_asks_and_no_more_than_they_have() -> None:
    assert heaters_mean_power(216, installed=300) == (216, 0)
    assert heaters_mean_power(291, installed=200) == (200, 91)
    assert heaters_mean_power(-50, installed=200) == (0, 0)


def test_a_years_heating_is_its_mean_power_over_its_hours() -> None:
    uses = use_by_month(REEF, 25.0, months=YEAR, gains=45, heaters=1000, loads={"return": (45, 24)})
    for use, air, days in zip(uses, YEAR, DAYS_OF_MONTHS, strict=True):
        watts = power_needed(REEF, 25.0, air=air, gains=45)
        assert use.by_part["heaters"] == pytest.approx(watts * 24 * days / 1000)
        assert use.by_part["return"] == pytest.approx(45 * 24 * days / 1000)
        assert use.total == pytest.approx(sum(use.by_part.values()))
        assert use.short_by == 0
