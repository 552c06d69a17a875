"""The whole table of units: published factors, both ways, and what a conversion depends on."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brinebook.units import (
    QUANTITIES,
    OutOfRange,
    TemperatureNeeded,
    UnitUnknown,
    gravity_reference,
)
from brinebook.water.quantities import (
    DKH_PER_MEQ,
    Conditions,
    canonical_unit,
    check_range,
    depends_on,
    from_canonical,
    likely_slip,
    substance_amount,
    to_canonical,
)

EVERY_UNIT = [(row.name, unit) for row in QUANTITIES.values() for unit in row.units] + [
    ("salinity", "SG 20/4"),
    ("salinity", "SG 60/60F"),
]


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "expected", "tolerance"),
    [
        # Definitions and atomic weights (periodictable 2.1.0): DIN 38409-6 degree = 10 mg/L CaO.
        ("alkalinity", 1, "dKH", 0.356652, 1e-6),
        ("alkalinity", 50.043, "mg/L CaCO3", 1.0, 2e-5),
        ("alkalinity", 17.8480, "ppm CaCO3", 0.356652, 2e-6),
        ("nitrate", 1, "mg/L N", 4.42664, 2e-5),
        ("nitrite", 3.28443, "mg/L NO2", 1.0, 2e-5),
        ("ammonia", 1.21589, "mg/L NH3", 1.0, 2e-5),
        ("ammonia", 1.28786, "mg/L NH4", 1.0, 2e-5),
        ("phosphate", 1, "mg/L P", 3.06614, 2e-5),
        ("phosphate", 31, "ppb P", 0.095050, 1e-6),
        ("phosphate", 31, "ug/L PO4", 0.031, 1e-12),
        # With density (TEOS-10 by gsw 3.6.23): 1.0233436 kg/L at 35 and 25 °C.
        ("alkalinity", 2788.13, "umol/kg", 8 / 2.80385, 1e-5),
        ("calcium", 412.1, "mg/kg", 421.7, 0.05),
        ("calcium", 10.5, "mmol/L", 420.82, 0.01),
        ("temperature", 77, "F", 25, 1e-12),
        ("temperature", 298.15, "K", 25, 1e-9),
        ("salinity", 53.071, "mS/cm", 35, 0.001),
        ("salinity", 1.026374, "SG", 35, 0.003),
        ("salinity", 35, "ppt", 35, 0),
        ("iodine", 0.06, "mg/L", 60, 1e-9),
        ("iron", 1, "umol/L", 55.845, 0.001),
        ("oxygen", 100, "% sat", 6.771, 0.001),
        ("oxygen", 211.6, "umol/L", 6.771, 0.001),
        ("ph", 8.1, "total", 8.2365, 0.005),
        ("silicate", 1, "mg/L Si", 2.1393, 1e-4),
        ("room_temperature", 68, "F", 20, 1e-12),
        ("room_co2", 800, "uatm", 800, 0),
    ],
)
def test_a_value_reads_as_its_definition_says(
    quantity: str, value: float, unit: str, expected: float, tolerance: float
) -> None:
    got = to_canonical(quantity, value, unit, detail_temperature=25.0).value
    assert got == pytest.approx(expected, abs=tolerance)


def test_a_milliequivalent_is_2_80385_degrees() -> None:
    # Exact from the atomic weights: M(CaO) / 20.
    assert pytest.approx(2.80385, abs=1e-9) == DKH_PER_MEQ


def test_nitrification_takes_its_alkalinity() -> None:
    # One equivalent a mol of NO3 made: 0.0452 dKH for 1 mg/L (arithmetic).
    per_milligram = from_canonical("nitrate", 1.0, "umol/L") / 1000
    assert per_milligram * DKH_PER_MEQ == pytest.approx(0.0452, abs=5e-5)


def test_a_degree_of_calcification_takes_7_147_of_calcium() -> None:
    # 1 Ca for 2 of alkalinity (Smith & Key 1975): arithmetic.
    calcium = to_canonical("calcium", 1 / DKH_PER_MEQ / 2, "mmol/L").value
    assert calcium == pytest.approx(7.1470, abs=1e-3)


@given(
    which=st.sampled_from(EVERY_UNIT),
    fraction=st.floats(0, 1),
    salinity=st.floats(2, 42),
    temperature=st.floats(2, 34),
)
def test_there_and_back_is_the_same(
    which: tuple[str, str], fraction: float, salinity: float, temperature: float
) -> None:
    quantity, unit = which
    row = QUANTITIES[quantity]
    low, high = (2.0, 42.0) if unit == "mS/cm" else (row.low, row.high)
    value = low + fraction * (high - low)
    at = Conditions(salinity, temperature)
    typed = from_canonical(quantity, value, unit, conditions=at)
    assume(math.isfinite(typed))
    back = to_canonical(quantity, typed, unit, conditions=at, detail_temperature=temperature)
    assert back.value == pytest.approx(
        value, rel=1e-9, abs=1e-7 if quantity == "salinity" else 1e-9
    )
    assert back.assumed == ()


@given(which=st.sampled_from(EVERY_UNIT), fraction=st.floats(0.1, 0.9))
def test_a_larger_reading_is_a_larger_value(which: tuple[str, str], fraction: float) -> None:
    quantity, unit = which
    row = QUANTITIES[quantity]
    low, high = (2.0, 42.0) if unit == "mS/cm" else (row.low, row.high)
    value, more = (low + part * (high - low) for part in (fraction, fraction + 0.01))
    assert from_canonical(quantity, value, unit) < from_canonical(quantity, more, unit)


def test_what_is_assumed_is_named() -> None:
    assumed = to_canonical("alkalinity", 2800, "umol/kg").assumed
    assert assumed == ("salinity", "temperature")
    assert to_canonical("alkalinity", 2800, "umol/kg", conditions=Conditions()).assumed == ()
    assert to_canonical("alkalinity", 8, "dKH").assumed == ()
    assert to_canonical("ph", 8.0, "total").assumed == ("salinity", "temperature")
    assert to_canonical("ph", 8.0, "").assumed == ()


def test_what_a_conversion_depends_on_is_told() -> None:
    assert depends_on("oxygen", "% sat") == ("salinity", "temperature")
    assert depends_on("salinity", "mS/cm") == ("temperature",)
    assert depends_on("salinity", "SG 20/4") == ()


def test_a_conductivity_without_temperature_is_refused() -> None:
    with pytest.raises(TemperatureNeeded, match=r"0\.8 PSU"):
        to_canonical("salinity", 53.0, "mS/cm")


def test_a_conductivity_comes_back_at_the_temperature_asked_for() -> None:
    # PSS-78 by gsw 3.6.23: 52.029 at 24 °C, 53.071 at 25 °C.
    assert from_canonical("salinity", 35.0, "mS/cm", detail_temperature=24.0) == pytest.approx(
        52.029, abs=0.001
    )
    assert from_canonical("salinity", 35.0, "mS/cm") == pytest.approx(53.071, abs=0.001)


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "expected"),
    [
        ("alkalinity", 0.95, "meq", 0.95),
        ("calcium", 20, "mg", 20),
        ("calcium", 2, "g", 2000),
        ("phosphate", 1, "mg P", 3.06614),
        ("iodine", 3, "mg", 3000),
        ("iodine", 3, "µg", 3),
        ("magnesium", 1, "mmol", 24.305),
        ("alkalinity", 1, "mg CaCO3", 1 / 50.043),
    ],
)
def test_an_amount_of_substance_is_read_like_its_concentration(
    quantity: str, value: float, unit: str, expected: float
) -> None:
    assert substance_amount(quantity, value, unit) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(("quantity", "unit"), [("calcium", "meq"), ("temperature", "mg")])
def test_an_amount_that_makes_no_sense_is_refused(quantity: str, unit: str) -> None:
    with pytest.raises(UnitUnknown):
        substance_amount(quantity, 1.0, unit)


@pytest.mark.parametrize(
    ("quantity", "low", "high"),
    [
        ("alkalinity", 0, 15), ("calcium", 0, 2000), ("magnesium", 0, 5000),
        ("potassium", 0, 2000), ("strontium", 0, 100), ("nitrate", 0, 1000), ("phosphate", 0, 50),
        ("silicate", 0, 100), ("ammonia", 0, 100), ("nitrite", 0, 100), ("iodine", 0, 10_000),
        ("iron", 0, 10_000), ("salinity", 0, 60), ("temperature", -2, 45), ("ph", 4, 11),
        ("orp", -1500, 1500), ("oxygen", 0, 40), ("room_temperature", -30, 60),
        ("room_humidity", 0, 100), ("room_co2", 0, 50_000),
    ],
)  # fmt: skip
def test_the_physical_range_is_the_promised_one(quantity: str, low: float, high: float) -> None:
    check_range(quantity, low)
    check_range(quantity, high)
    for value in (low - 1e-6, high * 1.0001 + 1e-6, math.nan, math.inf, -math.inf):
        with pytest.raises(OutOfRange):
            check_range(quantity, value)


def test_what_is_not_the_systems_water_may_be_ten_times_as_strong() -> None:
    check_range("alkalinity", 140, of_system=False)
    check_range("ph", 12.4, of_system=False)
    with pytest.raises(OutOfRange):
        check_range("alkalinity", 151, of_system=False)
    with pytest.raises(OutOfRange):
        check_range("salinity", 61, of_system=False)
    with pytest.raises(OutOfRange):
        check_range("ph", 14.1, of_system=False)


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "guess"),
    [
        ("alkalinity", 142, "dKH", "142 mg/L CaCO3"),
        ("alkalinity", 82, "dKH", "8.2 dKH"),
        ("calcium", 4200, "mg/L", "420 mg/L"),
        ("temperature", 77, "C", "77 F"),
        ("salinity", 1025, "SG", "1.025 SG"),
        ("ph", 82, "", "8.2 NBS"),
        ("magnesium", -1300, "mg/L", "1300 mg/L"),
    ],
)
def test_an_impossible_reading_is_refused_with_the_likely_slip(
    quantity: str, value: float, unit: str, guess: str
) -> None:
    canonical = to_canonical(quantity, value, unit).value
    with pytest.raises(OutOfRange) as refusal:
        check_range(quantity, canonical, typed=value, typed_unit=unit)
    assert refusal.value.slip == f"Did you mean {guess}?"
    assert refusal.value.hint == refusal.value.slip


def test_without_a_likely_slip_none_is_made_up() -> None:
    assert likely_slip("calcium", 1e9, "mg/L") == ""


def test_every_quantity_has_a_canonical_unit_that_it_reads() -> None:
    for name, row in QUANTITIES.items():
        assert canonical_unit(name) == row.unit
        assert to_canonical(row, row.low, row.unit).value == row.low
        assert gravity_reference(row.unit) is None
