"""Oxygen in still water, against worked hours, printed coefficients and closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.lifesupport.oxygen_course import (
    Breathing,
    bubble_exchange,
    hours_until_oxygen,
    oxygen_course,
    schmidt_oxygen_wanninkhof_2014,
    specific_rate_nilsson_2007,
    steady_oxygen,
    surface_exchange,
    transfer_velocity_cole_caraco_1998,
    transfer_velocity_crusius_wanninkhof_2003,
)

SATURATION = 6.771
START = 0.95 * SATURATION


@pytest.mark.parametrize(
    ("demand", "to_four", "to_two"),
    [(337.5, 2.2, 3.9), (100, 7.3, 13.3), (200, 3.6, 6.6), (450, 1.6, 3.0)],
)
def test_with_nothing_moving_oxygen_lasts_the_worked_hours(
    demand: float, to_four: float, to_two: float
) -> None:
    # Worked: t = V (C0 - C)/D for 300 L from 95 % of 6.771 mg/L; half a unit of the last digit.
    water = Breathing(300, demand)
    four = hours_until_oxygen(water, START, limit=4, saturation=SATURATION)
    two = hours_until_oxygen(water, START, limit=2, saturation=SATURATION)
    assert four == pytest.approx(to_four, abs=0.051)
    assert two == pytest.approx(to_two, abs=0.051)


def test_with_air_coming_in_it_follows_the_textbooks_exponential() -> None:
    # C_eq = C_s - D/(kV), C = C_eq + (C0 - C_eq) exp(-kt), closed form; 1e-9.
    water = Breathing(300, 337.5, 60.0)
    end = SATURATION - 337.5 / 60.0
    assert steady_oxygen(water, saturation=SATURATION) == pytest.approx(end)
    went = oxygen_course(water, START, hours=24, saturation=lambda _hour: SATURATION)
    for hour, level in zip(went.hours, went.oxygen, strict=True):
        exact = end + (START - end) * math.exp(-60.0 / 300.0 * hour)
        assert level == pytest.approx(exact, abs=1e-9)


def test_the_hours_of_the_closed_form_are_those_of_the_course() -> None:
    water = Breathing(300, 337.5, 60.0)
    went = oxygen_course(water, START, hours=24, saturation=lambda _hour: SATURATION, step=0.01)
    closed = hours_until_oxygen(water, START, limit=2, saturation=SATURATION)
    assert went.hours_until(2) == pytest.approx(closed, abs=1e-4)


def test_enough_air_keeps_the_limit_for_good() -> None:
    water = Breathing(300, 100, 60.0)
    assert hours_until_oxygen(water, START, limit=4, saturation=SATURATION) is None


@given(
    st.floats(20, 1000), st.floats(0, 800), st.floats(0, 300), st.floats(0, 7),
)  # fmt: skip
def test_the_books_of_oxygen_close(
    volume: float, demand: float, exchange: float, start: float
) -> None:
    # Conservation: what is there now is what was there, plus what came in, less what was breathed.
    water = Breathing(volume, demand, exchange)
    went = oxygen_course(water, start, hours=12, saturation=lambda hour: 6.8 + 0.02 * hour)
    left = volume * (went.oxygen[-1] - start)
    turned_over = went.breathed + abs(went.entered) + volume * start + 1.0
    assert abs(went.entered - went.breathed - left) <= 1e-9 * turned_over
    assert min(went.oxygen) >= 0
    assert went.breathed <= demand * 12 * (1 + 1e-9) + 1e-9


def test_the_schmidt_number_at_20_degrees_is_the_papers() -> None:
    # Wanninkhof 2014, table 1: 568 for oxygen in seawater of 20 °C; half a unit.
    assert schmidt_oxygen_wanninkhof_2014(20.0) == pytest.approx(568, abs=0.5)


def test_two_still_lakes_bracket_what_a_calm_surface_lets_in() -> None:
    # Cole & Caraco 1998 at no wind: 2.07 cm/h; Crusius & Wanninkhof 2003: 0.168 cm/h.
    assert transfer_velocity_cole_caraco_1998(0.0) == 2.07
    assert transfer_velocity_crusius_wanninkhof_2003(0.0) == 0.168


def test_a_surface_lets_in_its_velocity_times_its_area() -> None:
    # 0.72 m2 at 2.07 cm/h, Sc 445 at 25 °C: 0.72 x 0.0207 x (445.1/600)^(-2/3) = 18.19 L/h.
    assert surface_exchange(0.72, 2.07, temperature=25.0) == pytest.approx(18.19, abs=0.01)


def test_bubbles_bring_in_their_share_of_the_airs_oxygen() -> None:
    # 150 L/h of air hold 150 x 278.6 = 41.8 g of oxygen; 3 % a metre over 0.4 m: 501 mg/h into
    # empty water, so 501/6.771 = 74.0 L/h of exchange (arithmetic).
    gained = bubble_exchange(150, 0.4, saturation=SATURATION, gives=0.03)
    assert gained == pytest.approx(74.06, abs=0.05)


def test_small_fish_need_more_by_weight() -> None:
    # Nilsson, Hobbs & Östlund-Nilsson 2007, fig. 9: exponent -0.367, so ten times the mass needs
    # 10^-0.367 = 0.4295 by weight.
    ratio = specific_rate_nilsson_2007(250, at_mass=4, mass=40) / 250
    assert ratio == pytest.approx(0.4295, abs=5e-5)
