"""Where nitrogen and phosphorus come from and go, and what a lever would do to their levels.

All arrays are draws: one row of numbers for each draw of the belief, so that a chance is a share of
draws. Masses are mg of N or P, levels mg/L of NO3 or PO4, rates a day.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from brinebook.balance.beliefs import (
    ALKALINITY_PER_NITRATE,
    BELIEFS,
    NITRATE_PER_N,
    PHOSPHATE_PER_P,
)
from brinebook.planning.spread import Floats, Spread

#: The level that is tested for each element, and mg of it for a mg of the element.
LEVELS: Mapping[str, tuple[str, float]] = MappingProxyType(
    {"nitrogen": ("nitrate", NITRATE_PER_N), "phosphorus": ("phosphate", PHOSPHATE_PER_P)}
)
ELEMENT_OF: Mapping[str, str] = MappingProxyType({"nitrate": "nitrogen", "phosphate": "phosphorus"})

#: Levels under which a nutrient is as good as gone, mg/L: common practice. Corals short of
#: phosphorus beside much nitrogen bleached sooner, so too little is warned of like too much.
#: Source: wiedenmann2013
GONE: Mapping[str, float] = MappingProxyType({"nitrate": 1.0, "phosphate": 0.02})

#: The most that a level is let fall in a week, as a share of it: common practice, no source.
WEEKLY_FALL: Mapping[str, float] = MappingProxyType({"nitrate": 0.5, "phosphate": 1.0 / 3.0})

#: Share of an excess that the reef takes up in a day (uptake follows the level): the balance's own
#: belief in the middle, and as far as it may be off.
PULL: Mapping[str, Spread] = MappingProxyType(
    {
        name: Spread(BELIEFS[name].pull / 3.5, BELIEFS[name].pull, 3.5 * BELIEFS[name].pull)
        for name in GONE
    }
)

#: How uptake follows the level: half of its most at so many times today's level. Small: it is
#: nearly full already, and a smaller supply pulls the level far down. Common practice, no source.
HALF_AT = Spread(0.3, 1.2, 6.0)
#: What rock and sand hold for each mg in the water, ready to come back: a phosphate level moves so
#: much slower than the water alone would. Common practice, no source; nitrate isn't held.
STORED: Mapping[str, Spread] = MappingProxyType(
    {"nitrate": Spread(0.0, 0.0, 0.0), "phosphate": Spread(1.0, 4.0, 15.0)}
)


def alkalinity_drawn(nitrate: float) -> float:
    """meq/L of alkalinity that went where so much nitrate (mg/L) was made of ammonia: 1 eq a mole.

    It comes back as nitrate is taken up or denitrified.
    """
    return nitrate * ALKALINITY_PER_NITRATE


@dataclass(frozen=True, slots=True)
class Budget:
    """One element's flows, mg a day, as draws: what is fed, and where it goes.

    ``fed``: in the food; ``kept``: of it, by growing animals; ``algae``, ``media``, ``changes``:
    taken out; ``rises``: what the water gains. ``rest`` closes it: denitrification, the skimmer's
    solids, sand and rock, animals; below zero where more goes than food brings.
    """

    fed: Floats
    kept: Floats
    algae: Floats
    media: Floats
    changes: Floats
    rises: Floats

    @property
    def to_water(self) -> Floats:
        """What of the food reaches the water."""
        return self.fed - self.kept

    @property
    def rest(self) -> Floats:
        """What nothing in the book explains."""
        return self.to_water - self.algae - self.media - self.changes - self.rises

    @property
    def explained(self) -> Floats:
        """The share of what food brings to the water whose way is known, 0 to 1."""
        known = self.algae + self.media + self.changes + np.maximum(self.rises, 0.0)
        return np.asarray(np.clip(known / np.maximum(self.to_water, 1e-12), 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Nutrient:
    """One level as draws (mg/L, and mg/L a day of the water's litres).

    ``now`` and ``net``: the level and its change a day as things go; ``supply``: what comes in a
    day; ``half``: uptake is half of its most at so many times today's level; ``stored``: what rock
    and sand hold for each mg in the water.
    """

    name: str
    now: Floats
    net: Floats
    supply: Floats
    half: Floats
    stored: Floats
    band: tuple[float, float]

    @property
    def gone(self) -> float:
        """The level under which it is as good as gone."""
        return GONE[self.name]

    @property
    def uptake(self) -> Floats:
        """What is taken out of the water in a day now: the supply, less what it gains."""
        gains = (1.0 + self.stored) * self.net
        return np.asarray(np.maximum(self.supply - gains, 0.05 * self.supply))

    def some(self, count: int) -> Nutrient:
        """Every so manieth draw, to try out sizes quickly."""
        step = max(self.now.size // count, 1)
        return replace(
            self,
            **{
                name: getattr(self, name)[::step]
                for name in ("now", "net", "supply", "half", "stored")
            },
        )


@dataclass(frozen=True, slots=True)
class Push:
    """What a lever does to one level: mg/L a day more or less in supply and in uptake (at today's
    level), and a share a day of the water changed for some that holds ``towards``."""

    supply: Floats | float = 0.0
    uptake: Floats | float = 0.0
    share: float = 0.0
    towards: float = 0.0

    def some(self, count: int) -> Push:
        """Every so manieth draw."""

        def thin(value: Floats | float) -> Floats | float:
            return value if isinstance(value, float) else value[:: max(value.size // count, 1)]

        return replace(self, supply=thin(self.supply), uptake=thin(self.uptake))


#: Days of one step of a course.
STEP = 1.0


def course_of(nutrient: Nutrient, days: int, push: Push | None = None) -> Floats:
    """The level at the end of every day under a push, day by draw; the first row is now.

    (1 + stored) dC/dt = supply - uptake f(C / C now) - share (C - towards), with
    f(x) = x (1 + half) / (x + half): nothing is taken where nothing is left. Each step is implicit
    in the level that it ends at, so levels stay above zero.
    """
    if push is None:
        push = Push()
    supply = np.maximum(nutrient.supply + push.supply, 0.0) + push.share * push.towards
    uptake = np.maximum(nutrient.uptake + push.uptake, 0.0)
    holds = 1.0 + nutrient.stored
    level = nutrient.now
    told = [level]
    for _ in range(days):
        relative = level / nutrient.now
        rate = uptake * (1.0 + nutrient.half) / (nutrient.now * (relative + nutrient.half))
        level = (level + STEP * supply / holds) / (1.0 + STEP * (rate + push.share) / holds)
        told.append(level)
    return np.array(told)


def share_of_change(weekly: float) -> float:
    """A share changed each week as the share a day that does the same in the long run.

    Source: levenspiel1999
    """
    return float(-np.log1p(-weekly) / 7.0)


@dataclass(frozen=True, slots=True)
class Lever:
    """Something that the keeper can do: its size has ``unit`` and goes up to ``most``.

    ``pushes`` turns a size into what it does to each level.
    """

    name: str
    unit: str
    most: float
    pushes: Callable[[float], Mapping[str, Push]]


@dataclass(frozen=True, slots=True)
class Pulled:
    """A lever at the size that it takes, and what comes of it."""

    lever: Lever
    size: float
    reaches: bool
    held_by: str  # "", "size" or "fall": what kept it from being larger
    days: float | None  # until the middle of belief is at the goal
    levels: Mapping[str, Floats]  # at the end of the horizon
    gone: Mapping[str, float]  # chance of each level being as good as gone within it
    in_band: Mapping[str, float]


#: Draws that sizes are tried out on; what is told of the one chosen rests on all.
_TRIED = 800


def pull_lever(
    lever: Lever,
    nutrients: Mapping[str, Nutrient],
    about: str,
    *,
    goal: float,
    horizon: int,
    per_day: float | None = None,
) -> Pulled:
    """The size of a lever that brings the middle of belief to ``goal`` at the horizon (days).

    Held below ``most``, and where the level falls, below what is let fall in a week (and
    ``per_day`` where the keeper set that).
    """
    nutrient = nutrients[about].some(_TRIED)
    start = float(np.median(nutrient.now))
    falling = goal < float(np.median(course_of(nutrient, horizon)[-1]))

    def middle(size: float, days: int) -> float:
        push = lever.pushes(size).get(about, Push()).some(_TRIED)
        return float(np.median(course_of(nutrient, days, push)[-1]))

    def passes(size: float) -> bool:
        ended = middle(size, horizon)
        return ended <= goal if falling else ended >= goal

    size = _smallest(passes, lever.most)
    held = "" if size is not None else "size"
    size = lever.most if size is None else size
    if falling:
        floor = start * (1.0 - WEEKLY_FALL[about])
        slow = _smallest(lambda s: middle(s, 7) < floor, size)
        if per_day is not None:
            quick = _smallest(lambda s: start - middle(s, 1) > per_day, size)
            slow = min((s for s in (slow, quick) if s is not None), default=None)
        if slow is not None and slow < size:
            size, held = slow, "fall"
    return _told(lever, nutrients, about, size=size, goal=goal, horizon=horizon, held=held)


def _smallest(true: Callable[[float], bool], most: float) -> float | None:
    """The smallest size from which on something holds, by halving; None where it never does."""
    if not true(most):
        return None
    low, high = 0.0, most
    for _ in range(16):
        middle = (low + high) / 2.0
        low, high = (low, middle) if true(middle) else (middle, high)
    return high


def _told(
    lever: Lever,
    nutrients: Mapping[str, Nutrient],
    about: str,
    *,
    size: float,
    goal: float,
    horizon: int,
    held: str,
) -> Pulled:
    pushes = lever.pushes(size)
    courses = {name: course_of(each, horizon, pushes.get(name)) for name, each in nutrients.items()}
    middles = np.median(courses[about], axis=1)
    falling = goal < float(np.median(course_of(nutrients[about], horizon)[-1]))
    near = 0.02 * goal  # of the goal: nobody measures nearer
    there = middles <= goal + near if falling else middles >= goal - near
    return Pulled(
        lever,
        size,
        bool(there[-1]),
        held,
        float(np.argmax(there)) if there.any() else None,
        {name: each[-1] for name, each in courses.items()},
        {name: risk_of_gone(nutrients[name], each) for name, each in courses.items()},
        {name: chance_in_band(nutrients[name], each[-1]) for name, each in courses.items()},
    )


def risk_of_gone(nutrient: Nutrient, course: Floats) -> float:
    """Chance that a level runs out over a course (day by draw).

    It stands under ``gone`` at the end, or did on the way and not at the start: what is gone today
    and comes back isn't held against a plan.
    """
    under = course < nutrient.gone
    return float(np.mean(under[-1] | (~under[0] & under.any(axis=0))))


def chance_in_band(nutrient: Nutrient, levels: Floats) -> float:
    """Share of the draws that lie in the band."""
    low, high = nutrient.band
    return float(np.mean((levels >= low) & (levels <= high)))
