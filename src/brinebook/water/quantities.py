"""Every quantity from and to every unit that it is read in.

Plain factors where they are enough; density, the reference pair of a specific gravity,
conductivity, oxygen saturation and the scales of pH where they aren't. Where a conversion depends
on salinity and temperature that nobody gave, 35 PSU and 25 °C are taken and the result says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.errors import BrinebookError
from brinebook.texts import say
from brinebook.units import (
    QUANTITIES,
    OutOfRange,
    Quantity,
    TemperatureNeeded,
    UnitUnknown,
    find_quantity,
    format_number,
    gravity_reference,
    read_unit,
)
from brinebook.units.spelling import spelling_key
from brinebook.water.atoms import molar_mass


@dataclass(frozen=True, slots=True)
class Conditions:
    """Salinity (PSU) and temperature (°C) at which a conversion is made."""

    salinity: float = 35.0
    temperature: float = 25.0


ASSUMED = Conditions()


@dataclass(frozen=True, slots=True)
class Converted:
    """A value in the canonical unit, and which of ``salinity`` and ``temperature`` were assumed."""

    value: float
    assumed: tuple[str, ...] = ()


#: Alkalinity of 1 meq/L in German degrees of hardness: 1 dKH is 10 mg/L of CaO.
#: Source: din1986, prohaska2022
DKH_PER_MEQ = molar_mass("CaO") / 20
_CACO3_PER_MEQ = molar_mass("CaCO3") / 2
_NITROGEN = molar_mass("N")
_PHOSPHATE_PER_P = molar_mass("PO4") / molar_mass("P")
_SILICA_PER_SI = molar_mass("SiO2") / molar_mass("Si")


def _of_ion(formula: str) -> dict[str, float]:
    return {"mg/L": 1.0, "ppm": 1.0, "mmol/L": molar_mass(formula)}


def _of_trace(formula: str) -> dict[str, float]:
    return {"ug/L": 1.0, "ppb": 1.0, "mg/L": 1e3, "ppm": 1e3, "umol/L": molar_mass(formula)}


def _both(formula: str, factor: float) -> dict[str, float]:
    return {f"mg/L {formula}": factor, f"ppm {formula}": factor}


#: Quantity -> unit -> canonical units in one of it, where a factor is all there is to it.
_FACTORS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "alkalinity": {
            "meq/L": 1.0, "dKH": 1 / DKH_PER_MEQ,
            "mg/L CaCO3": 1 / _CACO3_PER_MEQ, "ppm CaCO3": 1 / _CACO3_PER_MEQ,
        },
        "calcium": _of_ion("Ca"),
        "magnesium": _of_ion("Mg"),
        "potassium": _of_ion("K"),
        "strontium": _of_ion("Sr"),
        "nitrate": {
            "mg/L": 1.0, "ppm": 1.0, **_both("NO3", 1.0),
            **_both("N", molar_mass("NO3") / _NITROGEN), "umol/L": molar_mass("NO3") / 1e3,
        },
        "nitrite": {
            "mg/L": 1.0, **_both("N", 1.0), **_both("NO2", _NITROGEN / molar_mass("NO2")),
            "umol/L": _NITROGEN / 1e3,
        },
        "ammonia": {
            "mg/L": 1.0, **_both("N", 1.0), **_both("NH3", _NITROGEN / molar_mass("NH3")),
            **_both("NH4", _NITROGEN / molar_mass("NH4")), "umol/L": _NITROGEN / 1e3,
        },
        "phosphate": {
            "mg/L": 1.0, "ppm": 1.0, **_both("PO4", 1.0), **_both("P", _PHOSPHATE_PER_P),
            "ug/L P": _PHOSPHATE_PER_P / 1e3, "ppb P": _PHOSPHATE_PER_P / 1e3,
            "ug/L PO4": 1e-3, "ppb PO4": 1e-3, "umol/L": molar_mass("PO4") / 1e3,
        },
        "silicate": {
            "mg/L": 1.0, "ppm": 1.0, **_both("SiO2", 1.0), **_both("Si", _SILICA_PER_SI),
            "umol/L": molar_mass("SiO2") / 1e3,
        },
        "salinity": {"PSU": 1.0, "ppt": 1.0},
        "ph": {"NBS": 1.0},
        "orp": {"mV": 1.0},
        "oxygen": {"mg/L": 1.0, "umol/L": molar_mass("O2") / 1e3},
        "iodine": _of_trace("I"),
        "iron": _of_trace("Fe"),
        "room_humidity": {"%": 1.0},
        # A meter in the room senses the partial pressure: at 1 atm one ppm is one microatmosphere.
        "room_co2": {"ppm": 1.0, "uatm": 1.0},
    }
)  # fmt: skip

_BY_DENSITY = frozenset({"umol/kg", "mg/kg"})
_ZERO_KELVIN = -273.15


def _quantity(quantity: str | Quantity) -> Quantity:
    return quantity if isinstance(quantity, Quantity) else find_quantity(quantity)


def depends_on(quantity: str | Quantity, unit: str) -> tuple[str, ...]:
    """Which of ``salinity`` and ``temperature`` the conversion from or to this unit depends on."""
    row = _quantity(quantity)
    spelled = read_unit(row, unit)
    if spelled in _BY_DENSITY or spelled == "% sat":
        return ("salinity", "temperature")
    if row.name == "ph" and spelled != "NBS":
        return ("salinity", "temperature")
    return ("temperature",) if spelled == "mS/cm" else ()


def to_canonical(
    quantity: str | Quantity,
    value: float,
    unit: str,
    *,
    conditions: Conditions | None = None,
    detail_temperature: float | None = None,
) -> Converted:
    """The value in the quantity's canonical unit; its range is not judged here.

    ``conditions`` are those of the water then; left out, 35 PSU and 25 °C are taken where they
    matter, and named in ``assumed``. ``detail_temperature`` (°C) is the one at which a conductivity
    was read. Raises what ``find_quantity`` and ``read_unit`` raise, and TemperatureNeeded.
    """
    row = _quantity(quantity)
    spelled = read_unit(row, unit)
    factor = _FACTORS.get(row.name, {}).get(spelled)
    if factor is not None:
        return Converted(value * factor)
    if spelled == "mS/cm":
        if detail_temperature is None:
            raise TemperatureNeeded
        from brinebook.water.salinity import salinity_from_conductivity_pss78

        return Converted(float(salinity_from_conductivity_pss78(value, detail_temperature)))
    at = ASSUMED if conditions is None else conditions
    assumed = depends_on(row, spelled) if conditions is None else ()
    return Converted(_by_relation(row, value, spelled, at=at), assumed)


def _by_relation(row: Quantity, value: float, unit: str, *, at: Conditions) -> float:
    if unit in _BY_DENSITY:
        from brinebook.water.salinity import kilograms_per_litre

        per_litre = value * kilograms_per_litre(at.salinity, at.temperature)
        return per_litre / 1e3 if unit == "umol/kg" else per_litre
    if row.name in ("temperature", "room_temperature"):
        return {"C": value, "F": (value - 32) / 1.8, "K": value + _ZERO_KELVIN}[unit]
    if row.name == "ph":
        from brinebook.water.carbonate.scales import convert_ph

        return convert_ph(value, unit, "NBS", salinity=at.salinity, temperature=at.temperature)
    if unit == "% sat":
        from brinebook.water.oxygen import oxygen_saturation

        return value / 100 * oxygen_saturation(at.salinity, at.temperature)
    reference = gravity_reference(unit)
    if reference is None:
        raise UnitUnknown(unit, row.name, row.units)
    from brinebook.water.salinity import salinity_from_specific_gravity

    return salinity_from_specific_gravity(value, reference)


def from_canonical(
    quantity: str | Quantity,
    value: float,
    unit: str,
    *,
    conditions: Conditions | None = None,
    detail_temperature: float | None = None,
) -> float:
    """The canonical value in another unit: the inverse of ``to_canonical``.

    Without ``conditions`` 35 PSU and 25 °C are taken where they matter (``depends_on`` tells). A
    conductivity is at ``detail_temperature``, else at that of the conditions.
    """
    row = _quantity(quantity)
    spelled = read_unit(row, unit)
    factor = _FACTORS.get(row.name, {}).get(spelled)
    if factor is not None:
        return value / factor
    at = ASSUMED if conditions is None else conditions
    if spelled == "mS/cm":
        from brinebook.water.salinity import conductivity_pss78

        celsius = at.temperature if detail_temperature is None else detail_temperature
        return float(conductivity_pss78(value, celsius))
    if spelled in _BY_DENSITY or spelled == "% sat":
        return value / _by_relation(row, 1.0, spelled, at=at)
    if row.name in ("temperature", "room_temperature"):
        return {"C": value, "F": value * 1.8 + 32, "K": value - _ZERO_KELVIN}[spelled]
    if row.name == "ph":
        from brinebook.water.carbonate.scales import convert_ph

        return convert_ph(value, "NBS", spelled, salinity=at.salinity, temperature=at.temperature)
    reference = gravity_reference(spelled)
    if reference is None:
        raise UnitUnknown(unit, row.name, row.units)
    from brinebook.water.salinity import specific_gravity

    return specific_gravity(value, reference)


def substance_amount(quantity: str | Quantity, value: float, unit: str) -> float:
    """An amount of a dissolved quantity, in canonical units times litre (meq, mg or ug).

    ``substance_amount("alkalinity", 0.95, "meq")`` is 0.95; ``"mg P"`` counts as phosphate. Any
    unit that with ``/L`` is read for the quantity will do, and ``g`` besides.
    """
    row = _quantity(quantity)
    key = spelling_key(unit)
    for known in row.units:
        mass, slash, rest = known.partition("/L")
        if not slash:
            continue
        if spelling_key(mass + rest) == key:
            return value * _FACTORS[row.name][known]
        if mass == "mg" and spelling_key(f"g{rest}") == key:
            return 1000 * value * _FACTORS[row.name][known]
    about = say("an amount of {row}", row=row.name)
    amounts = tuple(known.replace("/L", "") for known in row.units if "/L" in known)
    raise UnitUnknown(unit, about, amounts or (say("nothing: it has no mass of its own"),))


def check_range(
    quantity: str | Quantity,
    value: float,
    *,
    of_system: bool = True,
    typed: float | None = None,
    typed_unit: str = "",
) -> None:
    """Raise OutOfRange where a canonical value can't be, with the slip that likely made it.

    ``typed`` and ``typed_unit`` are the reading as it was typed. With ``of_system=False`` (a mix,
    an effluent, a reference) concentrations go to ten times the range and pH from 0 to 14.
    """
    row = _quantity(quantity)
    low, high = row.range_for(of_system=of_system)
    if low <= value <= high:
        return
    number, unit = (value, row.unit) if typed is None else (typed, typed_unit)
    low, high, shown = _limits_as_typed(row, low, high, unit)
    raise OutOfRange(
        row.title[:1].upper() + row.title[1:],
        typed=f"{format_number(number)} {unit}".strip(),
        low=low,
        high=high,
        unit=shown,
        slip=likely_slip(row, number, unit),
    )


def _limits_as_typed(row: Quantity, low: float, high: float, unit: str) -> tuple[float, float, str]:
    """The limits in the unit that was typed, to three digits (a gravity to four); in the canonical
    one where that unit doesn't reach them."""
    try:
        ends = [from_canonical(row, end, unit, detail_temperature=25.0) for end in (low, high)]
        digits = 3 if gravity_reference(unit) is None else 4
        first, last = (float(f"{end:.{digits}g}") for end in sorted(ends))
    except (BrinebookError, ArithmeticError, ValueError):
        return low, high, row.unit
    return (first, last, unit) if math.isfinite(first + last) else (low, high, row.unit)


def likely_slip(quantity: str | Quantity, value: float, unit: str) -> str:
    """The one slip that would make an impossible reading usual, as a question; "" if none would.

    Tried in order: another unit of the same quantity, a lost decimal point, a sign.
    """
    row = _quantity(quantity)
    spelled = read_unit(row, unit)
    for other in row.units:
        if other != spelled and _usual(row, value, other):
            return say(
                "Did you mean {format_number} {other}?",
                format_number=format_number(value),
                other=other,
            )
    for divisor in (10, 100, 1000):
        if _usual(row, value / divisor, spelled):
            return say(
                "Did you mean {divisor} {spelled}?",
                divisor=format_number(value / divisor),
                spelled=spelled,
            )
    if value < 0 and _usual(row, -value, spelled):
        return say(
            "Did you mean {format_number} {spelled}?",
            format_number=format_number(-value),
            spelled=spelled,
        )
    return ""


def _usual(row: Quantity, value: float, unit: str) -> bool:
    low, high = row.usual
    return low <= to_canonical(row, value, unit, detail_temperature=25.0).value <= high


def canonical_unit(quantity: str) -> str:
    """The canonical unit of a quantity by its name."""
    return QUANTITIES[quantity].unit
