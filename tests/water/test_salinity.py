"""Salinity, density, conductivity, specific gravity, refractive index: published tables."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.units import GravityReference
from brinebook.water.salinity import (
    REFERENCE_SALINITY_PER_PSU,
    conductivity_pss78,
    density,
    density_teos_2010,
    refractive_index_quan_fry_1995,
    salinity_from_conductivity_pss78,
    salinity_from_refractive_index,
    salinity_from_specific_gravity,
    specific_gravity,
)

SIXTY_F = (60 - 32) / 1.8


def test_35_psu_is_the_reference_salinity_of_its_paper() -> None:
    # Millero et al. 2008: 35.16504 g/kg, exact.
    reference = 35 * REFERENCE_SALINITY_PER_PSU
    assert reference == pytest.approx(35.16504, abs=1e-12)


@pytest.mark.parametrize(
    ("temperature", "expected"),
    [(15, 1025.9760), (20, 1024.7660), (24, 1023.6442), (25, 1023.3436), (26, 1023.0352),
     (28, 1022.3955)],
)  # fmt: skip
def test_density_at_35_is_that_of_the_standard(temperature: float, expected: float) -> None:
    # TEOS-10 by gsw 3.6.23; 0.002.
    assert density(35, temperature) == pytest.approx(expected, abs=0.002)


@pytest.mark.parametrize(
    ("salinity", "temperature", "expected"),
    [(0, 5, 999.96675), (0, 25, 997.04796), (35, 5, 1027.67547), (35, 25, 1023.34306)],
)
def test_density_agrees_with_the_older_standards_printed_values(
    salinity: float, temperature: float, expected: float
) -> None:
    # UNESCO 1983 check values (IPTS-68); EOS-80 and TEOS-10 differ by a few g/m3 here: 0.01.
    assert density(salinity, temperature / 1.00024) == pytest.approx(expected, abs=0.01)


def test_pure_water_is_pure_water() -> None:
    # TEOS-10 by gsw, and IAPWS by CoolProp 8.0.0 at 20 and 25 °C; 0.001.
    expected = [999.9749, 999.1026, 998.2071, 997.0476]
    assert [density(0, t) for t in (4, 15, 20, 25)] == pytest.approx(expected, abs=0.001)


def test_density_takes_arrays() -> None:
    both = density_teos_2010(np.array([0.0, 35.0]), 25.0)
    assert both == pytest.approx([density(0, 25), density(35, 25)])


@pytest.mark.parametrize(
    ("temperature", "expected"),
    [(20, 47.918), (24, 52.029), (25, 53.071), (26, 54.118), (28, 56.228)],
)
def test_conductivity_at_35_is_that_of_the_standard(temperature: float, expected: float) -> None:
    # PSS-78 by gsw 3.6.23, mS/cm; 0.001.
    assert conductivity_pss78(35.0, temperature) == pytest.approx(expected, abs=0.001)


def test_conductivity_at_25_degrees_follows_salinity_as_in_the_standard() -> None:
    # PSS-78 by gsw 3.6.23, mS/cm; 0.001.
    got = [conductivity_pss78(s, 25.0) for s in (30.0, 32.0, 33.0, 34.0, 36.0, 38.0)]
    expected = [46.253, 49.000, 50.363, 51.720, 54.416, 57.087]
    assert got == pytest.approx(expected, abs=0.001)


def test_the_defining_conductivity_is_on_the_older_temperature_scale() -> None:
    # UNESCO 1983: C(35, 15 °C, 0) = 42.914 mS/cm at 15 °C of IPTS-68.
    assert conductivity_pss78(35.0, 15 / 1.00024) == pytest.approx(42.914, abs=0.001)
    assert conductivity_pss78(35.0, 15.0) == pytest.approx(42.9175, abs=0.0005)


def test_a_degree_of_error_is_almost_a_psu() -> None:
    # PSS-78 by gsw: 53.07 mS/cm is 34.999 at 25 °C and 35.789 if taken as 24 °C; 0.005.
    assert salinity_from_conductivity_pss78(53.07, 25.0) == pytest.approx(34.999, abs=0.005)
    assert salinity_from_conductivity_pss78(53.07, 24.0) == pytest.approx(35.789, abs=0.005)


@pytest.mark.parametrize(
    ("sample", "water", "expected"),
    [(15, 15, 1.026898), (SIXTY_F, SIXTY_F, 1.026862), (20, 20, 1.026607), (25, 25, 1.026374),
     (25, 4, 1.023369), (25, 20, 1.025182)],
)  # fmt: skip
def test_specific_gravity_of_35_depends_on_its_reference_pair(
    sample: float, water: float, expected: float
) -> None:
    # TEOS-10 by gsw 3.6.23; 2e-6.
    assert specific_gravity(35, GravityReference(sample, water)) == pytest.approx(
        expected, abs=2e-6
    )


@pytest.mark.parametrize(
    ("sample", "water", "expected"),
    [(25, 25, 33.19), (20, 20, 32.90), (SIXTY_F, SIXTY_F, 32.58), (20, 4, 35.27), (25, 4, 37.16)],
)
def test_a_1025_is_five_salinities(sample: float, water: float, expected: float) -> None:
    # TEOS-10 by gsw 3.6.23; 0.03 PSU.
    reference = GravityReference(sample, water)
    assert salinity_from_specific_gravity(1.025, reference) == pytest.approx(expected, abs=0.03)


@given(
    salinity=st.floats(0, 60),
    pair=st.sampled_from([(25.0, 25.0), (20.0, 4.0), (25.0, 4.0), (15.6, 15.6)]),
)
def test_specific_gravity_there_and_back(salinity: float, pair: tuple[float, float]) -> None:
    reference = GravityReference(*pair)
    gravity = specific_gravity(salinity, reference)
    assert salinity_from_specific_gravity(gravity, reference) == pytest.approx(salinity, abs=1e-8)


def test_an_impossible_gravity_stays_impossible() -> None:
    reference = GravityReference(25, 25)
    assert salinity_from_specific_gravity(1025, reference) > 60
    assert salinity_from_specific_gravity(0.9, reference) < 0


@given(salinity=st.floats(2, 42), temperature=st.floats(0, 35))
def test_conductivity_there_and_back(salinity: float, temperature: float) -> None:
    conductivity = conductivity_pss78(salinity, temperature)
    back = salinity_from_conductivity_pss78(conductivity, temperature)
    assert back == pytest.approx(salinity, abs=1e-6)


@pytest.mark.parametrize(
    ("salinity", "temperature", "expected"),
    [(35, 20, 1.339406), (35, 25, 1.338858), (0, 25, 1.332514)],
)
def test_refractive_index_is_the_papers_equation(
    salinity: float, temperature: float, expected: float
) -> None:
    # Quan & Fry 1995, eq. 3, worked by hand at 589.3 nm; half a unit of the last digit.
    got = refractive_index_quan_fry_1995(salinity, temperature)
    assert got == pytest.approx(expected, abs=1e-6)


@given(salinity=st.floats(0, 45), temperature=st.floats(5, 30))
def test_refractive_index_there_and_back(salinity: float, temperature: float) -> None:
    index = refractive_index_quan_fry_1995(salinity, temperature)
    assert salinity_from_refractive_index(index, temperature) == pytest.approx(salinity, abs=1e-8)
