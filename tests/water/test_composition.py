"""Reference seawater: the sums that its paper prints."""

from __future__ import annotations

import pytest

from brinebook.water.composition import (
    REFERENCE_SEAWATER,
    WATER_FRACTION,
    reference_alkalinity,
    reference_concentration,
    reference_content,
    reference_dic,
)

SPECIES = REFERENCE_SEAWATER.values()


def test_the_charges_balance() -> None:
    # Millero et al. 2008: zero to the last digit of the molalities.
    assert sum(s.molality * s.charge for s in SPECIES) == pytest.approx(0, abs=2e-7)


def test_the_ionic_strength_is_the_papers() -> None:
    # Millero et al. 2008: 0.72263 mol per kg of water.
    strength = sum(s.molality * s.charge**2 for s in SPECIES) / 2
    assert strength == pytest.approx(0.72263, abs=5e-6)


def test_the_salt_adds_up_to_the_reference_salinity() -> None:
    # Millero et al. 2008: 35.16504 g/kg, with the atomic weights of 2005 (0.005 %).
    grams = sum(s.molality * s.molar_mass for s in SPECIES) * WATER_FRACTION
    assert grams == pytest.approx(35.16504, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "expected"),
    [("sodium", 11033.1), ("magnesium", 1313.7), ("calcium", 421.70), ("potassium", 408.42),
     ("strontium", 8.13), ("chloride", 19804.5), ("sulfate", 2775.7), ("bromide", 68.86),
     ("fluoride", 1.33)],
)  # fmt: skip
def test_what_a_litre_holds_at_25_degrees(name: str, expected: float) -> None:
    # Millero et al. 2008 times density (TEOS-10), mg/L: 0.01 % or the last digit.
    assert reference_concentration(name) == pytest.approx(expected, rel=2e-4, abs=0.005)


def test_calcium_per_kilogram_is_less_than_per_litre() -> None:
    # Millero et al. 2008: 412.1 mg/kg = 421.7 mg/L at 25 °C.
    milligrams = reference_content("calcium") * 40.078 * 1000
    assert milligrams == pytest.approx(412.08, abs=0.01)


def test_alkalinity_and_carbon_are_the_papers() -> None:
    # Millero et al. 2008: 2304.4 and 1966.3 umol/kg.
    assert reference_alkalinity() == pytest.approx(2304.4, abs=0.05)
    assert reference_dic() == pytest.approx(1966.3, abs=0.05)
    assert reference_concentration("alkalinity") == pytest.approx(2304.4 * 1.0233436e-3, rel=1e-4)


def test_another_salinity_is_in_proportion() -> None:
    assert reference_content("calcium", 17.5) == pytest.approx(reference_content("calcium") / 2)
