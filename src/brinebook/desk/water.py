"""The state of a sample of water from what is known of it, without a book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.desk.typed import number_and_unit, read_quantity
from brinebook.texts import say
from brinebook.units import OutOfRange, UnitMissing, UnitUnknown, format_number
from brinebook.units.spelling import spelling_key
from brinebook.water import ammonia, oxygen
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.problems import PairNeeded
from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.quantities import Conditions
from brinebook.water.salinity import density

_ASSUMED = Conditions()
_DIC_HIGHEST = 150_000.0  # umol/kg: ten times the most alkalinity that a system is taken to have
_PCO2_HIGHEST = 1e6  # uatm: pure CO2 at 1 atm


@dataclass(frozen=True, slots=True)
class Known:
    """What was said of the sample, as typed; exactly two of the first four are needed."""

    alkalinity: str | None = None
    ph: str | None = None
    dic: str | None = None
    pco2: str | None = None
    salinity: str | None = None
    temperature: str | None = None
    calcium: str | None = None
    phosphate: str | None = None
    silicate: str | None = None
    ammonia: str | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the answer with its unit ("" where it has none)."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class WaterState:
    """The answer: figures by name in the contract's order, remarks, and what was assumed."""

    figures: Mapping[str, Figure]
    notes: tuple[str, ...]
    assumed: Mapping[str, float]
    conditions: Conditions


def water_state(known: Known) -> WaterState:
    """Everything that follows from what is known of a sample.

    Salinity and temperature that weren't said are 35 PSU and 25 °C, and are named in ``assumed``.
    Raises PairNeeded unless exactly two of alkalinity, pH, DIC and pCO2 are given, what the readers
    of numbers and units raise, OutOfRange, and InputsImpossible.
    """
    given = [
        name for name in ("alkalinity", "ph", "dic", "pco2") if getattr(known, name) is not None
    ]
    if len(given) != 2:
        raise PairNeeded([_SAID[name] for name in given])
    conditions, assumed = _conditions(known)
    kilograms = density(conditions.salinity, conditions.temperature) / 1000.0
    state = solve(_sample(known, conditions, kilograms))
    figures = _figures(state, conditions, kilograms)
    notes = [*state.notes, *_range_notes(conditions)]
    if known.ammonia is not None:
        total = read_quantity("ammonia", known.ammonia, conditions=conditions)
        fraction = ammonia.unionised_fraction(
            state.ph_total, conditions.salinity, conditions.temperature
        )
        figures["ammonia_unionised"] = Figure(total * fraction, "mg/L")
        figures["ammonia_unionised_fraction"] = Figure(fraction, "")
        notes += ammonia.range_notes(conditions.salinity, conditions.temperature)
    return WaterState(
        MappingProxyType(figures), tuple(notes), MappingProxyType(assumed), conditions
    )


def _conditions(known: Known) -> tuple[Conditions, dict[str, float]]:
    said = None if known.temperature is None else read_quantity("temperature", known.temperature)
    assumed: dict[str, float] = {}
    if known.salinity is None:
        salinity = assumed["salinity"] = _ASSUMED.salinity
    else:
        salinity = read_quantity("salinity", known.salinity, temperature=said)
    if said is None:
        said = assumed["temperature"] = _ASSUMED.temperature
    return Conditions(salinity, said), assumed


def _sample(known: Known, conditions: Conditions, kilograms: float) -> Sample[float]:
    def per_kilogram(name: str, micromoles: float) -> float | None:
        text = getattr(known, name)
        if text is None:
            return None
        return read_quantity(name, text, conditions=conditions) * micromoles / kilograms

    ph = None if known.ph is None else read_quantity("ph", known.ph, conditions=conditions)
    return Sample(
        alkalinity=per_kilogram("alkalinity", 1e3),
        dic=None if known.dic is None else _dic(known.dic, kilograms),
        ph=ph,
        pco2=None if known.pco2 is None else _pco2(known.pco2),
        scale=None if ph is None else "NBS",
        salinity=conditions.salinity,
        temperature=conditions.temperature,
        calcium=per_kilogram("calcium", 1e3 / molar_mass("Ca")),
        phosphate=per_kilogram("phosphate", 1e3 / molar_mass("PO4")),
        silicate=per_kilogram("silicate", 1e3 / molar_mass("SiO2")),
    )


def _dic(text: str, kilograms: float) -> float:
    factors = {"umol/kg": 1.0, "mmol/kg": 1e3, "umol/L": 1 / kilograms, "mmol/L": 1e3 / kilograms}
    value, unit = _plain(text, factors, about="DIC")
    return _within("DIC", value * factors[unit], (value, unit), _DIC_HIGHEST, "umol/kg")


def _pco2(text: str) -> float:
    # A meter in a room senses the partial pressure: at 1 atm one ppm is one microatmosphere.
    factors = {"uatm": 1.0, "ppm": 1.0, "Pa": 1e6 / 101_325}
    value, unit = _plain(text, factors, about="pCO2")
    return _within("pCO2", value * factors[unit], (value, unit), _PCO2_HIGHEST, "uatm")


def _plain(text: str, factors: Mapping[str, float], *, about: str) -> tuple[float, str]:
    value, unit = number_and_unit(text)
    if not unit:
        raise UnitMissing(about, tuple(factors))
    for known in factors:
        if spelling_key(known) == spelling_key(unit):
            return value, known
    raise UnitUnknown(unit, about, tuple(factors))


def _within(about: str, value: float, typed: tuple[float, str], highest: float, unit: str) -> float:
    if 0 < value <= highest:
        return value
    raise OutOfRange(
        about, typed=f"{format_number(typed[0])} {typed[1]}", low=0, high=highest, unit=unit
    )


def _figures(
    state: CarbonateState[float], conditions: Conditions, kilograms: float
) -> dict[str, Figure]:
    saturated = oxygen.oxygen_saturation(conditions.salinity, conditions.temperature)
    return {
        "alkalinity": Figure(state.alkalinity, "umol/kg"),
        "dic": Figure(state.dic, "umol/kg"),
        "ph_total": Figure(state.ph_total, "total"),
        "ph_nbs": Figure(state.ph_nbs, "NBS"),
        "pco2": Figure(state.pco2, "uatm"),
        "bicarbonate": Figure(state.bicarbonate, "umol/kg"),
        "carbonate": Figure(state.carbonate, "umol/kg"),
        "omega_aragonite": Figure(state.omega_aragonite, ""),
        "omega_calcite": Figure(state.omega_calcite, ""),
        "density": Figure(1000.0 * kilograms, "kg/m3"),
        "oxygen_saturation": Figure(saturated, "mg/L"),
    }


def _range_notes(conditions: Conditions) -> tuple[str, ...]:
    if conditions.salinity <= 42:
        return ()
    return (
        say(
            "Salinity {salinity:g} is above 42 PSU, where density and oxygen were "
            "measured (TEOS-10; Garcia & Gordon 1992).",
            salinity=conditions.salinity,
        ),
    )


_SAID = {"alkalinity": "alkalinity", "ph": "pH", "dic": "DIC", "pco2": "pCO2"}
