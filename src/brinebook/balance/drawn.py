"""Joint draws of what is believed: what planners reckon with instead of one test.

Levels, use, net volume, the strength of bottles and the truth of pumps are drawn together from the
stories of the last window, so that everything a plan does with them is arithmetic on the draws. The
draws follow from the facts alone: same facts, same draws.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from brinebook.balance import beliefs
from brinebook.balance import questions as reckoned
from brinebook.balance.chapters import posterior
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.season import Floats, Season
from brinebook.balance.steps import Mover
from brinebook.measure import Measure

#: Draws made unless asked otherwise: a chance of 2 in 100 is then known to 0.2 in 100.
COUNT = 4000
#: Days of one step ahead: as the balance's own forecast has it, so that both tell the same.
STEP = 1.0


@dataclass(frozen=True, slots=True)
class Put:
    """Something to go in at a time: the canonical amount times litre of each quantity."""

    t: float
    brings: Mapping[str, float]
    additive: str = ""


@dataclass(frozen=True, slots=True)
class Extra:
    """So many units a day more (or fewer) of an additive than now, from a time to another."""

    additive: str
    per_day: float
    brings: Mapping[str, float]  # what one unit brings
    begins: float = -math.inf
    ends: float = math.inf


@dataclass(frozen=True, slots=True)
class Swap:
    """A water change to come: litres (or, with ``share``, a share of the water) of new water.

    ``incoming`` is the new water's composition; what it leaves out stays as it is.
    """

    t: float
    litres: float
    incoming: Mapping[str, float]
    incoming_sd: Mapping[str, float] = field(default_factory=dict)
    share: float | None = None


@dataclass(frozen=True, slots=True)
class Drawn:
    """One season's belief as draws; the first axis of every array is the draw.

    ``states`` is the state by name, moving numbers first. ``levels`` and ``uses`` are the water now
    and what is used up in a day, in the order of ``quantities``. ``mover`` is None for a belief
    that was stated plainly: its levels then fall by the uses.
    """

    at: float
    quantities: tuple[str, ...]
    names: tuple[str, ...]
    states: Floats
    levels: Floats
    uses: Floats
    litres: Floats
    seed: int
    strength_sd: Mapping[str, float]
    pump_sd: Mapping[str, float]
    mover: Mover | None = None

    @property
    def count(self) -> int:
        """How many draws there are."""
        return int(self.litres.size)

    def level(self, quantity: str) -> Floats:
        """The quantity now; raises ValueError where it isn't among them."""
        return np.asarray(self.levels[:, self.quantities.index(quantity)])

    def use(self, quantity: str) -> Floats:
        """What the system takes out in a day; raises ValueError where it isn't among them."""
        return np.asarray(self.uses[:, self.quantities.index(quantity)])

    def strength(self, additive: str) -> Floats:
        """The bottle's true strength over its label."""
        return 1.0 + self._constant("strength", additive, self.strength_sd.get(additive, 0.01))

    def pump(self, additive: str) -> Floats:
        """The volume that the pump truly moves over its setting."""
        return 1.0 + self._constant("pump", additive, self.pump_sd.get(additive, 0.05))

    def delivery(self, additive: str) -> Floats:
        """What truly arrives of a set amount, pump and strength together."""
        return np.asarray(self.pump(additive) * self.strength(additive))

    def left(self, additive: str) -> Floats | None:
        """Millilitres left in the container; None where it was never marked."""
        name = f"left|{additive}"
        return np.asarray(self.states[:, self.names.index(name)]) if name in self.names else None

    def thinned(self, count: int) -> Drawn:
        """The same belief on fewer draws, evenly chosen: for searching, not for chances."""
        if self.count <= count:
            return self
        places = np.linspace(0, self.count - 1, count).round().astype(int)
        return replace(
            self,
            states=self.states[places],
            levels=self.levels[places],
            uses=self.uses[places],
            litres=self.litres[places],
        )

    def _constant(self, kind: str, additive: str, spread: float) -> Floats:
        name = f"{kind}|{additive}"
        if name in self.names:
            return np.asarray(self.states[:, self.names.index(name)])
        # Never dosed in this window: the label's own doubt, the same for every question.
        return spread * _normals(self.count, 1, _seed_of(f"{self.seed}|{name}"))[:, 0]


@dataclass(frozen=True, slots=True)
class Ahead:
    """Levels to come: ``levels[k]`` are the draws (draw x quantity) at ``times[k]``."""

    times: Floats
    quantities: tuple[str, ...]
    levels: Floats

    def of(self, quantity: str) -> Floats:
        """Time x draw of one quantity."""
        return np.asarray(self.levels[:, :, self.quantities.index(quantity)])


