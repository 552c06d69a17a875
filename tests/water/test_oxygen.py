"""Oxygen at saturation."""

from __future__ import annotations

import gsw
import pytest
from PyCO2SYS.gas import vpfactor

from brinebook.water.oxygen import (
    oxygen_saturation,
    oxygen_solubility_garcia_gordon_1992,
    water_vapour_pressure_weiss_price_1980,
)


def test_solubility_is_the_value_that_the_paper_prints() -> None:
    # Garcia & Gordon 1992: 274.610 umol/kg at 35 and 10 °C (as given, IPTS-68); 0.001.
    got = oxygen_solubility_garcia_gordon_1992(35.0, 10.0)
    assert got == pytest.approx(274.610, abs=0.001)


@pytest.mark.parametrize(
    ("temperature", "expected"),
    [(0, 347.903), (10, 274.596), (20, 225.517), (24, 210.278), (25, 206.767), (26, 203.364),
     (28, 196.858), (30, 190.719)],
)  # fmt: skip
def test_solubility_over_temperature_is_that_of_a_general_library(
    temperature: float, expected: float
) -> None:
    # gsw 3.6.23 (ITS-90 in, so 1.00024 times the degrees); 0.005 umol/kg.
    got = oxygen_solubility_garcia_gordon_1992(35.0, 1.00024 * temperature)
    assert got == pytest.approx(expected, abs=0.005)


def test_a_reef_at_25_degrees_holds_677_milligrams() -> None:
    # 206.767 umol/kg x 1.02334 kg/L x 31.998 g/mol (gsw 3.6.23, arithmetic).
    assert oxygen_saturation(35.0, 25.0) == pytest.approx(6.771, abs=0.001)


def test_fresh_water_agrees_with_the_library_too() -> None:
    micromoles = float(gsw.O2sol_SP_pt(0.0, 25.0))
    assert oxygen_saturation(0.0, 25.0) == pytest.approx(
        micromoles * 0.9970476 * 31.998 / 1000, abs=1e-4
    )


def test_thin_air_holds_less() -> None:
    # At 0.9 atm the dry part falls from 1 - 0.0307 to 0.9 - 0.0307: by 10.3 % (Benson & Krause
    # 1984, from memory).
    ratio = oxygen_saturation(35.0, 25.0, pressure=0.9) / oxygen_saturation(35.0, 25.0)
    assert ratio == pytest.approx(0.897, abs=0.001)


def test_vapour_pressure_is_that_of_an_independent_program() -> None:
    # Weiss & Price 1980 in PyCO2SYS 1.8.3.
    theirs = 1.0 - float(vpfactor(25.0, 35.0))
    assert water_vapour_pressure_weiss_price_1980(35.0, 25.0) == pytest.approx(theirs, rel=1e-9)


def test_vapour_pressure_is_near_a_modern_handbooks() -> None:
    # ASHRAE Handbook 2017: 3169.7 Pa over pure water at 25 °C. Another equation, fitted to tables
    # of 1946 on an older temperature scale: 0.2 %.
    fresh = water_vapour_pressure_weiss_price_1980(0.0, 25.0) * 101_325
    assert fresh == pytest.approx(3169.7, rel=2e-3)
