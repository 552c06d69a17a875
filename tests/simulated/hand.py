"""What people do by hand, to compare with: lines through a few tests, corrected for dosing.

All of them use the keeper's believed volume and recipes, the mix's label, and nothing of the
truth. A water change is allowed for with the last reading before it.
"""

from __future__ import annotations

import tomllib
import warnings
from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np

from tests.simulated.case import Case, Row
from tests.simulated.chemistry import PER_GRAM, QUANTITIES
from tests.simulated.scenario import UNIT_FACTOR

Point = tuple[float, float]


@dataclass(frozen=True)
class Answer:
    """Use a day, the state now and in seven days, in canonical units."""

    use: float
    now: float
    ahead: float


@dataclass
class Ledger:
    """The tests of one quantity, and what is known to have come in (per litre, cumulative)."""

    tests: list[Point] = field(default_factory=list)
    jumps: list[Point] = field(default_factory=list)
    rates: dict[str, list[Point]] = field(default_factory=dict)  # source -> (from, rate a day)

    def brought(self, start: float, end: float) -> float:
        total = sum(size for when, size in self.jumps if start < when <= end)
        for steps in self.rates.values():
            for place, (when, rate) in enumerate(steps):
                until = steps[place + 1][0] if place + 1 < len(steps) else float("inf")
                total += rate * max(min(end, until) - max(start, when), 0.0)
        return total

    def rate(self, at: float) -> float:
        total = 0.0
        for steps in self.rates.values():
            place = bisect_right([when for when, _ in steps], at) - 1
            total += steps[place][1] if place >= 0 else 0.0
        return total


def days_since(epoch: datetime, when: datetime) -> float:
    return (when - epoch).total_seconds() / 86400.0


class Reader:
    """A case as the hand methods read it."""

    def __init__(self, case: Case) -> None:
        self.system: dict[str, Any] = tomllib.loads(case.system_toml)
        self.volume = float(self.system["net_volume"]["value"].split()[0])
        self.epoch = case.history[0].instant
        self.additives = {each["name"]: _per_ml(each) for each in self.system.get("additives", [])}
        self.label = _label(self.system)
        self.ledgers = {name: Ledger() for name in QUANTITIES}
        self._level: dict[str, Point] = {}
        for row in case.history:
            self._read(row)

    def _read(self, row: Row) -> None:
        t = days_since(self.epoch, row.instant)
        act: Callable[[float, Row], None] | None = {
            "test": self._test,
            "dose": self._dose,
            "dosing": self._dosing,
            "water_change": self._change,
            "level": self._limewater,
        }.get(row.kind)
        if act is not None:
            act(t, row)

    def _test(self, t: float, row: Row) -> None:
        value = float(row.value.lstrip("<>"))
        value /= UNIT_FACTOR.get((row.what, row.unit), 1.0)
        tests = self.ledgers[row.what].tests
        if tests and t - tests[-1][0] < 1.0 / 24.0:  # replicates are one occasion
            tests[-1] = (tests[-1][0], (tests[-1][1] + value) / 2.0)
        else:
            tests.append((t, value))

    def _dose(self, t: float, row: Row) -> None:
        if row.unit == "g":
            content = {QUANTITIES[i]: each for i, each in PER_GRAM[row.what].items()}
        else:
            content = dict(self.additives[row.what])
        for name, each in content.items():
            self.ledgers[name].jumps.append((t, each * float(row.value) / self.volume))

    def _dosing(self, t: float, row: Row) -> None:
        for name, each in self.additives[row.what].items():
            steps = self.ledgers[name].rates.setdefault(row.what, [])
            steps.append((t, each * float(row.value) / self.volume))

    def _change(self, t: float, row: Row) -> None:
        part = float(row.value) / (100.0 if "%" in row.unit else self.volume)
        detail = dict(pair.split("=", 1) for pair in row.detail.split(";") if "=" in pair)
        for name, label in self.label.items():
            ledger = self.ledgers[name]
            if not ledger.tests:
                continue
            gap = float(detail.get(name, label)) - ledger.tests[-1][1]
            if row.unit.endswith("/day"):
                ledger.rates.setdefault("change", []).append((t, part * gap))
            else:
                ledger.jumps.append((t, part * gap))

    def _limewater(self, t: float, row: Row) -> None:
        if row.what != "limewater":
            return
        litres = float(row.value)
        last = self._level.get(row.what)
        if last is not None and litres < last[1]:
            for name, each in self.additives[row.what].items():
                rate = each * 1000.0 * (last[1] - litres) / (t - last[0]) / self.volume
                steps = self.ledgers[name].rates.setdefault(row.what, [])
                steps.append((last[0], rate))
        self._level[row.what] = (t, litres)


