"""What was done to the water at an instant, as numbers: one part of laying out a season."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from brinebook import units
from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.described import (
    Bottle,
    find_bottle,
    find_method,
    find_mix,
    method_noise,
    mix_water,
)
from brinebook.balance.season import (
    Event,
    Exchange,
    Floats,
    Loss,
    Mark,
    MediaSwap,
    Pour,
    days_since_epoch,
)
from brinebook.system import System
from brinebook.timeline import Fact


@dataclass(frozen=True, slots=True)
class Shelf:
    """The system's bottles and mixes, found by the names that facts give them.

    ``notes`` gathers what there is to say of those that aren't described.
    """

    system: System
    notes: list[str] = field(default_factory=list)
    _found: dict[str, Bottle | None] = field(default_factory=dict)

    def bottle(self, name: str) -> Bottle | None:
        """The bottle that is meant, if it is described."""
        if name not in self._found:
            self._found[name] = find_bottle(self.system, name) if name else None
        return self._found[name]

    def new_water(
        self, fact: Fact, quantities: Sequence[str]
    ) -> tuple[Floats, Floats, npt.NDArray[np.bool_], str]:
        """What a water change brings: concentrations, their sds, which were measured, the mix."""
        mix = find_mix(self.system, fact.what)
        fallback = mix.at_salinity if mix else 35.0
        salinity = float(fact.detail.get("salinity", self.system.targets.get("salinity", fallback)))
        incoming, spread = mix_water(mix, quantities, salinity)
        measured = np.zeros(len(quantities), dtype=bool)
        for index, name in enumerate(quantities):
            if name in fact.detail:
                incoming[index] = float(fact.detail[name])
                spread[index] = _test_sd(self.system, name, float(incoming[index]))
                measured[index] = True
        return incoming, spread, measured, mix.name if mix else ""


def _test_sd(system: System, quantity: str, value: float) -> float:
    """How well one test knows new water: by the only method described, else by a usual one."""
    method = find_method(system, "", quantity)
    fixed, fraction = method_noise(BELIEFS[quantity], method)
    told = method is not None and method.repeatability is not None
    step = (method.resolution or 0.0) / math.sqrt(12.0) if method is not None and told else 0.0
    return math.hypot(fixed, step, fraction * value)


def is_mass(unit: str) -> bool:
    """Whether an amount in this unit is weighed."""
    return units.dimension_of(unit) == "mass"


def vector(brings: dict[str, float], quantities: Sequence[str]) -> Floats:
    """Amounts by name as an array in the order of the quantities."""
    return np.array([brings.get(name, 0.0) for name in quantities])


def events(shelf: Shelf, facts: Iterable[Fact], quantities: Sequence[str]) -> tuple[Event, ...]:
    """All that was done at an instant, in time order."""
    found = (_event(shelf, fact, quantities) for fact in facts)
    return tuple(sorted((each for each in found if each is not None), key=lambda each: each.t))


def _event(shelf: Shelf, fact: Fact, quantities: Sequence[str]) -> Event | None:
    if fact.kind == "dose":
        return _pour(shelf, fact, quantities)
    if fact.kind == "water_change" and "/" not in fact.unit:
        return _exchange(shelf, fact, quantities)
    if fact.kind == "removed":
        litres = units.convert_amount(float(fact.value), fact.unit, "L")
        return Loss(days_since_epoch(fact.when), litres, fact.id)
    if fact.kind == "media":
        return MediaSwap(days_since_epoch(fact.when), fact.what, float(fact.value), fact.id)
    if fact.kind in ("level", "top_off"):
        return _of_container(shelf, fact, quantities)
    return None


def _pour(shelf: Shelf, fact: Fact, quantities: Sequence[str]) -> Pour | None:
    bottle = shelf.bottle(fact.what)
    amount = float(fact.value)
    if bottle is None:
        shelf.notes.append(f"“{fact.what}” is not described, so its doses count for nothing.")
        return None
    if is_mass(fact.unit):
        grams = units.convert_amount(amount, fact.unit, "g")
        brings = {name: grams * each for name, each in bottle.per_gram.items()}
        drop = 0.0
    else:
        drop = units.convert_amount(amount, fact.unit, "mL")
        brings = {name: drop * each for name, each in bottle.per_unit.items()}
    return Pour(days_since_epoch(fact.when), bottle.name, vector(brings, quantities), drop, fact.id)


def _exchange(shelf: Shelf, fact: Fact, quantities: Sequence[str]) -> Exchange:
    incoming, spread, measured, mix_name = shelf.new_water(fact, quantities)
    amount, fraction, litres = float(fact.value), math.nan, math.nan
    if fact.unit == "%":
        fraction = amount / 100.0
    else:
        litres = units.convert_amount(amount, fact.unit, "L")
    return Exchange(
        days_since_epoch(fact.when),
        litres,
        fraction,
        incoming,
        spread,
        mix_name,
        measured,
        fact.id,
    )


def _of_container(shelf: Shelf, fact: Fact, quantities: Sequence[str]) -> Event | None:
    """A container's mark, or limewater poured as top-off."""
    bottle = shelf.bottle(fact.what)
    if bottle is None or "/" in fact.unit:
        return None
    t = days_since_epoch(fact.when)
    millilitres = units.convert_amount(float(fact.value), fact.unit, "mL")
    if fact.kind == "level":
        return Mark(t, bottle.name, millilitres, fact.id)
    brings = {name: millilitres * each for name, each in bottle.per_unit.items()}
    return Pour(t, bottle.name, vector(brings, quantities), millilitres, fact.id)
