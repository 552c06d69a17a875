"""What a gram adds: published fractions, worked doses, and conservation of charge and mass."""

from __future__ import annotations

import pytest

from brinebook.water import salts
from brinebook.water.atoms import molar_mass
from brinebook.water.quantities import DKH_PER_MEQ
from brinebook.water.salts import (
    SALTS,
    SaltAddsNone,
    SaltUnknown,
    find_salt,
    grams_add,
    grams_needed,
    read_formula,
)

CHARGES = {name: ion.charge for name, ion in salts._IONS.items()}
DKH = 1 / DKH_PER_MEQ

# Arithmetic on molar masses of periodictable 2.1.0 (IUPAC/CIAAW); half a unit of the last digit.
FRACTIONS = [
    ("NaHCO3", "alkalinity", 11.904, 0.001),
    ("Na2CO3", "alkalinity", 18.870, 0.001),
    ("Ca(OH)2", "alkalinity", 26.993, 0.001),
    ("CaCl2", "calcium", 361.13, 0.01),
    ("CaCl2.2H2O", "calcium", 272.62, 0.01),
    ("MgCl2.6H2O", "magnesium", 119.56, 0.01),
    ("MgSO4.7H2O", "magnesium", 98.61, 0.01),
    ("KCl", "potassium", 524.47, 0.01),
]


@pytest.mark.parametrize(("formula", "quantity", "expected", "tolerance"), FRACTIONS)
def test_a_gram_brings_what_its_formula_says(
    formula: str, quantity: str, expected: float, tolerance: float
) -> None:
    assert grams_add(formula)[quantity] == pytest.approx(expected, abs=tolerance)


# Doses worked out by hand from molar masses; 0.02 %.
DOSES = [
    ("NaHCO3", "alkalinity", 1.2 * DKH, 300, 10.786),
    ("Na2CO3", "alkalinity", 1.2 * DKH, 300, 6.804),
    ("NaHCO3", "alkalinity", DKH, 100, 2.9961),
    ("Na2CO3", "alkalinity", DKH, 100, 1.8900),
    ("CaCl2.2H2O", "calcium", 20, 300, 22.008),
    ("CaCl2", "calcium", 20, 300, 16.614),
    ("CaCl2.6H2O", "calcium", 20, 300, 32.797),
    ("MgCl2.6H2O", "magnesium", 60, 300, 150.56),
    ("MgSO4.7H2O", "magnesium", 60, 300, 182.53),
]


@pytest.mark.parametrize(("formula", "quantity", "rise", "litres", "grams"), DOSES)
def test_a_dose_is_the_one_worked_out_by_hand(
    formula: str, quantity: str, rise: float, litres: float, grams: float
) -> None:
    needed = grams_needed(formula, quantity, rise=rise, litres=litres)
    assert needed == pytest.approx(grams, rel=2e-4)


def test_the_wrong_hydrate_is_a_third_off() -> None:
    # 22.008 g of the dihydrate raise 300 L by 20 mg/L; of the others by 26.49 and 13.42.
    rises = [22.008 * grams_add(f)["calcium"] / 300 for f in ("CaCl2", "CaCl2.6H2O")]
    assert rises == pytest.approx([26.49, 13.42], rel=5e-4)


def test_magnesium_sulfate_brings_its_sulfate_along() -> None:
    # 182.53 g in 300 L add 237.1 mg/L of sulfate, 8.5 % of what seawater has.
    sulfate = 182.53 * grams_add("MgSO4.7H2O")["sulfate"] / 300
    assert sulfate == pytest.approx(237.1, rel=5e-4)


def test_two_magnesium_salts_keep_the_proportion_of_the_sea() -> None:
    # 136.44 g of chloride with 17.11 g of sulfate raise 300 L by 60 mg/L and add chloride and
    # sulfate as seawater has them, 0.54587 to 0.028235 mol (Millero et al. 2008); 0.1 %.
    chloride, sulfate = grams_add("MgCl2.6H2O"), grams_add("MgSO4.7H2O")
    magnesium = (136.44 * chloride["magnesium"] + 17.11 * sulfate["magnesium"]) / 300
    assert magnesium == pytest.approx(60, rel=1e-3)
    moles_chloride = 136.44 * chloride["chloride"] / molar_mass("Cl")
    moles_sulfate = 17.11 * sulfate["sulfate"] / molar_mass("SO4")
    assert moles_chloride / moles_sulfate == pytest.approx(0.54587 / 0.028235, rel=1e-3)


