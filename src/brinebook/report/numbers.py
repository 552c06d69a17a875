"""Numbers as people and programs read them: the digits a number earns are decided here alone."""

from __future__ import annotations

import math

from brinebook.measure import Z95, Measure
from brinebook.texts import as_marked, say

#: What a JSON number carries.
SIGNIFICANT_DIGITS = 9

#: The minus sign of print, as wide as the plus-minus sign beside it.
MINUS = "−"


def rounded(value: float, *, name: str = "number") -> float:
    """The value at 9 significant digits, for JSON. Raises ValueError where it is not finite."""
    if not math.isfinite(value):
        raise ValueError(f"{name} is {value}, which no answer may carry")
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") + 0.0  # + 0.0 turns -0.0 into 0.0


def decimals_for(sd: float) -> int:
    """How many decimals a number with this standard deviation earns: to the sd's first digit.

    Negative where whole tens or hundreds are already in doubt. ``sd`` is finite and above zero.
    """
    exponent = math.floor(math.log10(sd))
    # 0.096 is shown as 0.1, so it earns one decimal and not two.
    if round(sd / 10**exponent) == 10:
        exponent += 1
    return -exponent


def number_text(value: float, decimals: int) -> str:
    """The value at so many decimals (negative: tens, hundreds); a printed minus, never “−0”."""
    whole = round(value, decimals) + 0.0
    text = as_marked(f"{abs(whole):.{max(decimals, 0)}f}")
    return f"{MINUS}{text}" if whole < 0 else text


def plain_text(value: float, *, digits: int = 6) -> str:
    """A number that has no uncertainty of its own, at up to so many significant digits (1 to 6)."""
    text = f"{float(f'{abs(value):.{digits}g}'):.6g}"
    shown = as_marked(text)
    return f"{MINUS}{shown}" if value < 0 and float(text) != 0 else shown


def measure_text(measure: Measure) -> str:
    """“8.1 ± 0.1 dKH”: the value and one standard deviation, both to the sd's first digit."""
    sd = measure.sd
    if not (math.isfinite(measure.value) and math.isfinite(sd)):
        return say("not known")
    if sd <= 0:
        return _with_unit(plain_text(measure.value), measure.unit)
    decimals = decimals_for(sd)
    value = number_text(measure.value, decimals)
    return _with_unit(f"{value} ± {number_text(sd, decimals)}", measure.unit)


def range_text(measure: Measure) -> str:
    """“7.9 to 8.3”: the 95 % interval, to the digit that its width earns, without the unit."""
    decimals = _decimals_of_range(measure)
    if decimals is None:
        return _exact_or_unknown(measure, "")
    low, high = number_text(measure.low, decimals), number_text(measure.high, decimals)
    return low if low == high else say("{low} to {high}", low=low, high=high)


def measure_and_range_text(measure: Measure) -> str:
    """“8.1 dKH (7.9 to 8.3)”: the value with its 95 % interval."""
    value = value_text(measure)
    return value if _decimals_of_range(measure) is None else f"{value} ({range_text(measure)})"


def value_text(measure: Measure) -> str:
    """“8.1 dKH”: the value alone, still only with the digits that its interval leaves it."""
    decimals = _decimals_of_range(measure)
    if decimals is None:
        return _exact_or_unknown(measure, measure.unit)
    return _with_unit(number_text(measure.value, decimals), measure.unit)


def chance_text(probability: float) -> str:
    """A probability in words that a person weighs by: “about 9 in 10”, “under 1 in 100”."""
    if probability < 0.01:
        return say("under 1 in 100")
    if probability > 0.99:
        return say("over 99 in 100")
    tenths = round(probability * 10)
    if 0 < tenths < 10:
        return say("about {tenths} in 10", tenths=tenths)
    return say("about {probability} in 100", probability=round(probability * 100))


def _decimals_of_range(measure: Measure) -> int | None:
    """The decimals that the interval leaves; None where it has no width or isn't known."""
    width = measure.high - measure.low
    if not (math.isfinite(measure.value) and math.isfinite(width) and width > 0):
        return None
    return decimals_for(width / (2 * Z95))


def _exact_or_unknown(measure: Measure, unit: str) -> str:
    if math.isfinite(measure.value) and measure.low == measure.high:
        return _with_unit(plain_text(measure.value), unit)
    return say("not known")


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if unit else text
