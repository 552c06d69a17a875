"""What the system's description says of bottles, mixes, methods and clocks, for the estimator."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from brinebook.balance.beliefs import BELIEFS, UNKNOWN_MIX_SD, QuantityBelief
from brinebook.balance.season import Floats, days_since_epoch
from brinebook.system import Additive, Method, Mix, System
from brinebook.water.composition import reference_concentration
from brinebook.water.salts import SALTS, grams_add, read_formula

#: What a mix's label may leave out, and natural seawater holds.
_NATURAL = ("alkalinity", "calcium", "magnesium", "potassium", "strontium")


@dataclass(frozen=True, slots=True)
class Bottle:
    """What one millilitre (or gram, for a salt) of an additive brings, over all quantities."""

    name: str
    per_unit: dict[str, float]
    per_gram: dict[str, float]
    strength_sd: float
    pump_sd: float


def bottle_of(additive: Additive) -> Bottle:
    per_gram = dict(grams_add(additive.salt)) if additive.salt else {}
    per_unit = dict(additive.per_ml)
    if additive.salt and additive.grams_per_litre:
        scale = additive.grams_per_litre / 1000.0
        per_unit = {name: amount * scale for name, amount in per_gram.items()} | per_unit
    return Bottle(additive.name, per_unit, per_gram, additive.strength_sd, additive.pump_sd)


def find_bottle(system: System, name: str) -> Bottle | None:
    """The bottle that a fact means by ``name``: an additive of the system, or a salt's formula."""
    for additive in system.additives:
        if additive.name.casefold() == name.casefold():
            return bottle_of(additive)
    formula = read_formula(name)
    if formula is None or formula not in SALTS:
        return None
    per_gram = dict(grams_add(formula))
    return Bottle(formula, per_gram, per_gram, 0.01, 0.05)


def find_mix(system: System, name: str) -> Mix | None:
    """The mix of that name; with no name, the first one described."""
    if not name:
        return system.mixes[0] if system.mixes else None
    for mix in system.mixes:
        if mix.name.casefold() == name.casefold():
            return mix
    return None


def mix_water(mix: Mix | None, quantities: Sequence[str], salinity: float) -> tuple[Floats, Floats]:
    """Concentrations of new water at a salinity, and their standard deviations."""
    value = np.zeros(len(quantities))
    spread = np.zeros(len(quantities))
    for index, name in enumerate(quantities):
        if name == "salinity":
            value[index], spread[index] = salinity, 0.35
        elif mix is not None and name in mix.composition:
            value[index] = mix.composition[name] * salinity / mix.at_salinity
            spread[index] = mix.sd * value[index]
        else:
            value[index] = _natural(name) * salinity / 35.0
            spread[index] = UNKNOWN_MIX_SD * value[index]
        if name in ("nitrate", "phosphate", "nitrite", "ammonia", "silicate", "iron"):
            spread[index] = max(spread[index], 0.02 * BELIEFS[name].floor)
    return value, spread


def _natural(name: str) -> float:
    """What new water is taken to hold at 35 PSU where a label is silent: natural seawater."""
    return reference_concentration(name) if name in _NATURAL else 0.0


def clock_windows(
    hours: str, *, start: float, end: float, zone: ZoneInfo
) -> tuple[tuple[float, float], ...] | None:
    """The absolute spans of a daily window such as ``22-06`` in the system's clock time."""
    first, _, last = hours.partition("-")
    opens, closes = _clock(first), _clock(last)
    if opens == closes:
        return None
    epoch = datetime(2000, 1, 1, tzinfo=UTC)
    day = (epoch + timedelta(days=start)).astimezone(zone).date() - timedelta(days=1)
    spans: list[tuple[float, float]] = []
    while True:
        begin = datetime.combine(day, opens, tzinfo=zone)
        finish_day = day if closes > opens else day + timedelta(days=1)
        finish = datetime.combine(finish_day, closes, tzinfo=zone)
        if days_since_epoch(begin) > end:
            return tuple(spans)
        spans.append((days_since_epoch(begin), days_since_epoch(finish)))
        day += timedelta(days=1)


def _clock(text: str) -> time:
    hour, _, minute = text.strip().partition(":")
    return time(int(hour) % 24, int(minute or 0))


def find_method(system: System, name: str, quantity: str) -> Method | None:
    described = [method for method in system.methods if method.quantity == quantity]
    for method in described:
        if method.name.casefold() == name.casefold():
            return method
    return described[0] if not name and len(described) == 1 else None


def method_noise(belief: QuantityBelief, method: Method | None) -> tuple[float, float]:
    """Standard deviation of one test: the fixed part, and the part that grows with the reading."""
    if method is not None and method.repeatability is not None:
        return method.repeatability, 0.0
    if method is not None and method.repeatability_fraction is not None:
        return 0.0, method.repeatability_fraction
    return belief.noise, belief.noise_fraction
