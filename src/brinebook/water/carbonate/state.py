"""The whole carbonate system of one sample from two of its numbers: fast, on plain floats."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar, cast

from brinebook.water.carbonate.constants import Boron, Constants, constants_at
from brinebook.water.carbonate.equilibrium import (
    LN10,
    PH_HIGHEST,
    PH_LOWEST,
    Knowns,
    Pair,
    hydrogen_from_dic_and_co2,
    other_alkalinity,
    root_of_residual,
)
from brinebook.water.carbonate.problems import InputNotPositive, InputsImpossible, PairNeeded
from brinebook.water.carbonate.scales import ScaleUnknown, offset_from_total

T = TypeVar("T")

MICRO = 1e6

_USUAL_SALINITY: Any = 35.0
_USUAL_TEMPERATURE: Any = 25.0


@dataclass(frozen=True, slots=True)
class CarbonateState(Generic[T]):
    """Everything that follows; concentrations in umol/kg, ``pco2`` in uatm.

    ``notes`` say which range of validity was left.
    """

    alkalinity: T
    dic: T
    ph_total: T
    ph_nbs: T
    ph_sws: T
    ph_free: T
    pco2: T
    co2: T
    bicarbonate: T
    carbonate: T
    omega_aragonite: T
    omega_calcite: T
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sample(Generic[T]):
    """What is known: exactly two of the four, and the water around them.

    ``alkalinity``, ``dic``, ``phosphate``, ``silicate`` and ``calcium`` in umol/kg, ``pco2`` in
    uatm, ``ph`` on the scale named by ``scale`` (NBS, total, sws or free), ``salinity`` in PSU,
    ``temperature`` in °C. Without ``calcium`` that of natural seawater is taken.
    """

    alkalinity: T | None = None
    dic: T | None = None
    ph: T | None = None
    pco2: T | None = None
    scale: str | None = None
    salinity: T = _USUAL_SALINITY
    temperature: T = _USUAL_TEMPERATURE
    calcium: T | None = None
    phosphate: T | None = None
    silicate: T | None = None
    boron: Boron = "uppstrom1974"

    @property
    def pair(self) -> Pair:
        """Which pair is known; raises PairNeeded or ScaleUnknown."""
        given = [n for n in ("alkalinity", "dic", "ph", "pco2") if getattr(self, n) is not None]
        if len(given) != 2:
            raise PairNeeded(given)
        if self.ph is not None and self.scale is None:
            raise ScaleUnknown(None)
        return cast("Pair", "+".join(given))


def knowns_of(sample: Sample[Any], constants: Constants, m: Any = math) -> Knowns:
    """The two knowns in mol/kg in the order of the pair's name."""
    values = []
    if sample.alkalinity is not None:
        values.append(sample.alkalinity / MICRO)
    if sample.dic is not None:
        values.append(sample.dic / MICRO)
    if sample.ph is not None:
        ph_total = sample.ph - offset_from_total(sample.scale or "", constants, m)
        values.append(m.exp(-ph_total * LN10))
    if sample.pco2 is not None:
        values.append(sample.pco2 / MICRO * constants.k0 * constants.fugacity_factor)
    phosphate = None if sample.phosphate is None else sample.phosphate / MICRO
    silicate = None if sample.silicate is None else sample.silicate / MICRO
    return Knowns(values[0], values[1], phosphate, silicate)


def all_that_follows(
    pair: Pair, h: Any, constants: Constants, knowns: Knowns, *, calcium: Any, m: Any = math
) -> CarbonateState[Any]:
    """The state at a hydrogen that satisfies the pair; ``calcium`` in mol/kg."""
    c = constants
    total = h * h + c.k1 * h + c.k1 * c.k2
    other, _ = other_alkalinity(h, c, knowns)
    if pair == "alkalinity+ph":
        dic = (knowns.first - other) * total / (c.k1 * (h + 2 * c.k2))
    elif pair == "alkalinity+dic":
        dic = knowns.second
    elif pair in ("dic+ph", "dic+pco2"):
        dic = knowns.first
    else:
        dic = knowns.second * total / (h * h)
    co2, bicarbonate = dic * h * h / total, dic * c.k1 * h / total
    carbonate = dic * c.k1 * c.k2 / total
    ph_total = -m.log(h) / LN10
    ph_sws = ph_total - m.log(c.seawater_factor) / LN10
    return CarbonateState(
        (bicarbonate + 2 * carbonate + other) * MICRO,
        dic * MICRO,
        ph_total,
        ph_sws - m.log(c.activity_factor) / LN10,
        ph_sws,
        ph_total + m.log(c.sulfate_factor) / LN10,
        co2 / (c.k0 * c.fugacity_factor) * MICRO,
        co2 * MICRO,
        bicarbonate * MICRO,
        carbonate * MICRO,
        carbonate * calcium / c.ksp_aragonite,
        carbonate * calcium / c.ksp_calcite,
    )


