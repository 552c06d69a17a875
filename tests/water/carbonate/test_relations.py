"""The published check values of the carbonate system's constants at 35 PSU and 25 °C.

Tolerance: half a unit of the last printed digit, unless a line says otherwise.
"""

from __future__ import annotations

import math

import pytest

from brinebook.water.carbonate import relations
from brinebook.water.carbonate.constants import constants_at

KELVIN, SALINITY = 298.15, 35.0


def ln(value: float) -> float:
    return math.log(value)


def test_solubility_of_co2_is_the_guides() -> None:
    # Weiss 1974; check value in Dickson, Sabine & Christian 2007, chapter 5.
    assert ln(relations.k0_weiss_1974(KELVIN, SALINITY)) == pytest.approx(-3.5617, abs=1e-4)


def test_carbonic_acid_constants_are_the_guides() -> None:
    # Lueker et al. 2000; Guide 2007.
    k1 = relations.k1_lueker_2000(KELVIN, SALINITY)
    k2 = relations.k2_lueker_2000(KELVIN, SALINITY)
    assert math.log10(k1) == pytest.approx(-5.8472, abs=1e-4)
    assert math.log10(k2) == pytest.approx(-8.9660, abs=1e-4)


def test_boric_acid_constant_is_the_guides() -> None:
    # Dickson 1990, Deep-Sea Res. 37:755; Guide 2007.
    assert ln(relations.kb_dickson_1990(KELVIN, SALINITY)) == pytest.approx(-19.7964, abs=1e-4)


def test_water_constant_is_the_guides_once_on_its_scale() -> None:
    # Guide 2007: ln KW = -30.434 on the total scale, with -0.015 for the change of scale.
    on_seawater_scale = relations.kw_millero_1995(KELVIN, SALINITY)
    assert ln(on_seawater_scale) - 0.015 == pytest.approx(-30.434, abs=0.001)


def test_our_own_change_of_scale_stays_within_a_hundredth_of_the_guides() -> None:
    # The Guide rounds the change to 0.015; with Dickson & Riley 1979 it is 0.022 at 35/25. An
    # independent program has ln KW -30.442 (PyCO2SYS 1.8.3).
    assert ln(constants_at(SALINITY, 25.0).kw) == pytest.approx(-30.442, abs=0.002)
    assert ln(constants_at(SALINITY, 25.0).kw) == pytest.approx(-30.434, abs=0.01)


def test_bisulfate_constant_is_the_guides() -> None:
    # Dickson 1990, J. Chem. Thermodyn. 22:113; Guide 2007.
    assert ln(relations.ks_dickson_1990(KELVIN, SALINITY)) == pytest.approx(-2.30, abs=0.005)


def test_fluoride_constant_is_the_guides_on_the_total_scale() -> None:
    # Perez & Fraga 1987; Guide 2007.
    assert ln(relations.kf_perez_fraga_1987(KELVIN, SALINITY)) == pytest.approx(-6.09, abs=0.005)


def test_phosphoric_acid_constants_are_the_guides_once_on_its_scale() -> None:
    # Guide 2007 (after Millero 1995): -3.71, -13.727, -20.24 on the total scale.
    kp1 = relations.kp1_yao_millero_1995(KELVIN, SALINITY)
    kp2 = relations.kp2_yao_millero_1995(KELVIN, SALINITY)
    kp3 = relations.kp3_yao_millero_1995(KELVIN, SALINITY)
    assert ln(kp1) - 0.015 == pytest.approx(-3.71, abs=0.01)
    assert ln(kp2) - 0.015 == pytest.approx(-13.727, abs=0.001)
    assert ln(kp3) - 0.015 == pytest.approx(-20.24, abs=0.01)


def test_solubility_products_are_the_textbooks() -> None:
    # Mucci 1983; check values in Zeebe & Wolf-Gladrow 2001, appendix A.
    aragonite = relations.ksp_aragonite_mucci_1983(KELVIN, SALINITY)
    calcite = relations.ksp_calcite_mucci_1983(KELVIN, SALINITY)
    assert math.log10(aragonite) == pytest.approx(-6.1883, abs=1e-4)
    assert math.log10(calcite) == pytest.approx(-6.3693, abs=1e-4)


@pytest.mark.parametrize(
    ("temperature", "pks", "pkw"),
    [
        (20.0, (1.48936, 5.89136, 9.04655, 8.65615, 6.17939, 6.36653), 13.4192),
        (25.0, (1.54681, 5.84715, 8.96595, 8.59747, 6.18831, 6.36933), 13.2209),
        (26.0, (1.55767, 5.83882, 8.95005, 8.58589, 6.19036, 6.37006), 13.1822),
    ],
)
def test_constants_follow_temperature_as_in_an_independent_program(
    temperature: float, pks: tuple[float, ...], pkw: float
) -> None:
    # PyCO2SYS 1.8.3 with the same constants: K0, K1, K2, KB, aragonite, calcite. pKW 0.001: the
    # two change its scale differently.
    c = constants_at(SALINITY, temperature)
    got = [-math.log10(k) for k in (c.k0, c.k1, c.k2, c.kb, c.ksp_aragonite, c.ksp_calcite)]
    assert got == pytest.approx(pks, abs=1e-5)
    assert -math.log10(c.kw) == pytest.approx(pkw, abs=0.001)


def test_totals_at_35_are_those_of_their_papers() -> None:
    # Arithmetic of the stated ratios: Uppström 1974, Lee et al. 2010, Riley & Tongudai 1967,
    # Morris & Riley 1966, Riley 1965; umol/kg.
    assert 1e6 * relations.total_boron_uppstrom_1974(35.0) == pytest.approx(415.76, abs=0.01)
    assert 1e6 * relations.total_boron_lee_2010(35.0) == pytest.approx(432.60, abs=0.05)
    assert 1e6 * relations.calcium_riley_tongudai_1967(35.0) == pytest.approx(10284.57, abs=0.01)
    assert 1e6 * relations.total_sulfate_morris_riley_1966(35.0) == pytest.approx(28235.4, abs=0.1)
    assert 1e6 * relations.total_fluoride_riley_1965(35.0) == pytest.approx(68.326, abs=0.001)


def test_the_virial_coefficients_are_weisses() -> None:
    # Weiss 1974 by the Guide 2007: B(25 °C) = -123.2, cross 22.5 cm3/mol, both to 0.1.
    log = ln(relations.fugacity_factor_weiss_1974(KELVIN))
    virial_and_cross = log * 83.14462618 * KELVIN / 1.01325
    assert virial_and_cross == pytest.approx(-123.2 + 2 * 22.5, abs=0.3)


def test_lees_boron_is_there_by_choice() -> None:
    assert constants_at(35.0, 25.0, boron="lee2010").boron == pytest.approx(432.6e-6, abs=1e-7)
    assert constants_at(35.0, 25.0).boron == pytest.approx(415.76e-6, abs=1e-8)
