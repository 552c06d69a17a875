"""How many digits a number earns, and what a JSON number carries.

The rule that a number is rounded to where its standard deviation begins to speak is that of the
Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008, 7.2.6), with one digit of the
deviation kept.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.measure import Measure
from brinebook.report import numbers


@pytest.mark.parametrize(
    ("value", "sd", "unit", "text"),
    [
        (8.1234, 0.1, "dKH", "8.1 ± 0.1 dKH"),
        (421.3, 6.2, "mg/L", "421 ± 6 mg/L"),
        (0.0612, 0.031, "", "0.06 ± 0.03"),
        (301.2, 14.0, "L", "300 ± 10 L"),
        (1322.0, 96.0, "mg/L", "1300 ± 100 mg/L"),
        (8.1234, 0.096, "dKH", "8.1 ± 0.1 dKH"),
        (-0.3512, 0.021, "dKH a day", "−0.35 ± 0.02 dKH a day"),
        (-0.001, 0.02, "meq/L", "0.00 ± 0.02 meq/L"),
    ],
)
def test_a_measure_shows_the_digits_that_its_deviation_earns(
    value: float, sd: float, unit: str, text: str
) -> None:
    assert numbers.measure_text(Measure(value, sd, unit)) == text


def test_a_number_without_doubt_shows_no_plus_minus() -> None:
    assert numbers.measure_text(Measure(84.007, 0.0, "g/mol")) == "84.007 g/mol"


def test_what_is_not_finite_is_said_to_be_unknown_rather_than_printed() -> None:
    nothing_known = Measure(8.0, math.inf, "dKH")
    assert numbers.measure_text(nothing_known) == "not known"
    assert numbers.range_text(nothing_known) == "not known"
    assert numbers.measure_and_range_text(Measure(math.nan, 0.1, "dKH", 1, 2)) == "not known"


@pytest.mark.parametrize(
    ("measure", "text"),
    [
        (Measure(8.1, 0.1, "dKH"), "8.1 dKH (7.9 to 8.3)"),
        (Measure(0.05, 0.015, "mg/L", 0.03, 0.09), "0.05 mg/L (0.03 to 0.09)"),
        (Measure(421.0, 6.0, "mg/L"), "421 mg/L (409 to 433)"),
        (Measure(5.0, 0.0, "L"), "5 L"),
    ],
)
def test_a_range_is_the_interval_of_95_percent_to_the_digit_its_width_earns(
    measure: Measure, text: str
) -> None:
    assert numbers.measure_and_range_text(measure) == text


@given(
    st.floats(-1e6, 1e6),
    st.floats(1e-6, 1e5),
)
def test_rounding_for_people_never_moves_a_number_by_more_than_half_its_deviation(
    value: float, sd: float
) -> None:
    shown = numbers.number_text(value, numbers.decimals_for(sd)).replace(numbers.MINUS, "-")
    # Half a unit of the digit shown, which is at most the size of the deviation's first digit;
    # 1e-9 of the value for the decimal-to-binary step.
    assert abs(float(shown) - value) <= 0.53 * sd + 1e-9 * abs(value)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_json_number_is_within_half_a_unit_of_its_ninth_digit(value: float) -> None:
    assert numbers.rounded(value) == pytest.approx(value, rel=5.0001e-9, abs=1e-300)


def test_a_json_number_has_nine_digits_and_no_negative_zero() -> None:
    assert numbers.rounded(2.803851234567) == 2.80385123
    assert math.copysign(1, numbers.rounded(-0.0)) == 1


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_json_number_that_is_not_finite_is_refused_by_name(value: float) -> None:
    with pytest.raises(ValueError, match=r"answer\.volume is"):
        numbers.rounded(value, name="answer.volume")


@pytest.mark.parametrize(
    ("probability", "text"),
    [
        (0.0, "under 1 in 100"),
        (0.03, "about 3 in 100"),
        (0.5, "about 5 in 10"),
        (0.9, "about 9 in 10"),
        (0.95, "about 95 in 100"),
        (0.97, "about 97 in 100"),
        (1.0, "over 99 in 100"),
    ],
)
def test_a_chance_is_never_put_as_certainty(probability: float, text: str) -> None:
    assert numbers.chance_text(probability) == text
