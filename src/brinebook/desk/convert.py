"""One amount in another unit: anything in the table of units, and plain amounts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.texts import say
from brinebook.units import (
    DIMENSIONS,
    QUANTITIES,
    DimensionMismatch,
    NumberUnreadable,
    OutOfRange,
    Quantity,
    QuantityNeeded,
    UnitAmbiguous,
    UnitMissing,
    UnitUnknown,
    amount_unit,
    convert_amount,
    dimension_of,
    find_quantity,
    format_number,
    read_unit,
)
from brinebook.water.quantities import (
    Conditions,
    check_range,
    depends_on,
    from_canonical,
    to_canonical,
)

_ASSUMED = Conditions()
_MAY_BE_NEGATIVE = "temperature difference"
#: Two quantities give the same answer if they agree to this.
_SAME = 1e-12


@dataclass(frozen=True, slots=True)
class Conversion:
    """The amount as typed and in the wanted unit, and the salinity and temperature assumed."""

    typed: float
    typed_unit: str
    value: float
    unit: str
    assumed: Mapping[str, float]


def convert(
    text: str,
    to_unit: str,
    *,
    quantity: str | None = None,
    salinity: str | None = None,
    temperature: str | None = None,
) -> Conversion:
    """``convert("8 dKH", "meq/L")``: one amount in another unit.

    Where the result depends on it, the quantity has to be named; salinity and temperature are 35
    PSU and 25 °C unless said, and then named in ``assumed``. What can't be (a negative content, a
    pH of 20) is refused; concentrations may go to ten times a system's range. Raises
    QuantityNeeded, DimensionMismatch, OutOfRange and what the readers of numbers and units raise.
    """
    value, unit = number_and_unit(text)
    if not math.isfinite(value):
        raise NumberUnreadable(text, say("it is not a finite number"))
    given = _given(salinity, temperature)
    if quantity is not None:
        return _of_quantity(find_quantity(quantity), value, unit, to_unit, given=given)
    if dimension_of(unit) is not None and dimension_of(to_unit) is not None:
        return _of_amount(value, unit, to_unit)
    return _of_any(value, unit, to_unit, given=given)


def _given(salinity: str | None, temperature: str | None) -> dict[str, float]:
    given: dict[str, float] = {}
    if temperature is not None:
        given["temperature"] = read_quantity("temperature", temperature)
    if salinity is not None:
        given["salinity"] = read_quantity(
            "salinity", salinity, temperature=given.get("temperature")
        )
    return given


def _of_amount(value: float, unit: str, to_unit: str) -> Conversion:
    dimension, spelled = amount_unit(unit)
    _, to_spelled = amount_unit(to_unit)
    converted = convert_amount(value, unit, to_unit)
    if value < 0 and dimension != _MAY_BE_NEGATIVE:
        raise OutOfRange(
            dimension[:1].upper() + dimension[1:],
            typed=f"{format_number(value)} {spelled}",
            low=0.0,
            high=math.inf,
            unit=next(iter(DIMENSIONS[dimension])),
        )
    return Conversion(value, spelled, converted, to_spelled, MappingProxyType({}))


def _of_quantity(
    row: Quantity, value: float, unit: str, to_unit: str, *, given: Mapping[str, float]
) -> Conversion:
    spelled, to_spelled = read_unit(row, unit), _wanted(row, to_unit)
    conditions = Conditions(**{**_as_kwargs(_ASSUMED), **given})
    canonical = to_canonical(
        row,
        value,
        spelled,
        conditions=conditions,
        detail_temperature=conditions.temperature,
    ).value
    check_range(row, canonical, of_system=False, typed=value, typed_unit=spelled)
    if spelled == to_spelled:
        return Conversion(value, spelled, value, to_spelled, MappingProxyType({}))
    converted = from_canonical(row, canonical, to_spelled, conditions=conditions)
    matters = {*depends_on(row, spelled), *depends_on(row, to_spelled)} - set(given)
    assumed = {name: number for name, number in _as_kwargs(_ASSUMED).items() if name in matters}
    return Conversion(value, spelled, converted, to_spelled, MappingProxyType(assumed))


def _wanted(row: Quantity, to_unit: str) -> str:
    if not to_unit.strip():
        raise UnitMissing(say("The result"), row.units)
    return read_unit(row, to_unit)


def _as_kwargs(conditions: Conditions) -> dict[str, float]:
    return {"salinity": conditions.salinity, "temperature": conditions.temperature}


def _of_any(value: float, unit: str, to_unit: str, *, given: Mapping[str, float]) -> Conversion:
    rows = [row for row in QUANTITIES.values() if _reads(row, unit) and _reads(row, to_unit)]
    if not rows:
        raise _why_none(unit, to_unit)
    if _refused_somewhere(unit, to_unit):
        raise QuantityNeeded(unit, to_unit, [row.name for row in rows])
    answers, refusal = [], None
    for row in rows:
        try:
            answers.append(_of_quantity(row, value, unit, to_unit, given=given))
        except OutOfRange as problem:
            refusal = refusal or problem
    if not answers:
        raise refusal or _why_none(unit, to_unit)
    first = answers[0]
    if any(not math.isclose(first.value, one.value, rel_tol=_SAME) for one in answers[1:]):
        raise QuantityNeeded(unit, to_unit, [row.name for row in rows])
    return first


def _reads(row: Quantity, unit: str) -> bool:
    try:
        read_unit(row, unit)
    except (UnitMissing, UnitAmbiguous, UnitUnknown):
        return False
    return True


def _refused_somewhere(unit: str, to_unit: str) -> bool:
    """Whether some quantity reads one of the two units and refuses the other on purpose."""
    return any(
        (_refuses(row, unit) and _reads(row, to_unit))
        or (_refuses(row, to_unit) and _reads(row, unit))
        for row in QUANTITIES.values()
    )


def _refuses(row: Quantity, unit: str) -> bool:
    try:
        read_unit(row, unit)
    except UnitAmbiguous:
        return True
    except (UnitMissing, UnitUnknown):
        return False
    return False


def _why_none(unit: str, to_unit: str) -> Exception:
    """The most telling reason why no quantity is read in both units."""
    for one, other in ((unit, to_unit), (to_unit, unit)):
        for row in QUANTITIES.values():
            if not _reads(row, other):
                continue
            try:
                read_unit(row, one)
            except (UnitMissing, UnitAmbiguous) as problem:
                return problem
            except UnitUnknown:
                continue
    for one in (unit, to_unit):
        if not one.strip():
            return UnitMissing(say("The amount"), ("dKH", "mg/L", "SG", "L", "…"))
        if dimension_of(one) is None and not any(_reads(row, one) for row in QUANTITIES.values()):
            return UnitUnknown(
                one.strip(), say("anything here"), ("dKH", "meq/L", "mg/L", "SG", "L")
            )
    return DimensionMismatch(unit, to_unit)
