"""Molar masses, against a second table of atomic weights."""

from __future__ import annotations

import pytest

from brinebook.water.atoms import element_counts, molar_mass

# periodictable 2.1.0 (IUPAC/CIAAW abridged weights), 0.01 g/mol.
MASSES = {
    "CaO": 56.077, "CaCl2": 110.978, "CaCl2.2H2O": 147.008, "Na2CO3": 105.988, "NaHCO3": 84.006,
    "Ca(OH)2": 74.092, "MgCl2.6H2O": 203.295, "MgSO4.7H2O": 246.466, "KCl": 74.548,
    "KNO3": 101.102, "KH2PO4": 136.084, "CaCO3": 100.086, "NaCl": 58.440,
}  # fmt: skip


@pytest.mark.parametrize(("formula", "expected"), MASSES.items())
def test_a_molar_mass_is_that_of_the_table(formula: str, expected: float) -> None:
    assert molar_mass(formula) == pytest.approx(expected, abs=0.01)


def test_brackets_multiply_what_they_hold() -> None:
    assert element_counts("Ca(NO3)2") == {"Ca": 1, "N": 2, "O": 6}


@pytest.mark.parametrize("text", ["", "Xx2", "Ca(OH", "Ca)2", "2", "CaCl2 ", "ca"])
def test_what_is_no_formula_is_refused_or_empty(text: str) -> None:
    if text == "":
        assert element_counts(text) == {}
        return
    with pytest.raises(ValueError, match=r"formula|element"):
        element_counts(text)
