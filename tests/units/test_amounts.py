"""Plain amounts, by their definitions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.units import (
    DIMENSIONS,
    DimensionMismatch,
    UnitMissing,
    UnitUnknown,
    convert_amount,
    dimension_of,
    parse_amount,
)

PAIRS = [(have, want) for units in DIMENSIONS.values() for have in units for want in units]


@pytest.mark.parametrize(
    ("value", "unit", "to_unit", "expected"),
    [
        # Exact by definition (NIST SP 811, appendix B.8).
        (1, "gal", "L", 3.785411784),
        (1, "gal(US)", "L", 3.785411784),
        (1, "gal(imp)", "L", 4.54609),
        (1, "m3", "L", 1000),
        (1, "lb", "g", 453.59237),
        (16, "oz", "lb", 1),
        (1, "in", "mm", 25.4),
        (1, "ft", "m", 0.3048),
        (1, "gph", "L/h", 3.785411784),
        (10, "L/min", "L/h", 600),
        (1, "bar", "kPa", 100),
        (1, "psi", "kPa", 6.894757293168361),
        (1, "mH2O", "kPa", 9.80665),
        (1.5, "kW", "W", 1500),
        (30, "mL/day", "L/day", 0.03),
        (9, "dF", "dC", 5),
    ],
)
def test_an_amount_is_its_definition(
    value: float, unit: str, to_unit: str, expected: float
) -> None:
    assert convert_amount(value, unit, to_unit) == pytest.approx(expected, rel=1e-14)


@given(value=st.floats(-1e9, 1e9), pair=st.sampled_from(PAIRS))
def test_there_and_back_is_the_same(value: float, pair: tuple[str, str]) -> None:
    there = convert_amount(value, *pair)
    assert convert_amount(there, pair[1], pair[0]) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["litres", "LITRE", "gallons", "lph", "°dC", "Oz"])
def test_words_and_cases_are_read(text: str) -> None:
    assert dimension_of(text) is not None


def test_different_things_do_not_convert() -> None:
    with pytest.raises(DimensionMismatch, match=r'"L".*"g"'):
        convert_amount(1, "L", "g")


@pytest.mark.parametrize("unit", ["stone", "M", "mL/week"])
def test_an_unknown_unit_is_refused(unit: str) -> None:
    with pytest.raises(UnitUnknown):
        convert_amount(1, unit, "L")


def test_a_missing_unit_is_refused() -> None:
    with pytest.raises(UnitMissing, match="Volume needs a unit"):
        parse_amount("5", dimension="volume")


def test_an_amount_of_the_wrong_kind_is_refused() -> None:
    with pytest.raises(UnitUnknown, match="volume"):
        parse_amount("5 g", dimension="volume")


def test_an_amount_is_read_whole() -> None:
    amount = parse_amount("1,5 kg", decimal_comma=True)
    assert (amount.value, amount.unit, amount.dimension) == (1.5, "kg", "mass")