def _per_ml(additive: Mapping[str, Any]) -> dict[str, float]:
    recipe = additive.get("recipe", {})
    if "salt" in recipe:
        grams = float(recipe["grams_per_litre"]) * 1e-3
        return {QUANTITIES[i]: each * grams for i, each in PER_GRAM[recipe["salt"]].items()}
    described = recipe.get("per_ml", additive.get("per_ml", {}))
    return {name: float(text.split()[0]) for name, text in described.items()}


def _label(system: Mapping[str, Any]) -> dict[str, float]:
    mixes = system.get("mixes", [])
    if not mixes:
        return {}
    label = {n: float(v.split()[0]) for n, v in mixes[0].items() if n in QUANTITIES}
    return {"nitrate": 0.0, "phosphate": 0.0} | label


def _corrected(ledger: Ledger, points: list[Point]) -> tuple[list[float], list[float]]:
    origin = points[0][0]
    return [t for t, _ in points], [value - ledger.brought(origin, t) for t, value in points]


def _line(ledger: Ledger, at: float, count: int) -> Answer | None:
    points = ledger.tests[-count:]
    if len(points) < 2:
        return None
    times, values = _corrected(ledger, points)
    slope, level = np.polyfit(np.array(times) - at, np.array(values), 1)
    now = float(level) + ledger.brought(times[0], at)
    return Answer(-float(slope), now, now + 7.0 * (float(slope) + ledger.rate(at)))


def two_point(ledger: Ledger, at: float) -> Answer | None:
    """The slope between the last two tests; the last reading carried on."""
    return _line(ledger, at, 2)


def line_of_five(ledger: Ledger, at: float) -> Answer | None:
    return _line(ledger, at, 5)


def line_of_six(ledger: Ledger, at: float) -> Answer | None:
    return _line(ledger, at, 6)


def local_linear_trend(ledger: Ledger, at: float) -> Answer | None:
    """statsmodels' local linear trend on a daily grid, its variances by maximum likelihood."""
    points = ledger.tests[-120:]
    if len(points) < 6:
        return None
    from statsmodels.tsa.statespace.structural import UnobservedComponents

    times, values = _corrected(ledger, points)
    grid = np.full(int(at) - int(times[0]) + 1, np.nan)
    for t, value in zip(times, values, strict=True):
        grid[int(t) - int(times[0])] = value
    scale = float(np.nanstd(grid)) or 1.0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = UnobservedComponents(grid / scale, "lltrend").fit(disp=False, maxiter=60)
    level, slope = (float(each) * scale for each in fit.filtered_state[:2, -1])
    now = level + ledger.brought(times[0], at)
    return Answer(-slope, now, now + 7.0 * (slope + ledger.rate(at)))


METHODS: dict[str, Callable[[Ledger, float], Answer | None]] = {
    "two_point": two_point,
    "line5": line_of_five,
    "line6": line_of_six,
}
SLOW_METHODS = {"trend": local_linear_trend}
SLOW_QUANTITIES = ("alkalinity", "calcium")


def by_hand(case: Case, at: datetime, *, slow: bool = False) -> dict[str, dict[str, Answer]]:
    """Method -> quantity -> answer, from what was known at ``at``."""
    reader = Reader(case.until(at))
    now = days_since(reader.epoch, at)
    methods = METHODS | (SLOW_METHODS if slow else {})
    result: dict[str, dict[str, Answer]] = {name: {} for name in methods}
    for name, method in methods.items():
        for quantity, ledger in reader.ledgers.items():
            if not ledger.tests or (name in SLOW_METHODS and quantity not in SLOW_QUANTITIES):
                continue
            answer = method(ledger, now)
            if answer is not None:
                result[name][quantity] = answer
    return result
