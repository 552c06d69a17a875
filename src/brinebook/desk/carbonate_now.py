"""The carbonate state that follows from the answer: CO2, saturation, and what room air does."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from brinebook.balance.answer import Answer
from brinebook.errors import BrinebookError
from brinebook.measure import Measure
from brinebook.water.air import in_balance_with_air, pco2_of_room_air
from brinebook.water.atoms import molar_mass
from brinebook.water.carbonate.state import CarbonateState, Sample, solve
from brinebook.water.salinity import density

#: Air of rooms: outdoors, an aired room, a shut one, a bedroom by morning (ppm).
ROOM_AIR = (430, 700, 1000, 1500, 2000)
_USUAL = {"salinity": Measure(35.0, 1.0, "PSU"), "temperature": Measure(25.0, 1.0, "C"),
          "calcium": Measure(412.0, 20.0, "mg/L")}  # fmt: skip


_DERIVED = (
    ("pco2", "uatm"), ("omega_aragonite", ""), ("omega_calcite", ""), ("dic", "umol/kg"),
    ("carbonate", "umol/kg"), ("ph_total", "total"),
)  # fmt: skip
#: What buffers and constants leave of doubt about a pH (NBS), one sd: common practice, no source.
_PH_DOUBT = 0.02


@dataclass(frozen=True, slots=True)
class Derived:
    """One derived quantity with the interval that its inputs leave it."""

    name: str
    measure: Measure


@dataclass(frozen=True, slots=True)
class CarbonateNow:
    """The derived state, which inputs were assumed, and the pH in balance with room air."""

    derived: tuple[Derived, ...]
    assumed: tuple[str, ...]
    in_air: tuple[tuple[int, Measure], ...]
    room: Measure | None
    notes: tuple[str, ...]


def carbonate_now(answer: Answer) -> CarbonateNow | None:
    """What follows from alkalinity, pH, salinity, temperature and calcium as they are believed.

    None where alkalinity was never tested. Without a pH only the balance with room air follows.
    Each input's doubt is carried over by its slope, as if they were independent of each other.
    """
    if "alkalinity" not in answer.quantities:
        return None
    known = {name: one.now for name, one in answer.quantities.items()}
    inputs = {
        name: known.get(name, _USUAL.get(name))
        for name in ("alkalinity", "ph", "salinity", "temperature", "calcium")
    }
    given = {name: one for name, one in inputs.items() if one is not None}
    assumed = tuple(name for name in _USUAL if name not in known)
    try:
        derived, notes = _derived(given) if "ph" in given else ((), ())
        in_air = tuple((ppm, _ph_in_air(given, ppm)) for ppm in ROOM_AIR)
    except BrinebookError as problem:
        return CarbonateNow((), assumed, (), known.get("room_co2"), (problem.message,))
    return CarbonateNow(derived, assumed, in_air, known.get("room_co2"), notes)


def _sample(values: Mapping[str, float]) -> Sample[float]:
    kilograms = density(values["salinity"], values["temperature"]) / 1000.0
    has_ph = "ph" in values
    return Sample(
        alkalinity=values["alkalinity"] * 1e3 / kilograms,
        ph=values["ph"] if has_ph else None,
        scale="NBS" if has_ph else None,
        salinity=values["salinity"],
        temperature=values["temperature"],
        calcium=values["calcium"] * 1e3 / molar_mass("Ca") / kilograms,
    )


def _derived(
    given: Mapping[str, Measure],
) -> tuple[tuple[Derived, ...], tuple[str, ...]]:
    middle = {name: one.value for name, one in given.items()}
    state = solve(_sample(middle))
    moved = {
        name: solve(_sample(middle | {name: one.value + one.sd})) for name, one in given.items()
    }
    found = []
    for name, unit in _DERIVED:
        # CO2 and saturation vary by factors, so their doubt does too.
        found.append(
            Derived(name, _carried(state, moved, name, unit, by_factor=name != "ph_total"))
        )
    return tuple(found), state.notes


def _carried(
    state: CarbonateState[float],
    moved: Mapping[str, CarbonateState[float]],
    name: str,
    unit: str,
    *,
    by_factor: bool,
) -> Measure:
    value = float(getattr(state, name))
    others = [float(getattr(one, name)) for one in moved.values()]
    if not by_factor:
        return Measure(value, math.hypot(*(other - value for other in others)), unit)
    spread = math.hypot(*(math.log(other / value) for other in others))
    low, high = value * math.exp(-1.96 * spread), value * math.exp(1.96 * spread)
    return Measure(value, value * spread, unit, low, high)


def _ph_in_air(given: Mapping[str, Measure], ppm: int) -> Measure:
    """pH (NBS) of this water in balance with a room's air, with the doubt about alkalinity."""
    middle = {name: one.value for name, one in given.items() if name != "ph"}

    def settled(values: Mapping[str, float]) -> float:
        sample = replace(_sample(values), ph=None, scale=None)
        return in_balance_with_air(sample, pco2_of_room_air(ppm)).ph_nbs

    value = settled(middle)
    others = [settled(middle | {name: given[name].value + given[name].sd}) for name in middle]
    return Measure(value, math.hypot(_PH_DOUBT, *(other - value for other in others)), "NBS")
