"""Numbers as typed: one meaning or a refusal that teaches."""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.units import (
    NumberUnreadable,
    Reading,
    format_number,
    parse_number,
    parse_reading_value,
    split_amount,
)


@given(st.floats(allow_nan=False, allow_infinity=False, width=64))
def test_a_number_written_by_a_program_reads_back_exactly(value: float) -> None:
    assert parse_number(repr(value)) == value


@given(st.decimals(-9999, 9999, places=4).filter(lambda d: abs(d) >= 1000 or "." in str(d)))
def test_a_decimal_comma_is_read_where_people_type(value: object) -> None:
    text = str(value).replace(".", ",")
    assert parse_number(text, decimal_comma=True) == float(str(value))


@pytest.mark.parametrize(
    ("text", "value"),
    [("8.2", 8.2), (" 8.2 ", 8.2), ("+3", 3), (".5", 0.5), ("5.", 5), ("1e3", 1000), ("−3", -3)],
)
def test_plain_forms_are_read(text: str, value: float) -> None:
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    ["", "  ", "nan", "NaN", "inf", "-Infinity", "∞", "1e999", "eight", "8.2.1", "0x10", "1_000",
     "1 320", "1,320", "1.320,5", "1'320", "8,2", "٣", "8\x00", "1" * 70, "--3", "1e", "½"],
)  # fmt: skip
def test_what_has_no_single_meaning_is_refused(text: str) -> None:
    with pytest.raises(NumberUnreadable) as refusal:
        parse_number(text)
    assert refusal.value.hint
    assert refusal.value.message.isprintable()


def test_a_thousands_mark_is_called_by_its_name() -> None:
    with pytest.raises(NumberUnreadable, match="thousands mark"):
        parse_number("1,320")
    with pytest.raises(NumberUnreadable, match="thousands mark"):
        parse_number("1,320", decimal_comma=True)


def test_a_comma_in_a_file_is_shown_with_its_point() -> None:
    with pytest.raises(NumberUnreadable) as refusal:
        parse_number("8,2")
    assert refusal.value.hint == "Write 8.2."


def test_a_comma_with_three_digits_is_a_decimal_where_thousands_make_no_sense() -> None:
    assert parse_number("1,025", decimal_comma=True, grouped_impossible=True) == 1.025
    assert parse_number("0,035", decimal_comma=True) == 0.035


@pytest.mark.parametrize(
    ("text", "expected"),
    [("<0.02", Reading(0.02, "<")), (">100", Reading(100, ">")), ("< 0.02", Reading(0.02, "<")),
     ("8.2", Reading(8.2, ""))],
)  # fmt: skip
def test_a_reading_may_be_off_the_kits_scale(text: str, expected: Reading) -> None:
    assert parse_reading_value(text) == expected


@pytest.mark.parametrize("text", ["<", "<<1", "<=1", ">nan", "<inf", "~5"])
def test_half_a_bound_is_refused(text: str) -> None:
    with pytest.raises(NumberUnreadable):
        parse_reading_value(text)


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("8.2dKH", "8.2", "dKH"),
        ("8,2 dKH", "8,2", "dKH"),
        ("<0.02 mg/L", "<0.02", "mg/L"),
        ("15%", "15", "%"),
        ("1.025 SG 20/4", "1.025", "SG 20/4"),
        ("-3C", "-3", "C"),
        ("1e3 mL", "1e3", "mL"),
        ("30mL/day", "30", "mL/day"),
        ("1 000 mL", "1 000", "mL"),
        ("nan C", "nan", "C"),
        ("1.025", "1.025", ""),
        ("", "", ""),
    ],
)
def test_an_amount_falls_into_number_and_unit(text: str, number: str, unit: str) -> None:
    assert split_amount(text) == (number, unit)


@given(st.text(max_size=40))
def test_no_text_whatever_breaks_the_reader(text: str) -> None:
    number, _ = split_amount(text)
    with suppress(NumberUnreadable):
        assert math.isfinite(parse_number(number, decimal_comma=True))


@given(st.text(max_size=40))
def test_no_text_whatever_breaks_the_refusal(text: str) -> None:
    assert NumberUnreadable(text, "it is a trial").message.isprintable()


@pytest.mark.parametrize(
    ("value", "text"),
    [(8.2, "8.2"), (420.0, "420"), (0.0, "0"), (1e9, "1e+09"), (0.00001, "1e-05"), (-3.5, "-3.5"),
     (math.nan, "nan"), (2788.1345, "2788.13")],
)  # fmt: skip
def test_a_number_in_a_sentence_is_short(value: float, text: str) -> None:
    assert format_number(value) == text
