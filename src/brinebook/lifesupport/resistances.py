"""Resistance coefficients of what stands in a pipe: fittings, and valves at any opening.

A coefficient K loses the head K v²/2g at the velocity v in the pipe's bore.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType

from brinebook.rig.water_side import Valve

#: Friction factor of complete turbulence by the inside diameter of steel pipe of ½ to 6 inches.
#: Source: crane1988 (page A-26)
_COMPLETE_TURBULENCE = (
    (0.01576, 0.027), (0.02096, 0.025), (0.02664, 0.023), (0.03508, 0.022), (0.04094, 0.021),
    (0.05248, 0.019), (0.07792, 0.018), (0.10226, 0.017), (0.15408, 0.015),
)  # fmt: skip

#: K over that factor. Source: crane1988 (pages A-27 to A-29)
_EQUIVALENT_LENGTHS: Mapping[str, float] = MappingProxyType(
    {
        "elbow_90": 30.0, "elbow_45": 16.0, "bend_90": 14.0, "tee_through": 20.0,
        "tee_branch": 60.0, "ball_valve": 3.0, "gate_valve": 8.0, "globe_valve": 340.0,
        "swing_check": 100.0, "lift_check": 600.0,
    }
)  # fmt: skip

#: K of its own. Source: crane1988 (page A-29), perry1997 (table 6-4, union)
_FIXED: Mapping[str, float] = MappingProxyType({"entrance": 0.5, "exit": 1.0, "union": 0.04})

#: K by how far a valve is open. Source: perry1997 (table 6-4)
_BY_OPENING: Mapping[str, tuple[tuple[float, float], ...]] = MappingProxyType(
    {
        "gate": ((0.25, 24.0), (0.5, 4.5), (0.75, 0.9), (1.0, 0.17)),
        "diaphragm": ((0.25, 21.0), (0.5, 4.3), (0.75, 2.6), (1.0, 2.3)),
        "globe": ((0.25, 112.0), (0.5, 36.0), (0.75, 13.0), (1.0, 9.0)),
    }
)
#: K of a plug or ball by its angle from open, degrees. Source: perry1997 (table 6-4, plug cock)
_BY_ANGLE = ((0.0, 0.05), (5.0, 0.05), (10.0, 0.29), (20.0, 1.56), (40.0, 17.3), (60.0, 206.0))
#: Where such a plug shuts, degrees; from memory, after Weisbach. Beyond 60 the table is prolonged.
_SHUTS_AT = 82.5
_LAST_ANGLE, _LAST_K, _STEEPNESS = 60.0, 206.0, 3.4
LEAST_OPENING = 1e-3

#: How far a table's coefficient may be off, as a share: the tables themselves differ so much.
#: Common practice, no source.
RESISTANCE_SPREAD = 0.30


def complete_turbulence_factor(bore: float) -> float:
    """Friction factor fT that fittings of this bore (m) are tabled by; 0.027 to 0.015.

    Between sizes it goes with the logarithm of the bore, beyond them it stays.
    Source: crane1988 (page A-26)
    """
    return _along([(math.log(d), f) for d, f in _COMPLETE_TURBULENCE], math.log(bore))


def fitting_coefficient(name: str, bore: float) -> float:
    """K of one fitting at this bore in m. Raises KeyError for a name that isn't in FITTINGS.

    Editions of the table differ by some 7 %.
    Source: crane1988 (pages A-27 to A-29)
    """
    if name in _FIXED:
        return _FIXED[name]
    return _EQUIVALENT_LENGTHS[name] * complete_turbulence_factor(bore)


def fittings_coefficient(fittings: Mapping[str, int], bore: float) -> float:
    """K of all fittings of a pipe."""
    return sum(count * fitting_coefficient(name, bore) for name, count in fittings.items())


#: Kv (m3/h at 1 bar) of a valve whose Cv (US gallons a minute at 1 psi) is 1: unit against unit.
KV_OF_CV = 0.06 * 3.785411784 * math.sqrt(100.0 / 6.894757293168)


def coefficient_from_kv_iec_2011(kv: float, bore: float) -> float:
    """K at a bore in m of a valve with this Kv in m3/h at 1 bar.

    Source: iec2011 (the constant N2 = 0.0016 with millimetres)
    """
    return 0.0016 * (1000.0 * bore) ** 4 / kv**2


def valve_coefficient(valve: Valve, bore: float) -> float:
    """K of a valve as it stands; infinity where it is shut.

    With a Kv, that holds at full opening and the table adds what closing does. Between points of
    the table the logarithm of K goes straight; below a quarter of its travel it is prolonged.
    """
    if valve.opening < LEAST_OPENING:
        return math.inf
    table = _ball(valve.opening) if valve.kind == "ball" else _by_travel(valve.kind, valve.opening)
    if valve.kv is None:
        return table
    fully = _ball(1.0) if valve.kind == "ball" else _by_travel(valve.kind, 1.0)
    return coefficient_from_kv_iec_2011(valve.kv, bore) + table - fully


def valve_opening(kind: str, coefficient: float) -> float | None:
    """How far a valve of this kind is open at this K; None where even fully open it has more.

    The other way round of ``valve_coefficient`` without a Kv, by halving.
    """
    if valve_coefficient(Valve(kind), 0.02) > coefficient:
        return None
    low, high = LEAST_OPENING, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if valve_coefficient(Valve(kind, middle), 0.02) > coefficient:
            low = middle
        else:
            high = middle
    return high


def sudden_expansion(small: float, large: float) -> float:
    """K of a sudden widening from bore to bore, at the velocity in the small one (Borda–Carnot).

    Source: crane1988 (page A-26)
    """
    return float((1.0 - (small / large) ** 2) ** 2)


def _ball(opening: float) -> float:
    angle = 90.0 * (1.0 - opening)
    if angle >= _SHUTS_AT:
        return math.inf
    if angle > _LAST_ANGLE:
        left = (_SHUTS_AT - _LAST_ANGLE) / (_SHUTS_AT - angle)
        return float(_LAST_K * left**_STEEPNESS)
    return math.exp(_along([(a, math.log(k)) for a, k in _BY_ANGLE], angle))


def _by_travel(kind: str, opening: float) -> float:
    points = _BY_OPENING[kind]
    (first, k), (second, less) = points[0], points[1]
    if opening < first:
        steepness = math.log(k / less) / math.log(second / first)
        return float(k * (first / opening) ** steepness)
    return math.exp(_along([(share, math.log(one)) for share, one in points], opening))


def _along(points: list[tuple[float, float]], x: float) -> float:
    if x <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in pairwise(points):
        if x <= right:
            return low + (high - low) * (x - left) / (right - left)
    return points[-1][1]
