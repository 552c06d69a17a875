"""Slips of the pen: proposed where one is a hundred times likelier than what was typed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brinebook.balance.slips import ENOUGH, Slip, is_far, likely_slip
from brinebook.measure import Measure

#: Plain figures of a made-up reef in canonical units.
ALKALINITY = Measure(2.9, 0.06, "meq/L")
CALCIUM = Measure(420.0, 8.0, "mg/L")
MAGNESIUM = Measure(1320.0, 25.0, "mg/L")
NITRATE = Measure(8.0, 1.0, "mg/L")
PHOSPHATE = Measure(0.09, 0.015, "mg/L")


def _slip(
    quantity: str, value: float, unit: str, expected: Measure, **more: object
) -> tuple[str, float, str] | None:
    found = likely_slip(quantity, value, unit, expected=expected, **more)  # type: ignore[arg-type]
    if found is None:
        return None
    assert found.odds > ENOUGH
    assert found.sentence.endswith("?")
    return found.kind, found.value, found.unit


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "expected", "kind", "meant"),
    [
        # 2.9 meq/L is 8.13 dKH and 145 mg/L CaCO3 (1 meq/L = 2.80385 dKH = 50.04 mg/L CaCO3).
        ("alkalinity", 2.9, "dKH", ALKALINITY, "unit", (2.9, "meq/L")),
        ("alkalinity", 8.1, "meq/L", ALKALINITY, "unit", (8.1, "dKH")),
        ("alkalinity", 14.5, "dKH", ALKALINITY, None, None),
        ("alkalinity", 0.82, "dKH", ALKALINITY, "decimal", (8.2, "dKH")),
        # 8 mg/L of NO3 is 1.81 mg/L of N; 0.09 mg/L of PO4 is 29.4 ug/L of P (molar masses).
        ("nitrate", 1.8, "mg/L", NITRATE, "unit", (1.8, "mg/L N")),
        ("nitrate", 80.0, "mg/L", NITRATE, "decimal", (8.0, "mg/L")),
        ("phosphate", 29.0, "mg/L", PHOSPHATE, "unit", (29.0, "ug/L P")),
        ("calcium", 42.0, "mg/L", CALCIUM, "decimal", (420.0, "mg/L")),
    ],
)
def test_the_likely_slip_is_named(  # noqa: PLR0917 - as the table above has them
    quantity: str,
    value: float,
    unit: str,
    expected: Measure,
    kind: str | None,
    meant: tuple[float, str] | None,
) -> None:
    found = _slip(quantity, value, unit, expected, test_sd=0.02 * expected.value)
    assert (found and found[0]) == kind
    assert (found and found[1:]) == meant


def test_a_neighbours_reading_is_recognised() -> None:
    siblings = {"magnesium": MAGNESIUM, "alkalinity": ALKALINITY}
    found = likely_slip("calcium", 1310, "mg/L", expected=CALCIUM, test_sd=10, siblings=siblings)
    assert found is not None
    assert (found.kind, found.about) == ("swapped", "magnesium")
    assert "magnesium" in found.sentence


def test_last_weeks_value_again_is_recognised_where_the_water_has_moved() -> None:
    moved = Measure(330.0, 4.0, "mg/L")
    found = likely_slip("calcium", 420, "mg/L", expected=moved, test_sd=5, last_value=420)
    assert found is not None
    assert found.kind == "repeated"


@pytest.mark.parametrize("value", [8.13, 8.0, 7.6, 8.6])
def test_a_value_that_fits_draws_no_proposal(value: float) -> None:
    assert _slip("alkalinity", value, "dKH", ALKALINITY, test_sd=0.05) is None
    assert _slip("alkalinity", value, "dKH", ALKALINITY, test_sd=0.05, last_value=value) is None


def test_a_value_that_no_slip_explains_draws_none() -> None:
    assert _slip("calcium", 520, "mg/L", CALCIUM, test_sd=10) is None


def test_with_nothing_known_nothing_is_proposed() -> None:
    wide = replace(CALCIUM, sd=400.0, low=0.0, high=1200.0)
    assert _slip("calcium", 42, "mg/L", wide, test_sd=10) is None


def test_far_is_over_four_deviations_of_water_and_test_together() -> None:
    assert not is_far(420 + 4 * 10 - 1, Measure(420, 6, "mg/L"), test_sd=8)
    assert is_far(420 + 4 * 10 + 1, Measure(420, 6, "mg/L"), test_sd=8)


def test_the_sentence_reads_as_a_question() -> None:
    assert Slip("decimal", 8.2, "dKH", 1e4).sentence == "Did you mean 8.2 dKH?"
    assert Slip("decimal", 8.2, "", 1e4).sentence == "Did you mean 8.2?"
