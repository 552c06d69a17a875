"""One amount in another unit: when the quantity is needed, what is assumed, what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.desk.convert import convert
from brinebook.errors import UsageProblem
from brinebook.units import (
    DIMENSIONS,
    QUANTITIES,
    DimensionMismatch,
    NumberUnreadable,
    OutOfRange,
    QuantityNeeded,
    QuantityUnknown,
    UnitAmbiguous,
    UnitMissing,
    UnitUnknown,
)

UNITS = sorted(
    {unit for row in QUANTITIES.values() for unit in row.units}
    | {unit for units in DIMENSIONS.values() for unit in units}
)


@pytest.mark.parametrize(
    ("text", "to_unit", "expected", "unit"),
    [
        # Definitions and atomic weights, as in tests/water/test_quantities.py.
        ("8 dKH", "meq/L", 2.853220, "meq/L"),
        ("8,2dKH", "mg/l CaCO3", 8.2 * 17.8480, "mg/L CaCO3"),
        ("0.1 mg/L P", "ppm PO4", 0.306614, "ppm PO4"),
        ("5 mg/L N", "umol/L", 356.96, "umol/L"),
        ("1 mg/L", "ug/L", 1000, "ug/L"),
        ("77 F", "c", 25, "C"),
        ("-3 C", "F", 26.6, "F"),
        ("9 dF", "dC", 5, "dC"),
        ("-9 dF", "dC", -5, "dC"),
        ("1 gal", "L", 3.785411784, "L"),
        ("2 bar", "psi", 29.0075, "psi"),
        ("1.025 SG", "PSU", 33.186, "PSU"),
        ("1,025 SG 20/4", "PSU", 35.27, "PSU"),
        ("35 PSU", "SG 25/4", 1.023369, "SG 25/4"),
        ("30 mL/day", "L/day", 0.03, "L/day"),
    ],
)
def test_an_amount_converts(text: str, to_unit: str, expected: float, unit: str) -> None:
    answer = convert(text, to_unit)
    assert answer.value == pytest.approx(expected, rel=1e-4)
    assert answer.unit == unit
    assert answer.assumed == {}


@pytest.mark.parametrize(
    ("text", "to_unit", "assumed"),
    [
        ("8 dKH", "umol/kg", {"salinity": 35.0, "temperature": 25.0}),
        ("8.1 total", "NBS", {"salinity": 35.0, "temperature": 25.0}),
        ("95 % sat", "mg/L", {"salinity": 35.0, "temperature": 25.0}),
        ("53 mS/cm", "PSU", {"temperature": 25.0}),
    ],
)
def test_what_was_assumed_is_told(text: str, to_unit: str, assumed: dict[str, float]) -> None:
    assert convert(text, to_unit).assumed == assumed


def test_what_was_said_is_not_assumed() -> None:
    answer = convert("8 dKH", "umol/kg", salinity="34", temperature="26 C")
    # TEOS-10 by gsw 3.6.23: 1022.2812 kg/m3 at 34 and 26 °C.
    assert answer.value == pytest.approx(8 / 2.80385 * 1e6 / 1022.2812, rel=1e-7)
    assert answer.assumed == {}
    assert convert("8 dKH", "umol/kg", salinity="34").assumed == {"temperature": 25.0}


def test_a_conductivity_is_read_at_the_temperature_said() -> None:
    # PSS-78 by gsw 3.6.23: 53.07 mS/cm is 35.789 at 24 °C.
    answer = convert("53.07 mS/cm", "PSU", temperature="24 C")
    assert answer.value == pytest.approx(35.789, abs=0.005)


def test_the_quantity_is_needed_where_the_result_depends_on_it() -> None:
    with pytest.raises(QuantityNeeded) as refusal:
        convert("420 mg/L", "mmol/L")
    assert "calcium" in refusal.value.hint
    answer = convert("420 mg/L", "mmol/L", quantity="ca")
    assert answer.value == pytest.approx(420 / 40.078, rel=1e-6)


def test_the_quantity_is_needed_where_another_would_have_been_refused() -> None:
    with pytest.raises(QuantityNeeded):
        convert("31 ppb", "mg/L")
    assert convert("31 ppb", "mg/L", quantity="iron").value == pytest.approx(0.031)


@pytest.mark.parametrize(
    ("text", "to_unit", "quantity"),
    [
        ("100 ppm", "meq/L", None),
        ("100 ppm", "dKH", "alkalinity"),
        ("31 ppb", "mg/L", "phosphate"),
        ("31 ppb", "mg/L P", None),
        ("0.5 ppm", "mg/L", "ammonia"),
        ("0.5 ppm", "mg/L N", "nitrite"),
    ],
)
def test_an_ambiguous_unit_is_refused(text: str, to_unit: str, quantity: str | None) -> None:
    with pytest.raises(UnitAmbiguous):
        convert(text, to_unit, quantity=quantity)


@pytest.mark.parametrize("text", ["1.025", "35", "1,025"])
def test_a_bare_salinity_is_refused_with_what_it_may_mean(text: str) -> None:
    with pytest.raises((UnitMissing, NumberUnreadable)):
        convert(text, "PSU")


@pytest.mark.parametrize(
    ("text", "to_unit", "error"),
    [
        ("nan dKH", "meq/L", NumberUnreadable),
        ("inf mg/L CaCO3", "dKH", NumberUnreadable),
        ("1,320 mg/L CaCO3", "dKH", NumberUnreadable),
        ("1 320 mL", "L", NumberUnreadable),
        ("dKH", "meq/L", NumberUnreadable),
        ("", "meq/L", NumberUnreadable),
        ("1e9 dKH", "meq/L", OutOfRange),
        ("-5 dKH", "meq/L", OutOfRange),
        ("-5 L", "mL", OutOfRange),
        ("-300 C", "K", OutOfRange),
        ("1025 SG", "PSU", OutOfRange),
        ("1e9 mS/cm", "PSU", OutOfRange),
        ("8 dKH", "L", DimensionMismatch),
        ("8 L", "g", DimensionMismatch),
        ("25 C", "dF", DimensionMismatch),
        ("8 dKH", "furlong", UnitUnknown),
        ("8 furlong", "dKH", UnitUnknown),
        ("8 dKH", "", UnitMissing),
        ("8", "dKH", UnitMissing),
        ("8", "L", UnitMissing),
    ],
)
def test_what_can_not_be_converted_is_refused_with_a_hint(
    text: str, to_unit: str, error: type[UsageProblem]
) -> None:
    with pytest.raises(error) as refusal:
        convert(text, to_unit)
    assert refusal.value.hint
    assert refusal.value.exit_status == 2


def test_an_unknown_quantity_is_refused() -> None:
    with pytest.raises(QuantityUnknown):
        convert("8 mg/L", "ppm", quantity="phlogiston")


def test_a_ph_needs_no_unit() -> None:
    assert convert("8.1", "NBS").value == 8.1


@given(
    value=st.floats(-1e12, 1e12),
    unit=st.sampled_from(UNITS),
    to_unit=st.sampled_from(UNITS),
    quantity=st.none() | st.sampled_from(list(QUANTITIES)),
)
def test_any_two_units_give_a_number_or_a_refusal(
    value: float, unit: str, to_unit: str, quantity: str | None
) -> None:
    try:
        answer = convert(f"{value!r} {unit}", to_unit, quantity=quantity)
    except UsageProblem as problem:
        described = problem
    else:
        assert answer.value == answer.value
        return
    assert described.hint