def test_a_whole_reservoir_at_once_is_nine_degrees() -> None:
    # 1 L of 80 g/L NaHCO3 into 300 L: +8.90 dKH; to stay within 1.4 dKH it holds at most 157 mL.
    rise = 80 * grams_add("NaHCO3")["alkalinity"] / 300 * DKH_PER_MEQ
    assert rise == pytest.approx(8.90, abs=0.005)
    assert 1000 * 1.4 / rise == pytest.approx(157, abs=0.5)


def test_a_year_of_dosing_leaves_six_hundred_grams_of_table_salt() -> None:
    # 30 mL a day of 80 g/L NaHCO3 against calcium chloride: 1.670 g of NaCl a day; 0.1 %.
    equivalents = 0.030 * 80 * grams_add("NaHCO3")["alkalinity"] / 1000
    assert equivalents * molar_mass("NaCl") == pytest.approx(1.670, rel=1e-3)


def test_balanced_dosing_leaves_a_gram_of_table_salt_for_each_molar_part() -> None:
    # NaHCO3 with CaCl2 leaves NaCl as if weighed in: sodium and chloride of both, mole for mole.
    sodium = grams_add("NaHCO3")["sodium"] * molar_mass("NaHCO3") / molar_mass("Na")
    chloride = grams_add("CaCl2.2H2O")["chloride"] * molar_mass("CaCl2.2H2O") / molar_mass("Cl")
    assert chloride == pytest.approx(2 * sodium, rel=1e-12)


@pytest.mark.parametrize("salt", SALTS.values(), ids=lambda s: s.formula)
def test_a_salt_is_neutral(salt: salts.Salt) -> None:
    assert sum(CHARGES[ion] * n for ion, n in salt.ions.items()) == 0


@pytest.mark.parametrize("salt", SALTS.values(), ids=lambda s: s.formula)
def test_ions_and_water_make_up_the_whole_gram(salt: salts.Salt) -> None:
    _, _, water = salt.formula.partition(".")
    count = int(water.removesuffix("H2O") or 1) if water else 0
    of_water = count * molar_mass("H2O") / salt.molar_mass
    assert salt.per_gram["salinity"] + of_water == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("salt", SALTS.values(), ids=lambda s: s.formula)
def test_every_ion_of_a_salt_is_counted_somewhere(salt: salts.Salt) -> None:
    counted = {ion for _, _, parts in salts._COUNTED for ion in parts}
    uncounted = set(salt.ions) - counted - {"HCO3", "CO3", "OH", "H"}
    assert uncounted == set()


@pytest.mark.parametrize(
    ("formula", "equivalents"),
    [("KH2PO4", 0), ("Na2HPO4", 1), ("Na3PO4", 2), ("NaNO3", 0), ("NH4Cl", 0), ("HCl", -1),
     ("Na2B4O7.10H2O", 2), ("Na2SiO3", 2), ("CaCO3", 2), ("FeCl3.6H2O", -3)],
)  # fmt: skip
def test_alkalinity_follows_the_zero_level_of_protons(formula: str, equivalents: int) -> None:
    # Dickson 1981: acids with pK above 4.5 give, the others take.
    salt = find_salt(formula)
    meq = salt.per_gram.get("alkalinity", 0.0) * salt.molar_mass / 1000
    assert meq == pytest.approx(equivalents, abs=1e-12)


def test_carbonates_bring_carbon_and_hydroxides_none() -> None:
    for formula, carbon in (("NaHCO3", 1), ("Na2CO3", 1), ("NaOH", 0), ("Ca(OH)2", 0)):
        salt = find_salt(formula)
        assert salt.carbon * salt.molar_mass / 1000 == pytest.approx(carbon, rel=1e-12)


def test_traces_are_counted_in_micrograms() -> None:
    # Arithmetic: 126.904 of 166.003 g/mol.
    assert grams_add("KI")["iodine"] == pytest.approx(764_472, rel=1e-5)


@pytest.mark.parametrize(
    "text", ["CaCl2.2H2O", "CaCl2·2H2O", "CaCl2*2H2O", "cacl2 . 2h2o", "CaCl₂·2H₂O", "CaCl2•2H2O"]
)
def test_a_formula_is_read_however_its_point_is_written(text: str) -> None:
    assert read_formula(text) == "CaCl2.2H2O"


def test_an_unknown_formula_is_refused_with_near_ones() -> None:
    with pytest.raises(SaltUnknown) as refusal:
        grams_add("CaCl2.3H2O")
    assert "CaCl2.2H2O" in refusal.value.hint


def test_a_salt_can_not_raise_what_it_has_not() -> None:
    with pytest.raises(SaltAddsNone, match="NaHCO3 adds no calcium"):
        grams_needed("NaHCO3", "calcium", rise=10, litres=100)
