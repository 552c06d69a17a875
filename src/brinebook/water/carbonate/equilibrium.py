"""Where the protons are: alkalinity as a function of hydrogen, and its root.

Concentrations in mol/kg, hydrogen on the total scale, ``x`` its natural logarithm. Every function
takes floats, complex numbers or arrays, with the module ``m`` that computes them.

Alkalinity is that of Dickson 1981: HCO3 + 2 CO3 + B(OH)4 + OH + HPO4 + 2 PO4 + SiO(OH)3 - H - HSO4
- HF - H3PO4; hydrogen on the total scale stands for H + HSO4. Ammonia is left out.
Source: dickson1981, dickson2007 (chapter 2)
"""

from __future__ import annotations

import math
from typing import Any, Literal, NamedTuple

from brinebook.water.carbonate.constants import Constants

Pair = Literal[
    "alkalinity+dic", "alkalinity+ph", "alkalinity+pco2", "dic+ph", "dic+pco2", "ph+pco2"
]

#: Between these pH the root is sought; outside them no seawater has both numbers.
PH_LOWEST, PH_HIGHEST = 2.0, 12.0
LN10 = math.log(10.0)
X_LOWEST, X_HIGHEST = -PH_HIGHEST * LN10, -PH_LOWEST * LN10
X_START = -8.05 * LN10
NEAR = 1e-12  # of ln(h): nearer than this a root is found


class Knowns(NamedTuple):
    """Two knowns in mol/kg (pH as hydrogen, pCO2 as dissolved CO2), and what else titrates."""

    first: Any
    second: Any
    phosphate: Any
    silicate: Any


def other_alkalinity(h: Any, constants: Constants, knowns: Knowns) -> tuple[Any, Any]:
    """Alkalinity that isn't carbonate's, and its derivative by ln h.

    The derivative of a polyprotic acid's part is minus its amount times the variance of the number
    of protons that it holds.
    """
    c = constants
    boron_sum, fluoride_sum = c.kb + h, c.kf + h
    hydroxide = c.kw / h
    borate, fluoride = c.boron * c.kb / boron_sum, c.fluoride * h / fluoride_sum
    value = borate + hydroxide - h - fluoride
    slope = -borate * h / boron_sum - hydroxide - h - fluoride * c.kf / fluoride_sum
    if knowns.silicate is not None:
        silicate = knowns.silicate * c.ksi / (c.ksi + h)
        value, slope = value + silicate, slope - silicate * h / (c.ksi + h)
    if knowns.phosphate is not None:
        one = c.kp1 * c.kp2 * c.kp3
        two, three, four = c.kp1 * c.kp2 * h, c.kp1 * h * h, h * h * h
        total = one + two + three + four
        mean = (two + 2 * three + 3 * four) / total
        square = (two + 4 * three + 9 * four) / total
        value = value + knowns.phosphate * (2 - mean)
        slope = slope - knowns.phosphate * (square - mean * mean)
    return value, slope


def residual(
    x: Any, pair: Pair, constants: Constants, knowns: Knowns, m: Any = math
) -> tuple[Any, Any]:
    """Alkalinity at ``x`` minus the known one, and its derivative; falls with ``x`` throughout.

    For the pairs with a root to find: alkalinity with DIC or with pCO2.
    """
    h = m.exp(x)
    value, slope = other_alkalinity(h, constants, knowns)
    k1, k2 = constants.k1, constants.k2
    if pair == "alkalinity+dic":
        products = k1 * k2
        total = h * h + k1 * h + products
        value = value + knowns.second * k1 * (h + 2 * k2) / total
        slope = slope - knowns.second * k1 * h * (h * h + 4 * k2 * h + products) / (total * total)
    else:
        scaled = knowns.second * k1 / (h * h)
        value = value + scaled * (h + 2 * k2)
        slope = slope - scaled * (h + 4 * k2)
    return value - knowns.first, slope


def hydrogen_from_dic_and_co2(constants: Constants, knowns: Knowns, m: Any = math) -> Any:
    """Hydrogen from DIC and dissolved CO2: the positive root of a quadratic."""
    k1 = constants.k1
    excess = knowns.first / knowns.second - 1.0
    return (k1 + m.sqrt(k1 * k1 + 4.0 * excess * k1 * constants.k2)) / (2.0 * excess)


def root_of_residual(pair: Pair, constants: Constants, knowns: Knowns) -> float | None:
    """ln h of one sample, by Newton's steps kept between falling brackets; None if there is none.

    Takes floats. Bracketing makes it converge from anywhere, as in SolveSAPHE.
    Source: munhoven2013
    """
    low, high, x = X_LOWEST, X_HIGHEST, X_START
    for _ in range(100):
        value, slope = residual(x, pair, constants, knowns)
        if value > 0:
            low = x
        else:
            high = x
        step = value / slope
        following = x - step
        # Where it is there already, rounding may set it on its own bracket: that is no way out.
        if not low < following < high and abs(step) > NEAR:
            following = (low + high) / 2
        if abs(following - x) <= NEAR:
            x = following
            break
        x = following
    inside = X_LOWEST + 1e-6 < x < X_HIGHEST - 1e-6
    return float(x) if inside else None
