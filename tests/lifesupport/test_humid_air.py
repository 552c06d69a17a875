"""Humid air, against the handbook's tables and an independent program."""

from __future__ import annotations

import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI
from hypothesis import given
from hypothesis import strategies as st

from brinebook.lifesupport.humid_air import (
    Air,
    dew_point,
    dry_air_density,
    humidity_of_ratio,
    humidity_ratio,
    pressure_at_height,
    ratio_at_saturation,
    saturation_pressure,
    vapour_pressure,
    vapour_pressure_of_ratio,
)

ROOMS = [(16.0, 0.5), (21.0, 0.4), (21.0, 0.45), (22.0, 0.28), (24.0, 0.6), (26.0, 0.8)]


@pytest.mark.parametrize(("temperature", "pascal"), [(5, 872.6), (25, 3169.7), (50, 12351.3)])
def test_saturation_pressure_is_that_of_the_handbook(temperature: float, pascal: float) -> None:
    # ASHRAE Handbook 2017, chapter 1, table 3; 3e-4, as the equation is a fit to that table.
    assert saturation_pressure(temperature) * 1000 == pytest.approx(pascal, rel=3e-4)


@pytest.mark.parametrize(
    ("temperature", "ratio", "tolerance"), [(5, 0.005425, 0.005), (25, 0.020173, 0.005)]
)
def test_the_most_that_air_holds_is_that_of_the_handbook(
    temperature: float, ratio: float, tolerance: float
) -> None:
    # ASHRAE Handbook 2017, chapter 1, table 2: real air, where the equation has ideal gases; 0.5 %.
    assert ratio_at_saturation(temperature) == pytest.approx(ratio, rel=tolerance)


@pytest.mark.parametrize(("metres", "pascal"), [(0, 101325), (500, 95461), (1000, 89875)])
def test_pressure_falls_with_height_as_in_the_standard_atmosphere(
    metres: float, pascal: float
) -> None:
    # ASHRAE Handbook 2017, chapter 1, table 1; 1 Pa.
    assert pressure_at_height(metres) == pytest.approx(pascal, abs=1)


def test_air_of_a_wet_bulb_reads_as_in_the_handbooks_example() -> None:
    # ASHRAE Handbook 2017, chapter 1, example 1: 40 °C, wet bulb 20 °C: ratio 0.0065, dew point
    # 7 °C, 14 % relative humidity, 0.896 m3/kg. Its author read a chart: 0.0001, 0.5 °C, 1 %.
    ratio = psychrolib.GetHumRatioFromTWetBulb(40, 20, 101_325)
    assert ratio == pytest.approx(0.0065, abs=0.0001)
    assert humidity_of_ratio(40, ratio) == pytest.approx(0.14, abs=0.01)
    assert dew_point(vapour_pressure_of_ratio(ratio)) == pytest.approx(7, abs=0.5)
    air = Air(40, humidity_of_ratio(40, ratio))
    assert 1 / dry_air_density(air) == pytest.approx(0.896, rel=0.01)


@pytest.mark.parametrize(("temperature", "humidity"), ROOMS)
def test_room_air_agrees_with_an_independent_program(temperature: float, humidity: float) -> None:
    # CoolProp 8.0.0, HumidAir: real gases, an enhancement of 0.4 to 0.5 % that ours leaves out.
    def theirs(what: str) -> float:
        state = ("T", temperature + 273.15, "R", humidity, "P", 101_325)
        return float(HAPropsSI(what, *state))

    air = Air(temperature, humidity)
    assert humidity_ratio(air) == pytest.approx(theirs("W"), rel=6e-3)
    assert dew_point(vapour_pressure(air)) + 273.15 == pytest.approx(theirs("D"), abs=0.02)
    assert 1 / dry_air_density(air) == pytest.approx(theirs("Vda"), rel=1e-3)


@given(st.floats(-10, 60), st.floats(0.05, 1.0))
def test_ratio_and_humidity_are_each_others_inverse(temperature: float, humidity: float) -> None:
    ratio = humidity_ratio(Air(temperature, humidity))
    assert humidity_of_ratio(temperature, ratio) == pytest.approx(humidity, abs=1e-9)


@given(st.floats(0.5, 60))
def test_saturated_air_drips_at_its_own_temperature(temperature: float) -> None:
    assert dew_point(saturation_pressure(temperature)) == pytest.approx(temperature, abs=1e-9)
