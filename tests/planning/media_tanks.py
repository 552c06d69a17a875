"""How far the days that ferric media are given come true in tanks of the simulator's own model.

python -m tests.planning.media_tanks
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brinebook.planning.ferric import PHOSPHATE_PER_P
from brinebook.planning.ferric_course import (
    TIRED,
    Bed,
    Happened,
    Reading,
    ahead,
    days_until_tired,
    learn,
    prior_draws,
)
from brinebook.planning.spread import Spread, quantiles
from tests.simulated.chemistry import ALK, PO4
from tests.simulated.tank import Physics, Tank

#: Media are put in, asked about on this day of theirs, and followed for so many more.
ASKED, FOLLOWED = 18.0, 120
#: How long media stay in where they lived before those that are asked about, and the pause between
#: two sittings, days.
LIFE, PAUSE = 40, 4
_FLOW, _FOOD, _PHOSPHORUS = 60.0, 3.0, 0.011


@dataclass(frozen=True)
class Asked:
    """One tank: the days that its media truly went on, and the interval told without and with
    tests of their outflow."""

    truth: float
    alone: tuple[float, float]
    pairs: tuple[float, float]


def tanks(count: int, *, lives: int = 0) -> Iterator[Asked]:
    """So many tanks, their media, rock and reef drawn by seed; ``lives`` of media came before."""
    for seed in range(count):
        rng = np.random.default_rng(seed)
        physics = Physics(
            media_rate=float(rng.uniform(0.3, 2.0)),
            media_capacity=10 * float(rng.lognormal(0, 0.25)),
            rock=float(rng.uniform(0.5, 4)),
            phosphate_max=float(rng.uniform(0.005, 0.03)),
            use=0.0,  # nobody doses here
        )
        yield _ask(physics, rng, lives)


def _ask(physics: Physics, rng: np.random.Generator, lives: int) -> Asked:
    tank = Tank(physics, 0.0)
    tank.amounts[PO4] = float(rng.uniform(0.05, 0.25)) * tank.volume
    tank.settle_rock()
    grams = float(rng.uniform(40, 120))
    tank.new_media(grams)
    readings: list[Reading] = []
    tired, last, asked = 0.0, float(lives * LIFE), lives * LIFE + ASKED
    for hour in range(round(24 * (asked + FOLLOWED))):
        day = hour / 24
        if hour and day <= last and hour % (24 * LIFE) == 0:
            tank.new_media(grams)
        if hour % 24 == 9:
            tank.feed(_FOOD, n=0.07, p=_PHOSPHORUS)
            tank.amounts[ALK] = 2.9 * tank.volume
        tank.step(day, 1 / 24, day % 1 * 24)
        level, gap = tank.concentration(PO4), _gap(tank, physics, grams)
        if day >= last and gap > TIRED * level:
            tired = day
        if hour % (24 * PAUSE) == 20 and day < asked:
            readings += _sitting(day, level, gap, physics, rng)
    beds = [Happened(float(n * LIFE), bed=Bed(grams, _FLOW)) for n in range(lives + 1)]
    return Asked(
        float(np.clip(tired - asked, 0.0, FOLLOWED)),
        _told([each for each in readings if not each.outflow], beds, physics, until=asked),
        _told(readings, beds, physics, until=asked),
    )


def _gap(tank: Tank, physics: Physics, grams: float) -> float:
    """How far the water stands above what its media are in balance with, mg/L of PO4."""
    loaded: float = tank.on_media / grams / physics.media_capacity
    return tank.concentration(PO4) - 0.3 * loaded**3 * PHOSPHATE_PER_P


def _sitting(
    day: float, level: float, gap: float, physics: Physics, rng: np.random.Generator
) -> list[Reading]:
    """A test of the water and one of the outflow, by a home kit."""
    sd = 0.008 + 0.06 * level
    caught = min(physics.media_rate * physics.volume / _FLOW / 24, 0.95)
    out = level - caught * max(gap, 0.0)
    water, leaving = (max(value + sd * rng.standard_normal(), 0.0) for value in (level, out))
    when = round(day, 2)
    return [Reading(when, water, sd), Reading(when, leaving, sd, outflow=True)]


def _told(
    readings: list[Reading], beds: list[Happened], physics: Physics, *, until: float
) -> tuple[float, float]:
    water = [each.value for each in readings if not each.outflow]
    first, usual = max(water[0], 0.01), max(float(np.median(water)), 0.01)
    prior = prior_draws(
        Spread(first / 2.5, first, first * 2.5),
        Spread(usual / 2, 1.3 * usual, 5 * usual),
        np.full(100, physics.volume),
        gain=Spread.about(0.75 * 1e3 * _FOOD * _PHOSPHORUS * PHOSPHATE_PER_P, 0.35),
    )
    learned = learn(
        prior,
        Bed(0.0, _FLOW),
        tests=readings,
        happened=beds,
        until=until,
    )
    left = days_until_tired(ahead(learned.draws, learned.bed, FOLLOWED))
    low, high = quantiles(left, (0.025, 0.975))
    return low, high


def main() -> None:
    """Print how often the interval held, and how wide it was."""
    print("| lives of media before | tests of | inside the 95 % interval | days between its ends, "
          "median | against tests of the water |")  # fmt: skip
    print("| --- | --- | --- | --- | --- |")
    for lives, count in ((0, 60), (2, 40)):
        found = list(tanks(count, lives=lives))
        widths = {key: np.array([getattr(each, key)[1] - getattr(each, key)[0] for each in found])
                  for key in ("alone", "pairs")}  # fmt: skip
        some = widths["alone"] > 0.0
        for name, key in (("the water", "alone"), ("the water and what leaves the media", "pairs")):
            ends = [(each.truth, *getattr(each, key)) for each in found]
            held = sum(low <= truth <= high for truth, low, high in ends)
            share = float(np.median(widths[key][some] / widths["alone"][some]))
            print(f"| {lives} | {name} | {held} of {count} | {np.median(widths[key]):.0f} | "
                  f"{100 * share:.0f} % |")  # fmt: skip


if __name__ == "__main__":
    main()
