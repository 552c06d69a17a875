"""The table of quantities: names, spellings, and every refusal with its reason."""

from __future__ import annotations

import pytest

from brinebook.units import (
    QUANTITIES,
    GravityReference,
    QuantityUnknown,
    UnitAmbiguous,
    UnitMissing,
    UnitUnknown,
    find_quantity,
    gravity_reference,
    read_unit,
)

NAMES = (
    "alkalinity", "calcium", "magnesium", "potassium", "strontium", "nitrate", "nitrite", "ammonia",
    "phosphate", "silicate", "salinity", "temperature", "ph", "orp", "oxygen", "iodine", "iron",
    "room_temperature", "room_humidity", "room_co2",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_promised_quantity_is_there(name: str) -> None:
    assert find_quantity(name) is QUANTITIES[name]


@pytest.mark.parametrize(
    ("text", "name"),
    [("alk", "alkalinity"), ("CA", "calcium"), (" no3 ", "nitrate"), ("room co2", "room_co2"),
     ("temp", "temperature"), ("sal", "salinity"), ("PO4", "phosphate"), ("pH", "ph")],
)  # fmt: skip
def test_a_short_form_will_do(text: str, name: str) -> None:
    assert find_quantity(text).name == name


def test_short_forms_are_unambiguous() -> None:
    forms = [form for row in QUANTITIES.values() for form in (row.name, *row.aliases)]
    assert len(forms) == len(set(forms))


def test_an_unknown_quantity_is_refused_with_near_names() -> None:
    with pytest.raises(QuantityUnknown) as refusal:
        find_quantity("calcum")
    assert "calcium" in refusal.value.hint
    with pytest.raises(QuantityUnknown) as refusal:
        find_quantity("\x00" * 200_000)
    assert "alkalinity" in refusal.value.hint


@pytest.mark.parametrize(
    ("quantity", "text", "unit"),
    [
        ("alkalinity", "dkh", "dKH"),
        ("alkalinity", "°dKH", "dKH"),
        ("alkalinity", "mg/l as CaCO3", "mg/L CaCO3"),
        ("alkalinity", "µmol/kg", "umol/kg"),
        ("alkalinity", "μmol/kg", "umol/kg"),
        ("phosphate", "PPB P", "ppb P"),
        ("nitrate", "mg/LN", "mg/L N"),
        ("salinity", "psu", "PSU"),
        ("salinity", "sg 20 / 4", "SG 20/4"),
        ("salinity", "SG 60/60 F", "SG 60/60F"),
        ("salinity", "ms/cm", "mS/cm"),
        ("temperature", "°F", "F"),
        ("temperature", "℃", "C"),
        ("ph", "", "NBS"),
        ("ph", "Total", "total"),
        ("oxygen", "%sat", "% sat"),
    ],
)
def test_one_unit_has_many_spellings(quantity: str, text: str, unit: str) -> None:
    assert read_unit(QUANTITIES[quantity], text) == unit


@pytest.mark.parametrize(
    ("quantity", "unit", "teaches"),
    [
        ("alkalinity", "ppm", "as CaCO3"),
        ("phosphate", "ppb", "3.07 times"),
        ("ammonia", "ppm", "of NH3"),
        ("nitrite", "ppm", "of NO2"),
    ],
)
def test_an_ambiguous_unit_is_refused_with_the_reason(
    quantity: str, unit: str, teaches: str
) -> None:
    with pytest.raises(UnitAmbiguous) as refusal:
        read_unit(QUANTITIES[quantity], unit)
    assert teaches in refusal.value.message
    assert "Say which" in refusal.value.hint
    assert refusal.value.exit_status == 2


@pytest.mark.parametrize("quantity", [n for n in NAMES if n != "ph"])
def test_only_ph_goes_without_a_unit(quantity: str) -> None:
    with pytest.raises(UnitMissing, match="needs a unit"):
        read_unit(QUANTITIES[quantity], " ")


def test_a_bare_gravity_is_refused_with_its_five_meanings() -> None:
    with pytest.raises(UnitMissing, match=r"33 to 37.*SG 20/4"):
        read_unit(QUANTITIES["salinity"], "")


@pytest.mark.parametrize(
    ("quantity", "unit"),
    [("calcium", "dKH"), ("ph", "mg/L"), ("temperature", "M"), ("orp", "V"), ("calcium", "mg/L N"),
     ("salinity", "SG 20"), ("salinity", "SG 90/4"), ("alkalinity", "x" * 100_000)],
)  # fmt: skip
def test_a_foreign_unit_is_refused_with_those_that_are_read(quantity: str, unit: str) -> None:
    with pytest.raises(UnitUnknown) as refusal:
        read_unit(QUANTITIES[quantity], unit)
    assert QUANTITIES[quantity].unit in refusal.value.hint
    assert len(refusal.value.message) < 300


def test_reference_pairs_are_read() -> None:
    assert gravity_reference("SG") == GravityReference(25, 25)
    assert gravity_reference("SG 20/4") == GravityReference(20, 4)
    sixty = gravity_reference("SG 60/60F")
    assert sixty is not None
    assert sixty.sample == pytest.approx(15.5556, abs=1e-4)
    assert sixty.water == pytest.approx(15.5556, abs=1e-4)
    assert gravity_reference("PSU") is None