def solve(sample: Sample[float]) -> CarbonateState[float]:
    """The carbonate system of one sample.

    Holds to PyCO2SYS within 0.3 umol/kg of DIC, 0.0005 of pH and 0.005 of saturation; the
    constants themselves leave about 3 % on pCO2 and saturation. Range 19 to 43 PSU, 2 to 35 °C;
    beyond it the state has notes. Raises PairNeeded, ScaleUnknown, InputNotPositive, and
    InputsImpossible where no seawater has both numbers.
    Source: dickson2007 (chapter 2)
    """
    pair = sample.pair
    _check_inputs(sample)
    constants = constants_at(sample.salinity, sample.temperature, boron=sample.boron)
    knowns = knowns_of(sample, constants)
    h = _hydrogen(pair, sample, constants, knowns)
    calcium = constants.calcium if sample.calcium is None else sample.calcium / MICRO
    state = all_that_follows(pair, h, constants, knowns, calcium=calcium)
    if state.dic <= 0:
        raise _impossible(pair, sample, "that pH alone needs more alkalinity than there is")
    notes = range_notes(sample.salinity, sample.temperature, state.ph_total)
    return replace(state, notes=notes) if notes else state


def _hydrogen(pair: Pair, sample: Sample[float], constants: Constants, knowns: Knowns) -> float:
    if pair in ("alkalinity+ph", "dic+ph"):
        return float(knowns.second)
    if pair == "ph+pco2":
        return float(knowns.first)
    if pair == "dic+pco2":
        if knowns.first <= knowns.second:
            raise _impossible(pair, sample, "the dissolved CO2 alone would be more than that DIC")
        h = float(hydrogen_from_dic_and_co2(constants, knowns))
        if not PH_LOWEST < -math.log10(h) < PH_HIGHEST:
            raise _impossible(pair, sample, "the pH would lie outside 2 to 12")
        return h
    x = root_of_residual(pair, constants, knowns)
    if x is None:
        raise _impossible(pair, sample, "the pH would lie outside 2 to 12")
    return math.exp(x)


def _check_inputs(sample: Sample[float]) -> None:
    for name in ("dic", "pco2"):
        value = getattr(sample, name)
        if value is not None and not 0 < value < math.inf:
            raise InputNotPositive(_NAMES[name], value)
    for name in ("alkalinity", "salinity", "phosphate", "silicate", "calcium"):
        value = getattr(sample, name)
        if value is not None and not 0 <= value < math.inf:
            raise InputNotPositive(_NAMES[name], value, "of zero or more")
    if not -5 <= sample.temperature <= 60:
        raise InputNotPositive("temperature", sample.temperature, "from -5 to 60 °C")
    if sample.ph is not None and not 0 <= sample.ph <= 14:
        raise InputNotPositive("pH", sample.ph, "from 0 to 14")


_NAMES = {
    "alkalinity": "alkalinity",
    "dic": "DIC",
    "ph": "pH",
    "pco2": "pCO2",
    "salinity": "salinity",
    "phosphate": "phosphate",
    "silicate": "silicate",
    "calcium": "calcium",
}
_UNITS = {"alkalinity": "umol/kg", "dic": "umol/kg", "pco2": "uatm"}


def _impossible(pair: Pair, sample: Sample[float], because: str) -> InputsImpossible:
    def said(name: str) -> str:
        unit = _UNITS.get(name) or sample.scale or ""
        return f"{_NAMES[name]} {getattr(sample, name):.6g} {unit}"

    first, second = pair.split("+")
    return InputsImpossible(said(first), said(second), because)


def range_notes(salinity: float, temperature: float, ph_total: float) -> tuple[str, ...]:
    """What was left of the ranges in which the constants were measured."""
    notes = []
    if not 19 <= salinity <= 43:
        notes.append(
            f"Salinity {salinity:g} is outside 19 to 43 PSU, where the dissociation constants "
            "were measured (Lueker 2000)."
        )
    if not 2 <= temperature <= 35:
        notes.append(
            f"Temperature {temperature:g} °C is outside 2 to 35 °C, where the dissociation "
            "constants were measured (Lueker 2000)."
        )
    elif not 9 <= temperature <= 33:
        notes.append(
            f"Temperature {temperature:g} °C is outside 9 to 33 °C, where the fluoride constant "
            "was measured (Perez & Fraga 1987): it touches the NBS scale only."
        )
    if not 6 <= ph_total <= 9.5:
        notes.append(
            f"A pH of {ph_total:.2f} (total) is far from any sea: the constants hold, but ion "
            "pairs and solids that are not counted here may matter."
        )
    return tuple(notes)
