"""Phosphate and ferric media together, as draws: learned from tests, and carried on.

The water gains phosphate at a steady rate, the reef and its rock take it in proportion to the
level (and give it back as the level falls), and what passes the media is caught in proportion to
what the water holds above the level that the media are in balance with:

    dC/dt = gain - take C - a max(C - C*(q), 0),   C*(q) by the isotherm,
    a = caught flow / V,   caught = 1 - exp(-k grams / flow): first order along the bed.

One shape for every draw; what differs are the numbers. C in mg/L of PO4, q in mg P/g, days.
Source: golterman1995, chitrakar2006
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brinebook.planning.ferric import (
    CAUGHT_FRESH,
    EXPONENT,
    EXPONENT_SD,
    FACTOR_SPREAD,
    HELD_AT_REFERENCE,
    PHOSPHATE_PER_P,
    REFERENCE_LEVEL,
)
from brinebook.planning.nutrients import PULL
from brinebook.planning.spread import Floats, Spread, deviates

#: Draws that the tests are held against, and those that are carried on afterwards.
PRIOR_DRAWS, DRAWS = 16_000, 2_000
#: Days of one step: the media of a reef tire over days, and the level follows within one.
STEP = 0.25
#: Where nobody said how much water passes the media, L/h: common practice, no source.
UNKNOWN_FLOW = Spread(15.0, 60.0, 250.0)
#: Grams for each L/h at which ``caught`` is told: 100 g in 50 L/h (a usual small reactor).
CAUGHT_AT = 2.0
#: How far a level wanders besides, as a share of it; degrees of freedom of a test's error, few so
#: that a wrong test can't rule. Common practice, no source.
WANDERS = 0.25
FREEDOM = 4.0
#: Media are called tired when they catch so much less than fresh: common practice, no source.
TIRED = 0.25


@dataclass(frozen=True, slots=True)
class Draws:
    """Numbers of the model by draw: factor and exponent of the isotherm, ``caught`` of what passes
    fresh media of ``CAUGHT_AT`` g for each L/h (0 to 1), ``take`` (1/d), ``gain`` (mg/L/d), litres,
    and the state: level (mg/L) and mg P on a gram.
    """

    factor: Floats
    exponent: Floats
    caught: Floats
    take: Floats
    gain: Floats
    litres: Floats
    level: Floats
    held: Floats

    def chosen(self, order: Floats) -> Draws:
        """The draws at these places."""
        return Draws(*(getattr(self, name)[order] for name in _FIELDS))


_FIELDS = ("factor", "exponent", "caught", "take", "gain", "litres", "level", "held")


@dataclass(frozen=True, slots=True)
class Bed:
    """Media as put in: grams (0: none) and the flow through it in L/h (draws or a number)."""

    grams: float
    flow: Floats | float


@dataclass(frozen=True, slots=True)
class Reading:
    """A phosphate test: days since the start, mg/L, its standard deviation; of the water, or of
    what leaves the media; ``edge`` is "<" where it was below the kit's scale."""

    t: float
    value: float
    sd: float
    outflow: bool = False
    edge: str = ""


@dataclass(frozen=True, slots=True)
class Happened:
    """What was done at a time: media put in (``bed``), or a share of the water changed."""

    t: float
    bed: Bed | None = None
    changed: float = 0.0
    incoming: float = 0.0


def prior_draws(
    level: Spread,
    usual: Spread,
    litres: Floats,
    *,
    gain: Spread | None = None,
    count: int = PRIOR_DRAWS,
) -> Draws:
    """Draws before any test: ``level`` at the start, ``usual`` where it would settle without media.

    ``litres`` are drawn anew from those given. ``gain`` is what food brings the water, mg of PO4 a
    day in all, where it is known: else it is what would hold ``usual`` against the reef's pull.
    """
    take = PULL["phosphate"].drawn(deviates(91, count))
    litres = np.asarray(litres[np.arange(count) % litres.size])
    if gain is None:
        gains = take * usual.drawn(deviates(92, count))
    else:
        gains = gain.drawn(deviates(92, count)) / litres
    return Draws(
        factor=FACTOR_SPREAD.drawn(deviates(93, count)),
        exponent=np.asarray(EXPONENT + EXPONENT_SD * deviates(94, count)),
        caught=np.minimum(CAUGHT_FRESH.drawn(deviates(95, count)), 0.98),
        take=take,
        gain=np.asarray(gains),
        litres=litres,
        level=level.drawn(deviates(96, count)),
        held=np.zeros(count),
    )


def balance_level(draws: Draws, held: Floats) -> Floats:
    """The level (mg/L of PO4) that media holding so much are in balance with."""
    share = np.maximum(held, 0.0) / (draws.factor * HELD_AT_REFERENCE)
    return np.asarray(PHOSPHATE_PER_P * REFERENCE_LEVEL * share ** (1.0 / draws.exponent))


