"""Recipes against worked figures, a second program's solubility, and what must not meet."""

from __future__ import annotations

import pytest

from brinebook.planning.solutions import (
    StrengthImpossible,
    heated,
    matching_strength,
    must_not_meet,
    other_hydrates,
    recipe,
    strength_for,
)
from brinebook.water.salts import SaltAddsNone


def test_equal_volumes_of_the_pair_keep_two_milliequivalents_to_the_millimole() -> None:
    # 80 g/L NaHCO3 (84.006 g/mol) is 0.9523 meq/mL; half as many mmol of CaCl2.2H2O (147.008
    # g/mol) are 70.00 g/L: arithmetic on molar masses, half a unit of the last digit.
    strength = matching_strength("CaCl2.2H2O", "NaHCO3", other_grams_per_litre=80.0)
    assert strength == pytest.approx(70.00, abs=0.005)
    back = matching_strength("NaHCO3", "CaCl2.2H2O", other_grams_per_litre=strength)
    assert back == pytest.approx(80.0, rel=1e-12)


@pytest.mark.parametrize(
    ("weighed", "meant", "brings"),
    # Arithmetic on molar masses: 22.008 g for +20 mg/L of calcium gives +26.49 as the anhydrous
    # salt and +13.42 as the hexahydrate; 0.02 %.
    [("CaCl2", "CaCl2.2H2O", 26.49), ("CaCl2.6H2O", "CaCl2.2H2O", 13.42)],
)
def test_the_wrong_hydrate_brings_more_or_less_than_meant(
    weighed: str, meant: str, brings: float
) -> None:
    assert 20.0 * other_hydrates(meant)[weighed] == pytest.approx(brings, rel=4e-4)


def test_heated_bicarbonate_leaves_soda_ash_of_the_same_alkalinity() -> None:
    # 105.988 / (2 x 84.006): arithmetic on molar masses, 100 g leave 63.08 g; 0.02 %.
    assert heated(100.0) == pytest.approx(63.08, rel=2e-4)
    soda = recipe("NaHCO3", 80.0, litres=1.0, temperature=20.0)
    ash = recipe("Na2CO3", heated(80.0), litres=1.0, temperature=20.0)
    assert ash.per_ml["alkalinity"] == pytest.approx(soda.per_ml["alkalinity"], rel=1e-12)


def test_a_recipe_weighs_strength_times_volume_and_brings_what_it_weighs() -> None:
    made = recipe("NaHCO3", 80.0, litres=5.0, temperature=20.0)
    assert made.grams == 400.0
    # 80 g/L over 84.006 g/mol: arithmetic, 4 digits.
    assert made.per_ml["alkalinity"] == pytest.approx(0.9523, abs=5e-5)
    assert made.dissolves


def test_more_than_the_water_holds_is_said() -> None:
    made = recipe("NaHCO3", 130.0, litres=1.0, temperature=20.0)
    assert not made.dissolves


def test_a_strength_by_what_a_millilitre_brings() -> None:
    grams = strength_for("NaHCO3", "alkalinity", per_ml=1.0)
    assert grams == pytest.approx(84.006, rel=1e-5)


@pytest.mark.parametrize(
    ("one", "other", "word"),
    [
        ("NaHCO3", "CaCl2.2H2O", "calcium"),
        ("MgCl2.6H2O", "Na2CO3", "magnesium"),
        ("MgSO4.7H2O", "CaCl2.2H2O", "gypsum"),
        ("Ca(OH)2", "NaHCO3", "chalk"),
        ("HCl", "NaHCO3", "fizz"),
    ],
)
def test_what_must_not_meet_is_known_from_either_side(one: str, other: str, word: str) -> None:
    assert word in (must_not_meet(one, other) or "")
    assert must_not_meet(one, other) == must_not_meet(other, one)


def test_salts_that_live_together_are_left_in_peace() -> None:
    assert must_not_meet("MgCl2.6H2O", "CaCl2.2H2O") is None
    assert must_not_meet("NaHCO3", "KCl") is None


def test_no_strength_and_no_partner_are_refused() -> None:
    with pytest.raises(StrengthImpossible):
        recipe("NaHCO3", 0.0, litres=1.0, temperature=20.0)
    with pytest.raises(SaltAddsNone):
        matching_strength("KCl", "NaHCO3", other_grams_per_litre=80.0)
