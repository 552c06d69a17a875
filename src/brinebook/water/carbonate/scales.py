"""pH from one scale to another.

The total scale is the one inside. A scale is always named: the same number on two of them is two
waters.
"""

from __future__ import annotations

import math
from typing import Any, Literal, get_args

from brinebook.errors import UsageProblem
from brinebook.units.problems import listed, shown
from brinebook.water.carbonate.constants import Constants, constants_at

Scale = Literal["NBS", "total", "sws", "free"]
SCALES: tuple[Scale, ...] = get_args(Scale)


class ScaleUnknown(UsageProblem):
    """A pH is given without its scale, or on one that isn't known."""

    code = "E-PH-SCALE"

    def __init__(self, scale: str | None) -> None:
        named = (
            "A pH was given without its scale" if scale is None else f"{shown(scale)} is no scale"
        )
        super().__init__(
            f"{named}: the same number on two scales is two waters.",
            f"Say {listed(SCALES)}; a probe set with ordinary buffers reads NBS.",
        )


def offset_from_total(scale: str, constants: Constants, m: Any = math) -> Any:
    """What to add to a pH on the total scale to have it on ``scale``.

    Raises ScaleUnknown.
    Source: dickson2007 (chapter 5, section 4), takahashi1982
    """
    if scale == "total":
        return 0.0
    if scale == "free":
        return m.log(constants.sulfate_factor) / _LN10
    seawater = -m.log(constants.seawater_factor) / _LN10
    if scale == "sws":
        return seawater
    if scale == "NBS":
        return seawater - m.log(constants.activity_factor) / _LN10
    raise ScaleUnknown(scale)


def convert_ph(
    ph: float, scale: str, to_scale: str, *, salinity: float, temperature: float
) -> float:
    """A pH on another scale at this salinity and temperature (°C); raises ScaleUnknown."""
    if scale == to_scale and scale in SCALES:
        return ph
    constants = constants_at(salinity, temperature)
    change = offset_from_total(to_scale, constants) - offset_from_total(scale, constants)
    return float(ph + change)


_LN10 = math.log(10.0)
