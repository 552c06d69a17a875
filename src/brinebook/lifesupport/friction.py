"""Friction in a straight pipe: the Darcy factor, laminar, in transition and turbulent."""

from __future__ import annotations

import math
from typing import Literal

#: Which relation stands for the turbulent range.
Law = Literal["colebrook", "swamee-jain"]

#: Below the first a flow stays laminar, above the second it is turbulent; between, it may be both.
LAMINAR_UP_TO, TURBULENT_FROM = 2000.0, 4000.0

#: Plastic pipe and drawn tubing, m. Source: crane1988 (page A-23)
SMOOTH = 1.5e-6

_TWO_OVER_LN10 = 2.0 / math.log(10.0)


def friction_laminar(reynolds: float) -> float:
    """Darcy's factor in laminar flow: 64/Re, exact for a round pipe (Hagen–Poiseuille)."""
    return 64.0 / reynolds


def friction_colebrook_1939(reynolds: float, relative_roughness: float) -> float:
    """Darcy's factor in turbulent flow, solved to the last digits.

    Range Re above 4000, relative roughness 0 to 0.05; the data scatter by some 5 % around it.
    Source: colebrook1939
    """
    return turbulent(reynolds, relative_roughness, "colebrook")[0]


def friction_swamee_jain_1976(reynolds: float, relative_roughness: float) -> float:
    """Darcy's factor by an explicit form within 1 % of Colebrook's, as EPANET has it.

    Range Re 5000 to 1e8, relative roughness 1e-6 to 0.05.
    Source: swamee1976, rossman2020 (eq. D.4)
    """
    return turbulent(reynolds, relative_roughness, "swamee-jain")[0]


def friction_haaland_1983(reynolds: float, relative_roughness: float) -> float:
    """Darcy's factor by another explicit form, within 2 % of Colebrook's.

    Range Re 4000 to 1e8, relative roughness up to 0.05.
    Source: haaland1983
    """
    x = -1.8 * math.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds)
    return 1.0 / x**2


def loss_hazen_williams(flow: float, bore: float, length: float, *, smoothness: float) -> float:
    """Head lost in m by the rule of thumb of water works; ``flow`` in m3/s.

    ``smoothness`` is C: 140 to 150 for plastic, 100 for old iron. Water of about 15 °C, turbulent,
    pipes over 50 mm; beside Darcy's law it is up to 10 % off at home.
    Source: rossman2020 (table 3.1)
    """
    return float(10.667 * length * flow**1.852 / (smoothness**1.852 * bore**4.871))


def turbulent(reynolds: float, relative_roughness: float, law: Law) -> tuple[float, float]:
    """Darcy's factor and its derivative by Re."""
    a = relative_roughness / 3.7
    power = reynolds**-0.9
    inside = a + 5.74 * power
    x = -_TWO_OVER_LN10 * math.log(inside)
    if law == "swamee-jain":
        slope = _TWO_OVER_LN10 * 5.74 * 0.9 * power / (reynolds * inside)
        return 1.0 / x**2, -2.0 * slope / x**3
    # Newton on x + 2 log10(a + b x) = 0 from there: twice is enough for twelve digits.
    b = 2.51 / reynolds
    for _ in range(2):
        inside = a + b * x
        x -= (x + _TWO_OVER_LN10 * math.log(inside)) / (1.0 + _TWO_OVER_LN10 * b / inside)
    ratio = _TWO_OVER_LN10 * b / (a + b * x)
    return 1.0 / x**2, -2.0 * ratio / (reynolds * (1.0 + ratio) * x**2)


def friction_factor(
    reynolds: float, relative_roughness: float, law: Law = "colebrook"
) -> tuple[float, float]:
    """Darcy's factor and its derivative by Re, over the whole range above zero.

    Between 2000 and 4000 a cubic joins both ends with their slopes, as EPANET does (Dunlop 1991):
    a convention, since a flow there may be of either kind.
    Source: rossman2020 (appendix D)
    """
    if reynolds <= LAMINAR_UP_TO:
        return 64.0 / reynolds, -64.0 / reynolds**2
    if reynolds >= TURBULENT_FROM:
        return turbulent(reynolds, relative_roughness, law)
    low, low_slope = 64.0 / LAMINAR_UP_TO, -64.0 / LAMINAR_UP_TO**2
    high, high_slope = turbulent(TURBULENT_FROM, relative_roughness, law)
    wide = TURBULENT_FROM - LAMINAR_UP_TO
    t = (reynolds - LAMINAR_UP_TO) / wide
    factor = (
        low * (1 + 2 * t) * (1 - t) ** 2
        + wide * low_slope * t * (1 - t) ** 2
        + high * t * t * (3 - 2 * t)
        + wide * high_slope * t * t * (t - 1)
    )
    slope = (
        6 * t * (1 - t) * (high - low) / wide
        + low_slope * (1 - t) * (1 - 3 * t)
        + high_slope * t * (3 * t - 2)
    )
    return factor, slope


def regime(reynolds: float) -> str:
    """How the water flows: ``still``, ``laminar``, ``transition`` or ``turbulent``."""
    if reynolds < 1e-6:
        return "still"
    if reynolds <= LAMINAR_UP_TO:
        return "laminar"
    return "turbulent" if reynolds >= TURBULENT_FROM else "transition"
