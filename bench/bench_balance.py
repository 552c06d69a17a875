"""How long the balance takes, against a plain statistical fit of one of its series in the same run.

A year of a normal book (all quantities together, robust) within 20 times a statsmodels local
linear trend fitted to its alkalinity alone; ten years no dearer by the fact. Exit 1 where not.
"""

from __future__ import annotations

import os
import sys
import time
import warnings
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np
import statsmodels.api as sm

from brinebook.balance.answer import answer
from brinebook.system import System
from brinebook.timeline import Fact
from tests.simulated.families import FAMILIES
from tests.simulated.ours import read_case

MOST_TIMES_THE_PLAIN_FIT = 20.0
MOST_TIMES_PER_YEAR = 1.5


def best_time(task: Callable[[], object], repeats: int = 3) -> float:
    """Seconds for the task: the best of some repeats."""
    best = float("inf")
    for _ in range(repeats):
        begun = time.perf_counter()
        task()
        best = min(best, time.perf_counter() - begun)
    return best


def loaded(family: str, days: float) -> tuple[System, list[Fact]]:
    """A simulated system and its facts of the last so many days."""
    system, facts = read_case(FAMILIES[family](1))
    ordered = sorted(facts, key=lambda fact: fact.when)
    first = ordered[-1].when - timedelta(days=days)
    return system, [fact for fact in ordered if fact.when >= first]


def plain_fit(facts: list[Fact]) -> None:
    """A local linear trend fitted to the alkalinity tests, one a day as statsmodels wants them."""
    tests = [fact for fact in facts if fact.kind == "test" and fact.what == "alkalinity"]
    start = tests[0].when
    series = np.full((tests[-1].when - start).days + 1, np.nan)
    for fact in tests:
        series[(fact.when - start).days] = float(fact.value.lstrip("<>"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        sm.tsa.UnobservedComponents(series, "local linear trend").fit(disp=False)


def main() -> int:
    """Print the ratios; the status is 1 where one is over its limit."""
    system, year = loaded("two_part_steady", 365.0)
    ours = best_time(lambda: answer(system, year, year[-1].when))
    theirs = best_time(lambda: plain_fit(year))
    long_system, decade = loaded("ten_years", 3650.0)
    ten = best_time(lambda: answer(long_system, decade, decade[-1].when), 1)
    share = (ten / len(decade)) / (ours / len(year))
    print(f"a year, {len(year)} facts: {ours:.2f} s; the plain fit of one series {theirs:.2f} s")
    print(f"ratio {ours / theirs:.1f} (at most {MOST_TIMES_THE_PLAIN_FIT:.0f})")
    print(f"ten years, {len(decade)} facts: {ten:.2f} s")
    print(f"time per fact, ten years over one: {share:.2f} (at most {MOST_TIMES_PER_YEAR})")
    return int(ours / theirs > MOST_TIMES_THE_PLAIN_FIT or share > MOST_TIMES_PER_YEAR)


if __name__ == "__main__":
    sys.exit(main())
