"""The state of the balance: which numbers it holds, and what is believed of them.

Moving numbers come first (concentrations, rates, what is left in containers), then the constants
(volume, pumps, bottles, mixes, the biases of tests), each under a readable name.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance.season import Exchange, Floats, MediaSwap, Pour, Season, Test

FERRIC = "ferric"

#: Spreads of constants that are the same in every system.
_USUAL = {
    "food": 0.3,
    "light": beliefs.LIGHT_DOUBT,
    "lost": beliefs.WATER_LOST_SD,
    "response": beliefs.USE_ELASTICITY_SD,
}

#: The two waves of a day by which the swing of calcification may differ from the usual one.
LIGHT = ("light|noon", "light|evening")

#: Spread of what starts from nothing: media not yet in, evaporation about its setting (a fraction),
#: what is left in a container before its first mark (mL).
_AT_REST = {"media": 1e-6, "tap": 0.25, "left": 1e5}


@dataclass(frozen=True, slots=True)
class Belief:
    """A joint normal belief: names, means and covariance, as of a time."""

    t: float
    names: tuple[str, ...]
    mean: Floats
    covariance: Floats

    def index(self) -> dict[str, int]:
        """Position of each name."""
        return {name: position for position, name in enumerate(self.names)}


@dataclass(frozen=True, slots=True)
class Anchor:
    """Fixed points of the season that a rate is told against: set by its first tests."""

    level: dict[str, float]

    def of(self, quantity: str) -> float:
        """The quantity's usual level, never under its floor."""
        return max(self.level.get(quantity, 0.0), 1e-12)


def anchor(season: Season) -> Anchor:
    """Median of the first five tests of each quantity; it doesn't move once five exist."""
    level = {}
    for name in season.quantities:
        first = [test.value for test in season.tests if test.quantity == name and not test.target]
        floor = beliefs.BELIEFS[name].floor if beliefs.BELIEFS[name].relative else 1e-12
        level[name] = max(float(np.median(first[:5])), floor) if first else floor
    return Anchor(level)


def bias_names(test: Test) -> tuple[str, str]:
    """Names of the constants that hold a method's own bias and its lot's."""
    method = f"bias|{test.quantity}|{test.method}"
    return method, f"lot|{test.quantity}|{test.method}|{test.lot}"


def moving_names(season: Season) -> tuple[str, ...]:
    """The moving part of the state, for the whole season."""
    names = [f"level|{name}" for name in season.quantities]
    if beliefs.BELIEFS[season.quantities[0]].has_mass:
        names += [f"rate|{name}" for name in season.quantities]
        if any(name in beliefs.SKELETON for name in season.quantities):
            names.append("growth")
        if "phosphate" in season.quantities and _media(season):
            names.append("media")
        names += [f"tap|{flow.name}" for flow in season.flows if flow.evaporates]
        names += [f"left|{name}" for name in sorted(season.fullest)]
    return tuple(names)


def _media(season: Season) -> bool:
    return any(isinstance(event, MediaSwap) and event.name == FERRIC for event in season.events)


def constant_names(season: Season, start: float, end: float) -> tuple[str, ...]:
    """The constants that matter after ``start`` and up to ``end``, in a fixed order."""
    has_mass = beliefs.BELIEFS[season.quantities[0]].has_mass
    names = _mass_constants(season, start, end) if has_mass else set()
    for test in season.tests_in(start, end):
        names |= set(bias_names(test))
        if test.target and test.target in season.mixes:
            names.add(f"mix|{test.target}|{test.quantity}")
    return tuple(sorted(names))


def _mass_constants(season: Season, start: float, end: float) -> set[str]:
    names = {"volume", "lost"}
    if "alkalinity" in season.quantities:
        names |= {"response", *LIGHT}
    for flow in season.flows:
        names |= {f"pump|{flow.name}", f"strength|{flow.name}"}
    mixes = {stream.mix for stream in season.streams if stream.mix}
    for event in season.events_in(start, end):
        if isinstance(event, Pour):
            names.add(f"strength|{event.additive}")
        if isinstance(event, Exchange) and event.mix:
            mixes.add(event.mix)
    names |= {f"mix|{mix}|{name}" for mix in mixes for name in season.quantities}
    for stream in season.streams_in(start, end):
        measured = zip(season.quantities, stream.labelled, strict=True)
        names |= {f"inflow|{name}" for name, labelled in measured if not labelled}
    if season.food is not None:
        names |= {f"food|{name}" for name in ("nitrate", "phosphate") if name in season.quantities}
    return names


