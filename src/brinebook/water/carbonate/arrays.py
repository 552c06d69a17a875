"""The carbonate system of many samples at once, and derivatives of everything by everything.

The formulas are those of one sample; numpy takes the place of math.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brinebook.water.carbonate.constants import Constants, constants_at
from brinebook.water.carbonate.equilibrium import (
    NEAR,
    PH_HIGHEST,
    PH_LOWEST,
    X_HIGHEST,
    X_LOWEST,
    X_START,
    Knowns,
    Pair,
    hydrogen_from_dic_and_co2,
    residual,
)
from brinebook.water.carbonate.state import (
    MICRO,
    CarbonateState,
    Sample,
    all_that_follows,
    knowns_of,
    range_notes,
)

Array = NDArray[np.float64]

#: What a state is made of and what it is made from, in the order of the matrices below.
OUTPUTS = tuple(field.name for field in fields(CarbonateState) if field.name != "notes")
INPUTS = ("alkalinity", "dic", "ph", "pco2", "salinity", "temperature", "calcium", "phosphate",
          "silicate")  # fmt: skip

_STEP = 1e-30  # of the imaginary direction: no subtraction, so it may be as small as one likes


def solve_many(sample: Sample[Any]) -> CarbonateState[Array]:
    """The carbonate systems of many samples; every number of ``sample`` may be an array.

    Arrays broadcast against each other. Where no seawater has both numbers, or an input is not
    finite, that element is NaN and the rest stands. Range and accuracy as for ``solve``; ``notes``
    speak of the most extreme elements. Raises PairNeeded and ScaleUnknown.
    """
    sample = _as_arrays(sample)
    pair = sample.pair
    with np.errstate(all="ignore"):
        constants = constants_at(sample.salinity, sample.temperature, boron=sample.boron, m=np)
        knowns = knowns_of(sample, constants, np)
        x = _log_hydrogen(pair, constants, knowns)
        state = _state_at(pair, np.exp(x), sample, constants, knowns)
        possible = _possible(sample, state)
    shape = np.broadcast_shapes(*(np.shape(getattr(state, name)) for name in OUTPUTS))
    arrays = {
        name: np.where(possible, np.broadcast_to(getattr(state, name), shape), np.nan)
        for name in OUTPUTS
    }
    return CarbonateState(**arrays, notes=_notes(sample, arrays["ph_total"]))


def derivatives(sample: Sample[Any]) -> Mapping[str, Mapping[str, Any]]:
    """Derivative of every output by every given input: ``derivatives(s)["pco2"]["alkalinity"]``.

    Floats where the sample has floats, arrays where it has arrays; the units are those of the state
    and of the sample. Exact but for rounding: a step in the imaginary direction, and one Newton
    step from the real root, which is exact to first order. Raises what ``solve_many`` raises.
    Source: squire1998
    """
    scalar = all(np.ndim(getattr(sample, name)) == 0 for name in INPUTS if _has(sample, name))
    sample = _as_arrays(sample)
    pair = sample.pair
    with np.errstate(all="ignore"):
        constants = constants_at(sample.salinity, sample.temperature, boron=sample.boron, m=np)
        x = _log_hydrogen(pair, constants, knowns_of(sample, constants, np))
        columns = {name: _column(pair, sample, name, x) for name in INPUTS if _has(sample, name)}
    return {
        output: {
            name: float(column[output]) if scalar else column[output]
            for name, column in columns.items()
        }
        for output in OUTPUTS
    }


def standard_deviations(sample: Sample[Any], sd: Mapping[str, Any]) -> Mapping[str, Any]:
    """First-order standard deviation of every output, from independent ones of the inputs.

    ``sd`` maps names of inputs to standard deviations in the sample's units. The constants' own
    uncertainty is not in it.
    """
    slopes = derivatives(sample)
    return {
        output: np.sqrt(sum((by_input[name] * sd[name]) ** 2 for name in sd))
        for output, by_input in slopes.items()
    }


def _has(sample: Sample[Any], name: str) -> bool:
    return getattr(sample, name) is not None


def _as_arrays(sample: Sample[Any]) -> Sample[Any]:
    given = {name: getattr(sample, name) for name in INPUTS if _has(sample, name)}
    arrays: dict[str, Any] = {
        name: np.asarray(value, dtype=np.float64) for name, value in given.items()
    }
    return replace(sample, **arrays)


def _state_at(
    pair: Pair, h: Any, sample: Sample[Any], constants: Constants, knowns: Knowns
) -> CarbonateState[Any]:
    calcium = constants.calcium if sample.calcium is None else sample.calcium / MICRO
    return all_that_follows(pair, h, constants, knowns, calcium=calcium, m=np)


def _log_hydrogen(pair: Pair, constants: Constants, knowns: Knowns) -> Any:
    if pair in ("alkalinity+ph", "dic+ph"):
        return np.log(knowns.second)
    if pair == "ph+pco2":
        return np.log(knowns.first)
    if pair == "dic+pco2":
        return np.log(hydrogen_from_dic_and_co2(constants, knowns, np))
    return _roots(pair, constants, knowns)


def _roots(pair: Pair, constants: Constants, knowns: Knowns) -> Any:
    x = X_START + np.zeros(np.shape(residual(X_START, pair, constants, knowns, np)[0]))
    low, high = np.full_like(x, X_LOWEST), np.full_like(x, X_HIGHEST)
    for _ in range(100):
        value, slope = residual(x, pair, constants, knowns, np)
        above = value > 0
        low, high = np.where(above, x, low), np.where(above, high, x)
        step = value / slope
        following = x - step
        # Where it is there already, rounding may set it on its own bracket: that is no way out.
        inside = ((low < following) & (following < high)) | (np.abs(step) <= NEAR)
        following = np.where(inside, following, (low + high) / 2)
        moved = np.abs(following - x)
        x = following
        if not np.any(moved > NEAR):
            break
    return x


def _column(pair: Pair, sample: Sample[Any], name: str, x: Any) -> dict[str, Any]:
    stepped = replace(sample, **{name: getattr(sample, name) + 1j * _STEP})
    constants = constants_at(stepped.salinity, stepped.temperature, boron=sample.boron, m=np)
    knowns = knowns_of(stepped, constants, np)
    if pair in ("alkalinity+dic", "alkalinity+pco2"):
        value, slope = residual(x, pair, constants, knowns, np)
        moved = x - value / slope
    else:
        moved = _log_hydrogen(pair, constants, knowns)
    state = _state_at(pair, np.exp(moved), stepped, constants, knowns)
    return {output: np.imag(getattr(state, output)) / _STEP for output in OUTPUTS}


def _possible(sample: Sample[Any], state: CarbonateState[Any]) -> Any:
    fine = np.isfinite(state.ph_total) & (state.dic > 0) & (state.pco2 > 0)
    if sample.ph is None:
        fine &= (state.ph_total > PH_LOWEST + 1e-6) & (state.ph_total < PH_HIGHEST - 1e-6)
    for name in ("alkalinity", "salinity", "calcium", "phosphate", "silicate"):
        if _has(sample, name):
            fine = fine & (getattr(sample, name) >= 0)
    return fine


def _notes(sample: Sample[Any], ph_total: Array) -> tuple[str, ...]:
    found: dict[str, None] = {}
    usable = ph_total[np.isfinite(ph_total)]
    for pick in (np.min, np.max):
        if usable.size == 0 or np.size(sample.salinity) == 0:
            break
        extremes = (float(pick(sample.salinity)), float(pick(sample.temperature)))
        found.update(dict.fromkeys(range_notes(*extremes, float(pick(usable)))))
    return tuple(found)
