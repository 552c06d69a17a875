"""The parts of system.toml, each from its TOML value to its canonical form, faults noted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from brinebook import units
from brinebook.book.description_notes import Notes, shown_value
from brinebook.errors import BrinebookError
from brinebook.measure import Measure
from brinebook.system import Additive, Method, Mix, Reference
from brinebook.texts import say
from brinebook.units import QUANTITIES, Quantity
from brinebook.water.quantities import (
    Conditions,
    check_range,
    from_canonical,
    substance_amount,
    to_canonical,
)
from brinebook.water.salts import find_salt

#: A tape measure and a guess at rock and sand: common practice, no source.
VOLUME_GUESS = 0.10
#: The label's reading of a standard solution: common practice, no source.
REFERENCE_GUESS = 0.02
_MOST_LITRES = 1e9


def zone_name(notes: Notes, value: object) -> str:
    """The system's time zone by its name in the IANA data base."""
    name = notes.text("timezone", value, default="")
    if value is None:
        notes.assumed.append(say("No timezone is given: clock times are read as UTC."))
        return "UTC"
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        if name:
            notes.wrong("timezone", say("{name!r} is not a zone such as Europe/Lisbon", name=name))
        return "UTC"
    return name


def chosen(notes: Notes, found: Mapping[str, Any], key: str, choices: Sequence[str]) -> str:
    """A setting that is one of a few; left out, the usual one."""
    usual = "en" if key == "language" else choices[0]
    text = notes.text(key, found.get(key), default=usual)
    if text in choices:
        return text
    if text:
        known = ", ".join(f'"{one}"' for one in choices)
        notes.wrong(key, say("{text!r} is none of {known}", text=text, known=known))
    return usual


def net_volume(notes: Notes, value: object, *, of_vessels: Measure | None = None) -> Measure | None:
    """The belief about the net volume, in L: a text, or a table of value and sd; left out, what
    the vessels hold.
    """
    if value is None and of_vessels is not None:
        notes.assumed.append(
            say(
                "No net volume is given: by the vessels it is about {of_vessels:.0f} "
                "L, right within {of_vessels_sd:.0f} L (one standard deviation).",
                of_vessels=of_vessels.value,
                of_vessels_sd=of_vessels.sd,
            )
        )
        return of_vessels
    if value is None:
        notes.assumed.append(
            say("No net volume is given; it is worked out from what the tests say.")
        )
        return None
    parts = value if isinstance(value, Mapping) else {"value": value}
    litres = _litres(notes, "net_volume.value", parts.get("value"))
    spread = None
    if parts.get("sd") is not None:
        spread = _litres(notes, "net_volume.sd", parts["sd"])
    if litres is None:
        return None
    if spread is None:
        spread = VOLUME_GUESS * litres
        notes.assumed.append(
            say(
                "The net volume of {litres:g} L is taken to be right within "
                "{spread:g} L (one standard deviation): no sd is given.",
                litres=litres,
                spread=spread,
            )
        )
    return Measure(litres, spread, "L")


def _litres(notes: Notes, where: str, value: object) -> float | None:
    if not isinstance(value, str):
        notes.wrong(
            where,
            say(
                '{shown_value} is not a volume with its unit, such as "310 L"',
                shown_value=shown_value(value),
            ),
        )
        return None
    try:
        amount = units.parse_amount(value, dimension="volume")
        litres = units.convert_amount(amount.value, amount.unit, "L")
    except BrinebookError as error:
        notes.refused(where, error)
        return None
    if not 0 < litres <= _MOST_LITRES:
        notes.wrong(
            where,
            say(
                "{shown_value} is not a volume above 0 and up to {most_litres:g} L",
                shown_value=shown_value(value),
                most_litres=_MOST_LITRES,
            ),
        )
        return None
    return litres


def unit_shown(notes: Notes, where: str, quantity: Quantity, value: object) -> str | None:
    """The unit in which a quantity is shown to people."""
    text = notes.text(where, value)
    try:
        return units.read_unit(quantity, text) if text else None
    except BrinebookError as error:
        notes.refused(where, error)
        return None


def target(notes: Notes, where: str, quantity: Quantity, value: object) -> float | None:
    """A level of a quantity, in its canonical unit."""
    return level(notes, where, quantity, value)