def holds(draws: Draws, level: Floats) -> Floats:
    """What a gram holds in the end at a level (mg/L of PO4), mg P."""
    share = np.maximum(level, 0.0) / PHOSPHATE_PER_P / REFERENCE_LEVEL
    return np.asarray(draws.factor * HELD_AT_REFERENCE * share**draws.exponent)


def catches(draws: Draws, bed: Bed) -> Floats:
    """The share of what passes that these media catch while fresh, first order along the bed."""
    k = -np.log1p(-draws.caught) / CAUGHT_AT
    return np.asarray(-np.expm1(-k * bed.grams / np.maximum(bed.flow, 1e-9)))


def step(draws: Draws, bed: Bed, length: float) -> Draws:
    """The draws after ``length`` days (at most a day or so): mass is kept to rounding.

    Within the step the media's own level stands still, and the water follows it exactly.
    """
    stands = balance_level(draws, draws.held)
    passing = 24.0 * np.asarray(bed.flow) * catches(draws, bed) / draws.litres
    works = np.where(draws.level > stands, passing, 0.0)
    rate = draws.take + works
    settles = (draws.gain + works * stands) / rate
    left = np.exp(-rate * length)
    level = settles + (draws.level - settles) * left
    mean = settles + (draws.level - settles) * (1.0 - left) / (rate * length)
    caught = works * (mean - stands) * length  # mg/L over the step
    if bed.grams <= 0.0:
        return replace(draws, level=np.asarray(np.maximum(level, 0.0)))
    per_gram = draws.litres / PHOSPHATE_PER_P / bed.grams
    room = np.maximum(holds(draws, level) - draws.held, 0.0)
    taken = np.clip(caught * per_gram, 0.0, room)
    level = level + np.maximum(caught, 0.0) - taken / per_gram  # what had no room stays in
    return replace(
        draws, level=np.asarray(np.maximum(level, 0.0)), held=np.asarray(draws.held + taken)
    )


def outflow(draws: Draws, bed: Bed) -> Floats:
    """The level of what leaves the media."""
    stands = balance_level(draws, draws.held)
    caught = catches(draws, bed) * np.maximum(draws.level - stands, 0.0)
    return np.asarray(draws.level - caught)


