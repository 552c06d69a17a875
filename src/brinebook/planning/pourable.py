"""How much may be poured at once: aragonite saturation kept under its cap, draw by draw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brinebook.balance.season import Floats
from brinebook.planning.limits import CHANCE, Limits
from brinebook.planning.pours import Water, aired, poured, water_of
from brinebook.planning.substances import Substance

#: Draws that the chemistry of pours is followed on: enough for a chance of 2 in 100.
DRAWS = 400
_HALVINGS = 14


@dataclass(frozen=True, slots=True)
class Air:
    """The room's CO2 and how fast the water follows it, as draws: uatm and hours."""

    pco2: Floats
    hours: Floats


@dataclass(frozen=True, slots=True)
class Parting:
    """A day's amount parted into pours: how many, how far apart, and the saturation they reach.

    ``highest`` are the draws' highest aragonite saturation of the day, ``cap`` what each may reach,
    ``chance`` how likely one passes it.
    """

    pours: int
    gap: float
    highest: Floats
    cap: Floats
    chance: float


@dataclass(frozen=True, slots=True)
class Scene:
    """Where pours go: the water on a subset of the draws, its air, and how a pour mixes.

    ``rises`` tells for each unit poured what it brings a litre: meq, mmol of carbon, mg of calcium,
    by draw. ``share`` is the part of the water that a pour spreads in before the rest gets it.
    """

    water: Water
    air: Air
    rises: tuple[Floats, Floats, Floats]
    share: float
    limits: Limits


def thinned(values: Floats, count: int = DRAWS) -> Floats:
    """Every so-many-th draw: the same ones for every array of a belief."""
    if values.size <= count:
        return values
    places = np.linspace(0, values.size - 1, count).round().astype(int)
    return np.asarray(values[places])


def scene(
    *,
    alkalinity: Floats,
    calcium: Floats | None,
    litres: Floats,
    parts: Sequence[tuple[Substance, float, Floats]],
    air: Air,
    ph: Floats | None,
    conditions: tuple[float, float],
    limits: Limits,
    share: float = 1.0,
) -> Scene:
    """The water at the draws given, and what a unit of the parts brings to it.

    ``parts`` are substances with how many units of each make one unit of the whole, and their
    strengths. ``conditions`` are salinity and temperature. Arrays are thinned here.
    """
    thin = {
        "alkalinity": thinned(alkalinity),
        "litres": thinned(litres),
        "pco2": thinned(air.pco2),
        "hours": thinned(air.hours),
    }
    water = water_of(
        thin["alkalinity"],
        salinity=conditions[0],
        temperature=conditions[1],
        calcium=None if calcium is None else thinned(calcium),
        pco2=thin["pco2"] if ph is None else None,
        ph=None if ph is None else thinned(ph),
    )
    rises = [np.zeros(thin["litres"].size) for _ in range(3)]
    for substance, units, strength in parts:
        factor = units * thinned(strength) / thin["litres"]
        rises[0] = rises[0] + factor * substance.brings("alkalinity")
        rises[1] = rises[1] + factor * substance.carbon_worst
        rises[2] = rises[2] + factor * substance.brings("calcium")
    return Scene(
        water, Air(thin["pco2"], thin["hours"]), (rises[0], rises[1], rises[2]), share, limits
    )


def parted(scene: Scene, amount: float, *, pours: int, gap: float) -> Parting:
    """The saturation that so many equal pours of a day's amount reach, CO2 coming between them.

    A pour counts where it is strongest: spread in the share of the water that it mixes into first.
    """
    start = scene.water.state().omega_aragonite
    cap = np.maximum(scene.limits.saturation, start + scene.limits.saturation_rise)
    water, highest = scene.water, start
    each = [rise * amount / pours for rise in scene.rises]
    for number in range(pours):
        if number:
            water = aired(water, gap, pco2=scene.air.pco2, air_hours=scene.air.hours)
        near = poured(
            water,
            alkalinity=each[0] / scene.share,
            carbon=each[1] / scene.share,
            calcium=each[2] / scene.share,
        )
        highest = np.fmax(highest, near.state().omega_aragonite)
        water = poured(water, alkalinity=each[0], carbon=each[1], calcium=each[2])
    passed = float(np.mean(~(highest <= cap * (1.0 + 1e-9))))
    return Parting(pours, gap, highest, cap, passed)


def fewest_pours(scene: Scene, amount: float, *, most: int, gap: float) -> Parting:
    """The fewest pours that keep the chance of passing the cap under 2 in 100; else ``most``."""
    found = parted(scene, amount, pours=1, gap=gap)
    while found.chance >= CHANCE and found.pours < most:
        found = parted(scene, amount, pours=found.pours + 1, gap=gap)
    return found


def most_in_a_day(scene: Scene, wanted: float, *, most: int, gap: float) -> float:
    """The largest amount up to ``wanted`` that so many pours bring under the cap."""
    if parted(scene, wanted, pours=most, gap=gap).chance < CHANCE:
        return wanted
    low, high = 0.0, wanted
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if parted(scene, middle, pours=most, gap=gap).chance < CHANCE:
            low = middle
        else:
            high = middle
    return low if low > 1e-3 * wanted else 0.0


def moves_saturation(parts: Sequence[Substance]) -> bool:
    """Whether what is poured moves the saturation of aragonite at all."""
    return any(one.brings("alkalinity") or one.brings("calcium") for one in parts)


def mean_of(values: Floats) -> float:
    """The middle of draws, NaN where there are none that can be."""
    usable = values[np.isfinite(values)]
    return float(np.median(usable)) if usable.size else math.nan