def band(notes: Notes, where: str, quantity: Quantity, value: object) -> tuple[float, float] | None:
    """The keeper's own low and high, in the canonical unit."""
    if not isinstance(value, list) or len(value) != 2:
        notes.wrong(
            where,
            say(
                "{shown_value} is not a low and a high, as in [low, high]",
                shown_value=shown_value(value),
            ),
        )
        return None
    low = level(notes, f"{where}[0]", quantity, value[0])
    high = level(notes, f"{where}[1]", quantity, value[1])
    if low is None or high is None:
        return None
    if low >= high:
        notes.wrong(
            where,
            say("the low of {shown_value} is not below its high", shown_value=shown_value(value)),
        )
        return None
    return low, high


def limit(notes: Notes, where: str, quantity: Quantity, value: object) -> float | None:
    """How far a quantity may go in a day, in the canonical unit."""
    return difference(notes, where, quantity, value)


def level(
    notes: Notes,
    where: str,
    quantity: Quantity,
    value: object,
    *,
    conditions: Conditions | None = None,
    of_system: bool = True,
) -> float | None:
    """A value with its unit, as text, in the canonical unit."""
    text = _with_unit(notes, where, quantity, value)
    if text is None:
        return None
    try:
        number, unit = units.split_amount(text)
        typed = units.parse_number(number)
        converted = to_canonical(quantity, typed, unit, conditions=conditions).value
        check_range(quantity, converted, of_system=of_system, typed=typed, typed_unit=unit)
    except BrinebookError as error:
        notes.refused(where, error)
        return None
    return converted


def difference(notes: Notes, where: str, quantity: Quantity, value: object) -> float | None:
    """A difference (a limit, a standard deviation, a step) in the canonical unit; above zero.

    Where a unit doesn't go straight over (°F, SG) it counts at the quantity's usual middle.
    """
    text = _with_unit(notes, where, quantity, value)
    if text is None:
        return None
    try:
        number, unit = units.split_amount(text)
        typed = units.parse_number(number)
        found = _difference(quantity, typed, unit)
    except BrinebookError as error:
        notes.refused(where, error)
        return None
    if not 0 < found <= quantity.high - quantity.low:
        notes.wrong(
            where,
            say("{shown_value} is not a difference above zero", shown_value=shown_value(value)),
        )
        return None
    return found


def _difference(quantity: Quantity, typed: float, unit: str) -> float:
    if "temperature" in quantity.name and units.dimension_of(unit) == "temperature difference":
        return units.convert_amount(typed, unit, "dC")
    middle = sum(quantity.usual) / 2
    start = from_canonical(quantity, middle, unit, detail_temperature=25.0)
    return (
        to_canonical(quantity, start + typed, unit, detail_temperature=25.0).value
        - to_canonical(quantity, start, unit, detail_temperature=25.0).value
    )


def additive(notes: Notes, where: str, found: Mapping[str, Any]) -> Additive:
    """One bottle or jar: by a salt's recipe, or by what a millilitre brings."""
    name = notes.text(f"{where}.name", found.get("name"), needed=True)
    recipe = found.get("recipe")
    if recipe is not None and not isinstance(recipe, Mapping):
        notes.wrong(
            f"{where}.recipe",
            say("{shown_value} is not a table in braces", shown_value=shown_value(recipe)),
        )
        recipe = None
    parts = recipe or {}
    salt, grams = _recipe(notes, f"{where}.recipe", parts)
    stated = parts.get("per_ml", found.get("per_ml"))
    per_ml = _per_ml(notes, f"{where}.per_ml", stated)
    if salt is None and stated is None and recipe is None:
        notes.assumed.append(
            say(
                "Of {name} no recipe is given: what a dose of it brings is not counted.",
                name=name or where,
            )
        )
    return Additive(
        name,
        salt,
        grams,
        per_ml,
        notes.fraction(f"{where}.strength_sd", found.get("strength_sd"), 0.03),
        notes.fraction(f"{where}.pump_sd", found.get("pump_sd"), 0.05),
        _container(notes, f"{where}.container", found.get("container")),
    )


def _container(notes: Notes, where: str, value: object) -> float | None:
    """What a bottle holds when full, in mL."""
    litres = None if value is None else _litres(notes, where, value)
    return None if litres is None else 1000.0 * litres


def _recipe(notes: Notes, where: str, parts: Mapping[str, Any]) -> tuple[str | None, float | None]:
    if "salt" not in parts and "grams_per_litre" not in parts:
        return None, None
    formula = notes.text(f"{where}.salt", parts.get("salt"), needed=True)
    salt = None
    try:
        salt = find_salt(formula).formula if formula else None
    except BrinebookError as error:
        notes.refused(f"{where}.salt", error)
    grams = None
    if parts.get("grams_per_litre") is None:
        notes.wrong(f"{where}.grams_per_litre", say("it is missing"))
    else:
        grams = notes.number(f"{where}.grams_per_litre", parts["grams_per_litre"], 0, 2000)
    return salt, grams


