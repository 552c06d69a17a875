"""Slips: what they did, by hand and by conservation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.slips import (
    WATER_OF_FLESH,
    after_change_with,
    carbonated_litres,
    change_salinity_for,
    days_of_use,
    dry_of_flesh,
    fresh_swap,
    limewater_brings,
    oxygen_to_nitrify,
    salinity_after_drying,
    salinity_after_flood,
    salinity_after_salt_top_off,
    salt_top_off_days,
    snow_of,
)
from brinebook.water.salts import grams_add


def test_salt_water_in_the_top_off_for_a_week() -> None:
    # By hand, 300 L at 35: 6 L of it a day for a week ends at 39.9.
    after = salinity_after_salt_top_off(35.0, 300.0, poured=42.0, poured_salinity=35.0)
    assert after == pytest.approx(39.9)


def test_a_top_off_that_stuck() -> None:
    # By hand, 300 L at 35: 25 L of fresh water ends at 32.31 (half a unit of the last digit).
    assert salinity_after_flood(35.0, 300.0, 25.0) == pytest.approx(32.31, abs=0.005)


def test_ways_back_by_hand() -> None:
    # By hand, 300 L: 37 to 35 by swapping 16.2 L for fresh; 33 to 35 by salt-water top-off at
    # 4 L a day in 4.3 days; by one change of a tenth it would take water of 53 PSU.
    assert fresh_swap(37.0, 35.0, 300.0) == pytest.approx(16.2, abs=0.05)
    days = salt_top_off_days(33.0, 35.0, 300.0, evaporation=4.0, poured_salinity=35.0)
    assert days == pytest.approx(4.3, abs=0.05)
    assert change_salinity_for(33.0, 35.0, 0.1) == pytest.approx(53.0)


@given(st.floats(20, 45), st.floats(20, 5000), st.floats(0.001, 0.3))
def test_salt_is_neither_made_nor_lost_by_water(
    salinity: float, litres: float, part: float
) -> None:
    water = part * litres
    flooded = salinity_after_flood(salinity, litres, water)
    assert flooded * (litres + water) == pytest.approx(salinity * litres)
    dried = salinity_after_drying(salinity, litres, water)
    assert dried * (litres - water) == pytest.approx(salinity * litres)
    # Dry it, then flood it with the same water: as before.
    assert salinity_after_flood(dried, litres - water, water) == pytest.approx(salinity)


@given(st.floats(20, 45), st.floats(0.8, 0.999), st.floats(20, 5000))
def test_a_fresh_swap_lands_where_it_was_meant_to(
    salinity: float, part: float, litres: float
) -> None:
    wanted = salinity * part
    share = fresh_swap(salinity, wanted, litres) / litres
    assert after_change_with(salinity, 0.0, share) == pytest.approx(wanted)


def test_two_parts_that_meet_fall_out_as_chalk() -> None:
    # By hand: 100 mL each of 80 g/L NaHCO3 (95.23 meq) and 70 g/L CaCl2.2H2O (47.62 mmol): as good
    # as all of both, 4.77 g of CaCO3, and a mmol of CO2 for each.
    alkalinity = 8.0 * grams_add("NaHCO3")["alkalinity"]
    calcium = 7.0 * grams_add("CaCl2.2H2O")["calcium"]
    snow = snow_of(alkalinity, calcium)
    assert snow.grams == pytest.approx(4.77, abs=0.005)
    assert snow.alkalinity == pytest.approx(95.2, abs=0.05)
    assert snow.carbon == pytest.approx(47.6, abs=0.05)
    assert snow_of(alkalinity, calcium, bicarbonate=False).carbon == 0.0


@given(st.floats(1e-3, 1e4), st.floats(1e-3, 1e5))
def test_what_falls_out_is_two_to_one_and_never_more_than_there_is(
    alkalinity: float, calcium: float
) -> None:
    snow = snow_of(alkalinity, calcium)
    assert snow.alkalinity <= alkalinity * (1 + 1e-12)
    assert snow.calcium <= calcium * (1 + 1e-12)
    assert snow.alkalinity == pytest.approx(2 * snow.millimoles)
    # Mass: a mole of CaCO3 is a mole of calcium and one of carbonate (40.078 and 60.008 g/mol).
    assert snow.grams * 1000 == pytest.approx(snow.calcium + snow.millimoles * 60.008, rel=1e-5)


def test_ten_litres_of_limewater_bring_so_much() -> None:
    # By hand at 0.0201 mol/L: 402 meq and 8.06 g of calcium; in 300 L, 3.76 dKH and 26.9 mg/L.
    alkalinity, calcium = limewater_brings(10.0, 0.0201)
    assert alkalinity == pytest.approx(402.0)
    assert alkalinity / 300 * 2.80385 == pytest.approx(3.76, abs=0.005)
    assert calcium / 300 == pytest.approx(26.9, abs=0.05)


def test_carbonated_water_by_hand() -> None:
    # By hand: 400 mmol of CO2 are 17.6 g, three litres at 6 g a litre hold 18.
    assert carbonated_litres(400.0, 6.0) == pytest.approx(2.934, abs=0.001)


def test_nitrifying_takes_four_and_a_half_times_its_mass_of_oxygen() -> None:
    # By hand: NH3 + 2 O2 = HNO3 + H2O: 64.00 / 14.007 = 4.57.
    assert oxygen_to_nitrify(1.0) == pytest.approx(4.57, abs=0.005)


def test_flesh_is_as_wet_as_small_reef_fishes() -> None:
    # Ikeda et al. 2011 (abstract): water 66.0 to 81.4 % of the wet mass.
    assert pytest.approx((0.660, 0.814)) == WATER_OF_FLESH
    dry = dry_of_flesh()
    assert (dry.low, dry.high) == pytest.approx((0.186, 0.340))


def test_a_rise_is_worth_so_many_days_of_use() -> None:
    # By hand: 1.4 dKH against 0.35 a day is four days of it.
    assert days_of_use(1.4, 0.35) == pytest.approx(4.0)
    assert days_of_use(1.4, -0.1) == float("inf")
