"""Tests as typed, turned into numbers with their noise: one part of laying out a season."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from brinebook import units
from brinebook.balance.beliefs import BELIEFS
from brinebook.balance.described import find_method, find_mix, method_noise
from brinebook.balance.season import Test, days_since_epoch
from brinebook.errors import BrinebookError
from brinebook.system import Method, System
from brinebook.timeline import Fact
from brinebook.water.quantities import Conditions, depends_on, to_canonical

#: What the system's water is like where nothing was measured and no target is set: PSU, °C.
_USUAL = {"salinity": 35.0, "temperature": 25.0}
_LAST_READINGS = 5


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads tests of one system; ``measured`` holds its salinity and temperature in time."""

    system: System
    verdicts: Mapping[str, str]
    measured: Mapping[str, tuple[Sequence[float], Sequence[float]]]
    _relative: dict[tuple[str, str], bool] = field(default_factory=dict)
    _methods: dict[tuple[str, str], Method | None] = field(default_factory=dict)

    def conditions_at(self, t: float) -> Conditions:
        """The system's salinity and temperature then: the median of the last five tests.

        Before the first test of one, its target, else 35 PSU or 25 °C.
        """
        now = {}
        for name, fallback in _USUAL.items():
            times, values = self.measured[name]
            count = bisect_right(times, t)
            past = values[max(count - _LAST_READINGS, 0) : count]
            now[name] = float(np.median(past)) if past else self.system.targets.get(name, fallback)
        return Conditions(
            salinity=min(max(now["salinity"], 20.0), 45.0),
            temperature=min(max(now["temperature"], 15.0), 35.0),
        )

    def tests(self, facts: Iterable[Fact], quantities: Sequence[str]) -> tuple[Test, ...]:
        """The tests among the facts, of these quantities, that can be read as numbers."""
        wanted = frozenset(quantities)
        read = (self._test(f) for f in facts if f.kind == "test" and f.what in wanted)
        return tuple(test for test in read if test is not None)

    def _test(self, fact: Fact) -> Test | None:
        t = days_since_epoch(fact.when)
        value = self._value(fact, t)
        target = fact.detail.get("of", "")
        known, known_sd = self._known(target, fact.what) if target else (0.0, 0.0)
        if value is None or (target and known_sd <= 0.0):
            return None
        belief = BELIEFS[fact.what]
        name = fact.detail.get("method", "")
        method = self._method(name, fact.what)
        noise, fraction = method_noise(belief, method)
        trueness = method.trueness if method is not None else None
        if trueness is None:
            trueness = 0.5 * math.hypot(noise, fraction * max(value, belief.floor))
        return Test(
            t=t,
            quantity=fact.what,
            value=value,
            noise=noise,
            fraction=fraction,
            step=(method.resolution or 0.0) if method is not None else 0.0,
            trueness=trueness,
            described=method is not None
            and (method.repeatability is not None or method.repeatability_fraction is not None),
            method=name,
            lot=fact.detail.get("lot", ""),
            fact=fact.id,
            replicate=fact.detail.get("replicate", ""),
            edge=fact.value[:1] if fact.value[:1] in ("<", ">") else "",
            target=target,
            known=known,
            known_sd=known_sd,
            verdict=self.verdicts.get(fact.id, ""),
            typed=f"{fact.value} {fact.unit}".strip(),
        )

    def _method(self, name: str, quantity: str) -> Method | None:
        if (name, quantity) not in self._methods:
            self._methods[name, quantity] = find_method(self.system, name, quantity)
        return self._methods[name, quantity]

    def _value(self, fact: Fact, t: float) -> float | None:
        return _canonical(fact, self.conditions_at(t) if self._is_relative(fact) else None)

    def _is_relative(self, fact: Fact) -> bool:
        """Whether the reading means something else in other water."""
        spelled = (fact.what, fact.unit)
        if spelled not in self._relative:
            try:
                self._relative[spelled] = bool(depends_on(*spelled))
            except BrinebookError:
                self._relative[spelled] = False  # it can't be converted at all
        return self._relative[spelled]

    def _known(self, target: str, quantity: str) -> tuple[float, float]:
        """Value and sd of a reference; a mix is known by its label until tests say otherwise."""
        for reference in self.system.references:
            if reference.name.casefold() == target.casefold():
                measure = reference.composition.get(quantity)
                return (measure.value, max(measure.sd, 1e-9)) if measure else (0.0, 0.0)
        mix = find_mix(self.system, target)
        if mix is not None and quantity in mix.composition:
            value = mix.composition[quantity]
            return value, max(mix.sd * value, 1e-9)
        return 0.0, 0.0


def reader_of(system: System, facts: Iterable[Fact], verdicts: Mapping[str, str]) -> Reader:
    """A reader that knows the salinity and temperature which the facts (in time order) tell."""
    measured: dict[str, tuple[list[float], list[float]]] = {name: ([], []) for name in _USUAL}
    for fact in facts:
        if fact.kind == "test" and fact.what in measured and not fact.detail.get("of"):
            value = _canonical(fact, Conditions())
            if value is not None:
                times, values = measured[fact.what]
                times.append(days_since_epoch(fact.when))
                values.append(value)
    return Reader(system, verdicts, measured)


def _canonical(fact: Fact, conditions: Conditions | None) -> float | None:
    temperature = fact.detail.get("temperature")
    try:
        return to_canonical(
            fact.what,
            float(fact.value.lstrip("<>")),
            fact.unit,
            conditions=conditions,
            detail_temperature=_degrees(temperature) if temperature else None,
        ).value
    except (BrinebookError, ValueError):
        return None


def _degrees(text: str) -> float:
    value, unit = units.split_amount(text)
    return to_canonical("temperature", float(value), unit or "C").value