def _per_ml(notes: Notes, where: str, value: object) -> Mapping[str, float]:
    def read(notes: Notes, where: str, quantity: Quantity, one: object) -> float | None:
        if not isinstance(one, str):
            notes.wrong(
                where,
                say(
                    '{shown_value} is not an amount with its unit, such as "0.95 meq"',
                    shown_value=shown_value(one),
                ),
            )
            return None
        try:
            number, unit = units.split_amount(one)
            return substance_amount(quantity, units.parse_number(number), unit)
        except BrinebookError as error:
            notes.refused(where, error)
            return None

    return notes.table(where, value, read)


def mix(notes: Notes, where: str, found: Mapping[str, Any]) -> Mix:
    """A salt mix: its label's composition at a salinity."""
    name = notes.text(f"{where}.name", found.get("name"), needed=True)
    salinity = 35.0
    if found.get("at_salinity") is not None:
        salinity = _salinity(notes, f"{where}.at_salinity", found["at_salinity"]) or 35.0
    conditions = Conditions(salinity=salinity)
    composition: dict[str, float] = {}
    for key, value in found.items():
        if key in QUANTITIES and key != "salinity":
            amount = level(notes, f"{where}.{key}", QUANTITIES[key], value, conditions=conditions)
            if amount is not None:
                composition[key] = amount
    return Mix(name, salinity, composition, notes.fraction(f"{where}.sd", found.get("sd"), 0.04))


def _salinity(notes: Notes, where: str, value: object) -> float | None:
    if isinstance(value, str):
        return level(notes, where, QUANTITIES["salinity"], value)
    return notes.number(where, value, 1, 60)


def reference(notes: Notes, where: str, found: Mapping[str, Any]) -> Reference:
    """A solution of known composition."""
    name = notes.text(f"{where}.name", found.get("name"), needed=True)
    composition: dict[str, Measure] = {}
    for key, value in found.items():
        if key not in QUANTITIES:
            continue
        measured = _known_value(notes, f"{where}.{key}", QUANTITIES[key], value)
        if measured is not None:
            composition[key] = measured
    return Reference(name, composition)


def _known_value(notes: Notes, where: str, quantity: Quantity, value: object) -> Measure | None:
    parts = value if isinstance(value, Mapping) else {"value": value}
    amount = level(notes, f"{where}.value", quantity, parts.get("value"), of_system=False)
    spread = None
    if parts.get("sd") is not None:
        spread = difference(notes, f"{where}.sd", quantity, parts["sd"])
    if amount is None:
        return None
    if spread is None:
        spread = REFERENCE_GUESS * abs(amount)
        notes.assumed.append(
            say(
                "{where} is taken to be right within {reference_guess:.0%} (one "
                "standard deviation): no sd is given.",
                where=where,
                reference_guess=REFERENCE_GUESS,
            )
        )
    return Measure(amount, spread, quantity.unit)


def method(notes: Notes, where: str, found: Mapping[str, Any]) -> Method:
    """How far a test can be trusted, in the canonical unit of its quantity."""
    name = notes.text(f"{where}.name", found.get("name"), needed=True)
    if found.get("quantity") is None:
        notes.wrong(f"{where}.quantity", say("it is missing"))
        return Method(name, "")
    quantity = notes.quantity(f"{where}.quantity", found["quantity"])
    if quantity is None:
        return Method(name, "")
    spread, fraction = None, None
    stated = found.get("repeatability")
    if isinstance(stated, str) and stated.strip().endswith("%") and quantity.unit != "%":
        fraction = notes.fraction(f"{where}.repeatability", stated, 0.0) or None
    elif stated is not None:
        spread = difference(notes, f"{where}.repeatability", quantity, stated)

    def maybe(key: str) -> float | None:
        value = found.get(key)
        return None if value is None else difference(notes, f"{where}.{key}", quantity, value)

    return Method(name, quantity.name, maybe("resolution"), spread, fraction, maybe("trueness"))


def _with_unit(notes: Notes, where: str, quantity: Quantity, value: object) -> str | None:
    """The value as text; a bare number only where the unit may be left out (pH)."""
    if isinstance(value, str):
        return value
    if quantity.unit_optional and isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)
    example = f"{quantity.usual[0]:g} {quantity.unit}"
    notes.wrong(
        where,
        say(
            '{shown_value} is not a value with its unit, as text, such as "{example}"',
            shown_value=shown_value(value),
            example=example,
        ),
    )
    return None
