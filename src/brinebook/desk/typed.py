"""Amounts of quantities as typed on a command line: read, converted, and held to what can be."""

from __future__ import annotations

from brinebook.units import (
    QUANTITIES,
    Quantity,
    gravity_reference,
    parse_number,
    read_unit,
    split_amount,
)
from brinebook.water.quantities import Conditions, check_range, to_canonical

#: Between these a bare salinity looks like a specific gravity, whose reference nobody gave.
_LIKE_GRAVITY = (0.9, 1.2)
#: What a bare number means in an option that is named after the quantity.
_BARE = {"salinity": "PSU", "temperature": "C"}


def number_and_unit(text: str) -> tuple[float, str]:
    """``"8,2 dKH"`` as ``(8.2, "dKH")``: people may type a decimal comma.

    Raises NumberUnreadable.
    """
    number, unit = split_amount(text)
    gravity = gravity_reference(unit) is not None
    return parse_number(number, decimal_comma=True, grouped_impossible=gravity), unit


def read_quantity(
    name: str,
    text: str,
    *,
    conditions: Conditions | None = None,
    temperature: float | None = None,
    of_system: bool = True,
) -> float:
    """A typed amount of a quantity in its canonical unit, refused outside its physical range.

    A bare number is read for salinity (PSU), temperature (°C) and pH (NBS), where the option's own
    name says the rest; a salinity that looks like a specific gravity needs its unit all the same.
    ``temperature`` (°C) is the one at which a conductivity was read. Raises what the readers of
    numbers and units raise, and OutOfRange.
    """
    row = QUANTITIES[name]
    value, unit = number_and_unit(text)
    if not unit:
        unit = _bare_unit(row, value)
    converted = to_canonical(
        row, value, unit, conditions=conditions, detail_temperature=temperature
    ).value
    check_range(row, converted, of_system=of_system, typed=value, typed_unit=read_unit(row, unit))
    return converted


def _bare_unit(row: Quantity, value: float) -> str:
    low, high = _LIKE_GRAVITY
    if row.name in _BARE and not (row.name == "salinity" and low <= value <= high):
        return _BARE[row.name]
    return read_unit(row, "")
