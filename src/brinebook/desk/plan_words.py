"""How the desk words a plan: amounts a person can measure, and quantities in the keeper's units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from brinebook.measure import Measure
from brinebook.plan import Expected, Step
from brinebook.report.numbers import measure_and_range_text, plain_text, range_text, value_text
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure
from brinebook.texts import say
from brinebook.units import QUANTITIES

#: The finest step that a kitchen has for each unit: common practice, no source.
_FINEST = {"g": 0.01, "mL": 0.1, "L": 0.01, "mL/day": 0.1, "g/day": 0.01, "L/day": 0.01}


def measurable(value: float, unit: str, *, digits: int = 3) -> float:
    """The amount at the digits that can be measured out, never more than ``digits`` significant."""
    if value <= 0.0 or not math.isfinite(value):
        return 0.0
    places = digits - 1 - math.floor(math.log10(value))
    coarse = round(value, places)
    step = _FINEST.get(unit, 0.01)
    if coarse < 10.0 * step:
        return coarse  # too little for the kitchen: whoever plans it says how (``stock_text``)
    return round(round(coarse / step) * step, 6)


def stock_text(grams: float, name: str) -> str:
    """How to measure out grams that no kitchen's scales can tell; nothing where they can."""
    if grams >= 10.0 * _FINEST["g"]:
        return ""
    # A stock of which some millilitres hold it: 10 g in a litre, or 1 g, or 0.1 g in a litre.
    strength = next((s for s in (10.0, 1.0) if grams / s * 1000.0 >= 2.0), 0.1)
    return say(
        "{grams} of a solution of {strength:g} g of {name} in a litre",
        grams=amount_text(grams / strength * 1000.0, "mL"),
        strength=strength,
        name=name,
    )


def typed(value: float) -> str:
    """A number as it would be typed into the book: a decimal point, nothing superfluous."""
    return f"{value:.6g}"


def amount_text(value: float, unit: str, *, digits: int = 3) -> str:
    """“10.8 g”, “1.2 kg”: an amount to be measured out."""
    if unit == "g" and value >= 1000.0:
        return f"{plain_text(measurable(value / 1000.0, 'kg', digits=digits))} kg"
    if unit == "mL" and value >= 2000.0:
        return f"{plain_text(measurable(value / 1000.0, 'L', digits=digits))} L"
    return f"{plain_text(measurable(value, unit, digits=digits))} {unit}"


def quantity_text(
    name: str, value: Measure | float, units: Mapping[str, str], *, difference: bool = False
) -> str:
    """A quantity with the digits that its doubt leaves, in the keeper's unit."""
    if isinstance(value, Measure):
        return value_text(_shown(name, value, units, difference=difference))
    shown = _shown(name, Measure(value, 0.0, ""), units, difference=difference)
    digits = 4 if abs(shown.value) >= 1000.0 else 3
    return f"{plain_text(shown.value, digits=digits)} {shown.unit}"


def with_range_text(name: str, value: Measure, units: Mapping[str, str]) -> str:
    """“8.1 dKH (7.9 to 8.3)”; what is known exactly at three digits, or whole."""
    if value.high - value.low <= 1e-6 * abs(value.value):
        return quantity_text(name, value.value, units)
    return measure_and_range_text(_shown(name, value, units))


def band_text(name: str, band: tuple[float, float], units: Mapping[str, str]) -> str:
    """“7.5 to 9 dKH”."""
    low, high = band
    middle = _shown(name, Measure((low + high) / 2, (high - low) / 4, "", low, high), units)
    return f"{range_text(middle)} {middle.unit}"


def _shown(
    name: str, value: Measure, units: Mapping[str, str], *, difference: bool = False
) -> Measure:
    """In the keeper's unit, written as people write it."""
    shown = shown_measure(name, value, units[name], difference=difference)
    return replace(shown, unit=unit_label(shown.unit))


def canonical_units() -> dict[str, str]:
    """Every quantity in its canonical unit, for plans that know no keeper; alkalinity in dKH."""
    return {name: row.unit for name, row in QUANTITIES.items()} | {"alkalinity": "dKH"}


def middle_of(values: object) -> Measure:
    """Draws as a measure: middle, spread, 95 %."""
    array = np.asarray(values, dtype=np.float64)
    low, middle, high = (float(each) for each in np.quantile(array, [0.025, 0.5, 0.975]))
    return Measure(middle, float(array.std()), "", low, high)


def expected_test(
    quantity: str, shown: str, expects: tuple[Expected, ...], *, when: datetime, days: int
) -> Step:
    """The test that shows what came: due from ``when`` for so many days, ``shown`` expected."""
    return Step(
        when=when,
        until=when + timedelta(days=days),
        kind="test",
        what=quantity,
        value="",
        unit="",
        text=say("test {quantity}: about {shown} is expected.", quantity=quantity, shown=shown),
        expects=expects,
    )