@dataclass(frozen=True, slots=True)
class Supply:
    """What a window's water is supplied with: alkalinity dosed (meq/L/d), volumes that pass through
    in a day, and how far that water may lie off what was measured of it."""

    dosing: float
    passing: float
    inflow_sd: dict[str, float]


def supply(season: Season, dosing: float, start: float, end: float) -> Supply:
    """The supply of a window, from its first days."""
    found = {}
    running = season.streams_in(start, end)
    for position, name in enumerate(season.quantities):
        # Each row was measured anew, so that their mean is known the better the more there are.
        sds = [s.incoming_sd[position] for s in running if not s.labelled[position]]
        if sds:
            found[name] = float(np.sqrt(np.mean(np.square(sds)) / len(sds)))
    return Supply(dosing, season.passing(start, min(end, start + 30.0)), found)


def prior(season: Season, fixed: Anchor, name: str, given: Supply) -> tuple[float, float]:
    """Mean and standard deviation of one number before any test."""
    kind, _, rest = name.partition("|")
    quantity = rest.partition("|")[0]
    if kind == "level":
        belief = beliefs.BELIEFS[quantity]
        spread = belief.spread
        if belief.relative:
            spread *= max(fixed.of(quantity), belief.floor)
        return fixed.of(quantity), spread
    if kind == "rate":
        return 0.0, rate_spread(fixed, quantity, given.dosing)
    if kind == "growth":
        mean, spread = beliefs.USE_PRIOR
        dosed = beliefs.USE_PRIOR_DOSING_SD * given.dosing
        passed = beliefs.USE_PRIOR_PASSING_SD * given.passing
        return given.dosing + mean, math.hypot(spread, dosed, passed)
    if kind == "inflow":
        return 0.0, given.inflow_sd.get(rest, 0.0)
    if kind in _AT_REST:
        return 0.0, _AT_REST[kind]
    return 0.0, _constant_spread(season, kind, rest)


def rate_spread(fixed: Anchor, quantity: str, use: float) -> float:
    """Standard deviation of a quantity's own rate at the start."""
    belief = beliefs.BELIEFS[quantity]
    spread = belief.use_sd * (max(fixed.of(quantity), belief.floor) if belief.relative else 1.0)
    coefficient, share = beliefs.SKELETON.get(quantity, (0.0, 0.0))
    return math.hypot(spread, share * coefficient * max(use, 0.05))


def _constant_spread(season: Season, kind: str, rest: str) -> float:
    if kind in _USUAL:
        return _USUAL[kind]
    if kind == "volume":
        return season.volume_sd
    if kind == "pump":
        return season.pump_sd.get(rest, 0.05)
    if kind == "strength":
        return season.strength_sd.get(rest, 0.01)
    if kind == "mix":
        return 0.6 * season.mix_sd.get(rest.partition("|")[0], 0.04)
    quantity, _, method = rest.partition("|")
    method = method.partition("|")[0]
    trueness = (
        test.trueness
        for test in season.tests
        if test.quantity == quantity and test.method == method
    )
    spread = next(trueness, beliefs.BELIEFS[quantity].noise / 2)
    share = beliefs.BIAS_KEPT if kind == "bias" else 1.0 - beliefs.BIAS_KEPT
    return max(spread, 1e-9) * math.sqrt(share)


def extend(
    season: Season,
    fixed: Anchor,
    belief: Belief | None,
    *,
    start: float,
    end: float,
    dosing: float,
) -> Belief:
    """The belief at the start of a window, over the names that the window needs."""
    names = moving_names(season) + constant_names(season, start, end)
    given = supply(season, dosing, start, end)
    size = len(names)
    mean = np.zeros(size)
    covariance = np.zeros((size, size))
    known = belief.index() if belief is not None else {}
    for position, name in enumerate(names):
        if name not in known:
            mean[position], spread = prior(season, fixed, name, given)
            covariance[position, position] = spread**2
    kept = [(position, known[name]) for position, name in enumerate(names) if name in known]
    if belief is not None and kept:
        here = np.array([pair[0] for pair in kept])
        there = np.array([pair[1] for pair in kept])
        mean[here] = belief.mean[there]
        covariance[np.ix_(here, here)] = belief.covariance[np.ix_(there, there)]
    return Belief(start, names, mean, covariance)