def strength(draws: Draws) -> Floats:
    """How well the media catch, against fresh ones: 1 to 0."""
    stands = balance_level(draws, draws.held)
    return np.asarray(np.clip(1.0 - stands / np.maximum(draws.level, 1e-9), 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Learned:
    """The draws at the end, all of the same weight; how many of the first ones truly spoke."""

    draws: Draws
    bed: Bed
    spoke: float
    tests: int


def learn(
    draws: Draws,
    bed: Bed,
    *,
    tests: Sequence[Reading],
    happened: Sequence[Happened],
    until: float,
    keep: int = DRAWS,
) -> Learned:
    """Carry the draws from day 0 to ``until``, weigh them by every test, and choose by weight."""
    weight = np.zeros(draws.level.size)
    marks = sorted({0.0, until, *(t.t for t in tests), *(h.t for h in happened)})
    position = 0.0
    for mark in (m for m in marks if m <= until):
        while position < mark - 1e-9:
            length = min(STEP, mark - position)
            draws = step(draws, bed, length)
            position += length
        here = [t for t in tests if t.t == mark]
        inflow = next((t for t in here if not t.outflow and not t.edge), None)
        for test in here:
            if test.outflow and inflow is not None and bed.grams > 0.0:
                weight += _pair_speaks(test, inflow, draws, bed)
            else:
                weight += _speaks(test, draws, bed)
        for event in (h for h in happened if h.t == mark):
            draws, bed = _do(draws, bed, event)
    share = np.exp(weight - weight.max())
    share /= share.sum()
    return Learned(draws.chosen(_by_weight(share, keep)), _bed_of(bed, share, keep), _spoke(share),
                   len(tests))  # fmt: skip


def _speaks(test: Reading, draws: Draws, bed: Bed) -> Floats:
    """Log-likelihood of a test: Student's t about the level, or the tail below an edge."""
    told = outflow(draws, bed) if test.outflow and bed.grams > 0.0 else draws.level
    return _student(test, told, np.sqrt(test.sd**2 + (WANDERS * told) ** 2))


def _pair_speaks(test: Reading, inflow: Reading, draws: Draws, bed: Bed) -> Floats:
    """Log-likelihood of an outflow beside the inflow of the same sitting.

    What the level wanders by is in both, so the outflow is told from the inflow as tested.
    """
    level = max(inflow.value, 1e-3)
    stands = balance_level(draws, draws.held)
    share = 1.0 - catches(draws, bed) * np.clip(1.0 - stands / level, 0.0, 1.0)
    return _student(test, share * level, np.hypot(test.sd, share * inflow.sd))


def _student(test: Reading, told: Floats, sd: Floats) -> Floats:
    z = (test.value - told) / sd
    if test.edge == "<":
        # The logistic curve lies within 0.01 of the normal one at 1.702 times its argument.
        return np.asarray(-np.log1p(np.exp(np.clip(-1.702 * z, -40.0, 40.0))))
    return np.asarray(-0.5 * (FREEDOM + 1.0) * np.log1p(z**2 / FREEDOM) - np.log(sd))


def _do(draws: Draws, bed: Bed, event: Happened) -> tuple[Draws, Bed]:
    if event.changed:
        level = draws.level + event.changed * (event.incoming - draws.level)
        draws = replace(draws, level=np.asarray(level))
    if event.bed is not None:
        return with_fresh_media(draws), event.bed
    return draws, bed


def _by_weight(share: Floats, count: int) -> Floats:
    """Places chosen in proportion to their share, evenly and without chance."""
    marks = (np.arange(count) + 0.5) / count
    return np.minimum(np.searchsorted(np.cumsum(share), marks), share.size - 1)


def _bed_of(bed: Bed, share: Floats, count: int) -> Bed:
    flow = bed.flow
    return bed if isinstance(flow, float) else replace(bed, flow=flow[_by_weight(share, count)])


def _spoke(share: Floats) -> float:
    return float(1.0 / np.sum(share**2))


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is to come, day by draw: level, strength of the media, and mg P on a gram."""

    days: Floats
    level: Floats
    strength: Floats
    held: Floats


def ahead(draws: Draws, bed: Bed, days: int) -> Ahead:
    """Carry the draws on, told at the end of every day; the first row is now."""
    levels, strengths, held = [draws.level], [strength(draws)], [draws.held]
    for _ in range(days):
        for _ in range(round(1.0 / STEP)):
            draws = step(draws, bed, STEP)
        levels.append(draws.level)
        strengths.append(strength(draws))
        held.append(draws.held)
    return Ahead(np.arange(days + 1.0), np.array(levels), np.array(strengths), np.array(held))


def with_wandering_gain(draws: Draws) -> Draws:
    """The draws with a gain that wanders: tomorrow's food and rock aren't those of the past."""
    factor = np.exp(WANDERS * deviates(99, draws.gain.size))
    return replace(draws, gain=np.asarray(draws.gain * factor))


def with_fresh_media(draws: Draws) -> Draws:
    """The draws with nothing on the media yet."""
    return replace(draws, held=np.zeros_like(draws.held))


def days_until_tired(told: Ahead) -> Floats:
    """Days until each draw's media catch, for good, no more than ``TIRED`` of what fresh ones did.

    A level that is low today makes media look tired for a day or two, and doesn't count. The number
    of days looked ahead where they last longer.
    """
    works = told.strength > TIRED
    count = told.days.size
    last = count - 1 - np.argmax(works[::-1], axis=0)
    return np.asarray(np.where(works.any(axis=0), np.minimum(last + 1, count - 1), 0).astype(float))


def falls_too_fast(told: Ahead, without: Ahead, limit: float) -> float:
    """Chance that the media take the level down by more than ``limit`` within any one day.

    What it would have fallen without them isn't theirs. Both look ahead equally far, or the shorter
    one counts.
    """
    days = min(told.days.size, without.days.size)
    taken = without.level[:days] - told.level[:days]
    return float(np.mean((np.diff(taken, axis=0) > limit).any(axis=0)))


def sizes(most: float) -> tuple[float, ...]:
    """Ten sizes up to the most, each three fifths more than the one before."""
    return tuple(most / 1.6**power for power in range(9, -1, -1))


def most_grams(
    draws: Draws,
    flow: Floats | float,
    *,
    limit: float,
    gone: float,
    chance: float,
    most: float,
    days: int = 28,
) -> float:
    """The most grams (of the ten ``sizes`` up to ``most``) that keep both promises at that chance.

    Never more than ``limit`` of fall in a day by the media, and in ``days`` no more than a tenth
    likelier under ``gone`` than without them. Zero where even the smallest doesn't.
    """
    without = ahead(draws, Bed(0.0, flow), days)
    anyway = float(np.mean((without.level < gone).any(axis=0)))
    found = 0.0
    for grams in sizes(most):
        told = ahead(with_fresh_media(draws), Bed(grams, flow), days)
        if falls_too_fast(told, without, limit) > chance:
            break
        if float(np.mean((told.level < gone).any(axis=0))) > anyway + 0.1:
            break
        found = grams
    return found
