"""Solubility against a second table and an independent program, heats against enthalpies."""

from __future__ import annotations

import pytest

from brinebook.water.dissolving import heat_of_solution, solubility, warming


def _per_hundred_grams_of_water(formula: str, temperature: float) -> float:
    found = solubility(formula, temperature)
    assert found is not None
    return 100.0 * found.mass_percent / (100.0 - found.mass_percent)


@pytest.mark.parametrize(
    ("formula", "pitzer", "tolerance"),
    # phreeqpython 1.6.2 with pitzer.dat, 25 °C, g anhydrous in 100 g of water. The tolerances are
    # by how much that data base and handbooks differ.
    [
        ("KCl", 35.72, 0.02),
        ("NaCl", 35.82, 0.01),
        ("MgCl2.6H2O", 55.63, 0.02),
        ("Na2CO3", 29.06, 0.06),
        ("Ca(OH)2", 0.149, 0.08),
    ],
)
def test_solubility_agrees_with_an_independent_program(
    formula: str, pitzer: float, tolerance: float
) -> None:
    assert _per_hundred_grams_of_water(formula, 25.0) == pytest.approx(pitzer, rel=tolerance)


@pytest.mark.parametrize(
    ("formula", "temperature", "grams"),
    # A second handbook (Perry's, table 2-122, as transcribed): g anhydrous in 100 g of water;
    # handbooks differ by up to 3 %.
    [
        ("NaHCO3", 0.0, 6.9),
        ("NaHCO3", 20.0, 9.6),
        ("NaHCO3", 40.0, 12.7),
        ("CaCl2.2H2O", 20.0, 74.5),
        ("KNO3", 20.0, 31.6),
        ("NaNO3", 20.0, 88.0),
    ],
)
def test_solubility_agrees_with_a_second_handbook(
    formula: str, temperature: float, grams: float
) -> None:
    assert _per_hundred_grams_of_water(formula, temperature) == pytest.approx(grams, rel=0.03)


def test_slaked_lime_dissolves_better_in_the_cold() -> None:
    cold, warm = (_per_hundred_grams_of_water("Ca(OH)2", t) for t in (10.0, 30.0))
    assert cold > warm


def test_outside_the_table_its_end_is_taken_and_said() -> None:
    found = solubility("NaHCO3", 60.0)
    assert found is not None
    assert not found.within
    assert found.mass_percent == 11.13


@pytest.mark.parametrize(
    ("formula", "expected"),
    # kJ/g. NaOH and NaCl: Parker 1965 (NSRDS-NBS 2). The others: differences of enthalpies of
    # formation of Wagman 1982, worked out by hand (formation from memory); half a unit of the last
    # digit.
    [
        ("NaOH", -1.113),
        ("NaCl", 0.066),
        ("KCl", 0.231),
        ("CaCl2", -0.733),
        ("CaCl2.2H2O", -0.312),
        ("Na2CO3", -0.252),
        ("MgCl2.6H2O", -0.084),
        ("MgSO4.7H2O", 0.048),
        ("Ca(OH)2", -0.226),
    ],
)
def test_heats_of_solution(formula: str, expected: float) -> None:
    assert heat_of_solution(formula) == pytest.approx(expected, abs=5.1e-4)


@pytest.mark.parametrize(
    ("formula", "grams", "water", "kelvin"),
    # Worked by hand with heat capacities of 4.0 and 3.8 kJ/kg/K; 15 %, for the heat at infinite
    # dilution overstates concentrated mixes by as much.
    [("NaOH", 10.0, 100.0, 25.0), ("CaCl2.2H2O", 50.0, 500.0, 7.5)],
)
def test_the_water_warms_as_worked_by_hand(
    formula: str, grams: float, water: float, kelvin: float
) -> None:
    found = warming(formula, grams=grams, water_grams=water)
    assert found == pytest.approx(kelvin, rel=0.15)