def draw(estimate: SeasonEstimate, *, count: int = COUNT) -> Drawn:
    """Draw an even ``count`` of states from the stories of a season's last window.

    Every story gets its share of the draws (never by chance), and the draws of a story come in
    pairs about its mean, so that means are exact and chances smooth.
    """
    reading, season = estimate.last, estimate.season
    mover = reading.window.mover
    seed = _seed_of(_fingerprint(season, estimate.at))
    stories = [story for story in reading.stories if story.weight > reckoned.LEAST_SHARE]
    stories = stories or list(reading.stories[:1])
    parts = []
    shares = np.exp(np.array([story.weight for story in stories]))
    for place, (story, pairs) in enumerate(zip(stories, _split(shares, count // 2), strict=True)):
        if pairs:
            mean, covariance = posterior(reading, reading.window.end, story)
            root = _root(covariance)  # of the covariance's own rank, which a certainty lowers
            z = _normals(2 * pairs, root.shape[1], _seed_of(f"{seed}|story {place}"))
            parts.append(mean + z @ root.T)
    states = np.vstack(parts)
    levels, uses = (
        _answers(question, states, _seed_of(f"{seed}|{name}"))
        for name, question in (
            ("levels", reckoned.levels(mover, estimate.at)),
            ("uses", reckoned.uses(season, mover, estimate.at)),
        )
    )
    return Drawn(
        at=estimate.at,
        quantities=season.quantities,
        names=mover.names,
        states=states,
        levels=_not_negative(season.quantities, levels),
        uses=uses,
        litres=_litres(season, mover, states),
        seed=seed,
        strength_sd=season.strength_sd,
        pump_sd=season.pump_sd,
        mover=mover,
    )


def draw_plain(
    levels: Mapping[str, Measure],
    uses: Mapping[str, Measure],
    litres: Measure,
    *,
    at: float = 0.0,
    strength_sd: Mapping[str, float] | None = None,
    pump_sd: Mapping[str, float] | None = None,
    count: int = COUNT,
) -> Drawn:
    """Draws of a belief that was stated: each number apart, volumes normal in the logarithm.

    A standard deviation of zero makes every draw the stated number.
    """
    names = tuple(levels)
    seed = _seed_of(repr((sorted(levels.items()), sorted(uses.items()), litres, at)))
    z = _normals(count, 2 * len(names) + 1, seed)
    spread = math.sqrt(math.log1p((litres.sd / litres.value) ** 2))
    rows = [levels[n].value + levels[n].sd * z[:, i] for i, n in enumerate(names)]
    still = Measure(0.0, 0.0, "")
    rates = [
        uses.get(n, still).value + uses.get(n, still).sd * z[:, len(names) + i]
        for i, n in enumerate(names)
    ]
    return Drawn(
        at=at,
        quantities=names,
        names=(),
        states=np.zeros((count, 0)),
        levels=_not_negative(names, np.array(rows).T),
        uses=np.array(rates).T,
        litres=litres.value * np.exp(spread * z[:, -1]),
        seed=seed,
        strength_sd=dict(strength_sd or {}),
        pump_sd=dict(pump_sd or {}),
    )


def ahead(
    drawn: Drawn,
    days: float,
    *,
    puts: Sequence[Put] = (),
    extras: Sequence[Extra] = (),
    swaps: Sequence[Swap] = (),
    step: float = STEP,
) -> Ahead:
    """The levels over so many days, with dosing as it is and besides what is put in and swapped.

    Puts and swaps are taken at the end of the step that they fall into; one at the very start, in
    the first. The same chances befall every plan that is asked about, so that plans differ by what
    they do alone.
    """
    steps = max(math.ceil(days / step - 1e-9), 1)
    times = np.asarray(drawn.at + step * np.arange(steps + 1), dtype=np.float64)
    moves = _Moves(drawn, times)
    position = {name: place for place, name in enumerate(drawn.quantities)}
    vector = partial(_vector, position=position)
    moving = drawn.states[:, : drawn.mover.moving].copy() if drawn.mover else drawn.levels.copy()
    told = np.empty((steps + 1, drawn.count, len(position)))
    told[0] = drawn.levels
    for k in range(steps):
        begin, end = times[k], times[k + 1]
        moving = moves(k, moving)
        here = moving[:, : len(position)]
        for put in puts:
            if _within(put.t, begin, end, first=k == 0):
                factor = drawn.strength(put.additive) if put.additive else 1.0
                here += np.outer(factor / drawn.litres, vector(put.brings))
        for extra in extras:
            length = min(end, extra.ends) - max(begin, extra.begins)
            if length > 0.0:
                factor = drawn.delivery(extra.additive) * extra.per_day * length / drawn.litres
                here += np.outer(factor, vector(extra.brings))
        for place, swap in enumerate(swaps):
            if _within(swap.t, begin, end, first=k == 0):
                _swap(drawn, here, swap, position, place)
        told[k + 1] = _told(drawn, here, end)
    return Ahead(times, drawn.quantities, _not_negative(drawn.quantities, told))


# ---- the parts ----------------------------------------------------------------------------------


class _Moves:
    """Steps a matrix of moving states on by one stretch."""

    def __init__(self, drawn: Drawn, times: Floats) -> None:
        self.drawn, self.times = drawn, times
        mover = drawn.mover
        self.steps = mover.stretches(times) if mover is not None else []
        self.constants = drawn.states[:, mover.moving :] if mover is not None else None

    def __call__(self, k: int, moving: Floats) -> Floats:
        if self.constants is None:
            return np.asarray(moving - self.drawn.uses * (self.times[k + 1] - self.times[k]))
        step = self.steps[k]
        noise = _root(step.Q)
        z = _normals(self.drawn.count, noise.shape[1], _seed_of(f"{self.drawn.seed}|step {k}"))
        drift = moving @ step.A.T + self.constants @ step.B.T + step.u
        return np.asarray(drift + z @ noise.T)


def _within(t: float, begin: float, end: float, *, first: bool) -> bool:
    """Whether an instant falls into a step: after its begin (or before all, in the first)."""
    return t <= end + 1e-9 and (first or t > begin + 1e-9)


def _told(drawn: Drawn, here: Floats, t: float) -> Floats:
    """What is in the water: what has evaporated and not been replaced concentrates it, and what is
    not known of the day's swing comes and goes with the hour."""
    if drawn.mover is None:
        return here
    waves = drawn.states @ reckoned.waves(drawn.mover, t).T
    missing = reckoned.usual_missing(drawn.mover)
    if missing <= 0.0:
        return np.asarray(here + waves)
    spread = np.sqrt(reckoned.missing_variance(drawn.mover, t, 1.5 * missing))
    z = _normals(drawn.count, here.shape[1], _seed_of(f"{drawn.seed}|missing"))
    return np.asarray(here / (1.0 - missing) + waves + z * spread)


def _swap(drawn: Drawn, here: Floats, swap: Swap, position: Mapping[str, int], place: int) -> None:
    share = np.minimum(
        swap.litres / drawn.litres if swap.share is None else np.full(drawn.count, swap.share), 1.0
    )
    z = _normals(drawn.count, len(position), _seed_of(f"{drawn.seed}|swap {place}"))
    for name, value in swap.incoming.items():
        if name in position:
            column = position[name]
            new = value + swap.incoming_sd.get(name, 0.0) * z[:, column]
            here[:, column] += share * (new - here[:, column])


def _vector(brings: Mapping[str, float], *, position: Mapping[str, int]) -> Floats:
    found = np.zeros(len(position))
    for name, amount in brings.items():
        if name in position:
            found[position[name]] = amount
    return found


def _answers(question: reckoned.Questions, states: Floats, seed: int) -> Floats:
    z = _normals(states.shape[0], question.rows.shape[0], seed)
    spread = np.sqrt(np.maximum(question.variances, 0.0))
    return np.asarray(states @ question.rows.T + question.constants + z * spread)


def _litres(season: Season, mover: Mover, states: Floats) -> Floats:
    if "volume" not in mover.index:
        return np.full(states.shape[0], season.volume)
    return np.asarray(season.volume * np.exp(states[:, mover.index["volume"]]))


def _not_negative(quantities: Sequence[str], levels: Floats) -> Floats:
    for place, name in enumerate(quantities):
        if name in beliefs.BELIEFS and beliefs.BELIEFS[name].nonnegative:
            np.maximum(levels[..., place], 0.0, out=levels[..., place])
    return levels


def _split(shares: Floats, pairs: int) -> list[int]:
    """So many pairs to each story, by the largest remainders."""
    wanted = shares / shares.sum() * pairs
    found = np.floor(wanted).astype(int)
    rest = pairs - int(found.sum())
    for place in np.argsort(-(wanted - found), kind="stable")[:rest]:
        found[place] += 1
    return [int(each) for each in found]


def _normals(count: int, size: int, seed: int) -> Floats:
    """Standard normals in pairs of opposite sign: every column has mean zero."""
    half = np.random.default_rng(seed).standard_normal(((count + 1) // 2, size))
    return np.concatenate([half, -half])[:count]


def _root(covariance: Floats) -> Floats:
    """A matrix whose product with its transpose is the covariance, of its own rank."""
    values, vectors = np.linalg.eigh(covariance)
    kept = values > max(float(values.max(initial=0.0)), 0.0) * 1e-14
    return np.asarray(vectors[:, kept] * np.sqrt(values[kept]))


def _fingerprint(season: Season, at: float) -> str:
    tests = sorted((test.fact, test.verdict) for test in season.tests)
    events = sorted(getattr(event, "fact", "") for event in season.events)
    settings = sorted((flow.name, flow.settings) for flow in season.flows)
    return repr((season.quantities, tests, events, settings, round(at, 6)))


def _seed_of(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")
