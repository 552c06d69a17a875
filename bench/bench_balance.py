"""How long the balance takes, against a plain statistical fit of one of its series in the same run.

A year of a normal book (all quantities together, robust) within 20 times a statsmodels local
linear trend fitted to its alkalinity alone; ten years no dearer by the fact; one new fact of today
in a ten-year book, from the book to the answer, for a small part of what all of it costs. Exit 1
where not.
"""

from __future__ import annotations

import os
import sys
import tempfile
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
from brinebook.book import facts as stored
from brinebook.book import store, systems
from brinebook.book.systems import Entered
from brinebook.desk.assess import assess
from brinebook.desk.opening import open_system
from brinebook.desk.record import add
from brinebook.system import System
from brinebook.timeline import Fact
from tests.simulated.families import FAMILIES
from tests.simulated.ours import read_case

MOST_TIMES_THE_PLAIN_FIT = 20.0
MOST_TIMES_PER_YEAR = 1.5
MOST_OF_A_DECADE = 0.15


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


def one_new_fact(text: str, decade: list[Fact], folder: str) -> tuple[float, float]:
    """Seconds for the first answer from a ten-year book, and for one after a new test."""
    address = str(Path(folder) / "decade.book")
    book = store.create_book(
        address, lambda held: systems.add_system(held, "decade", text=text, entered=Entered(1))
    )
    with book.write() as held:
        row = systems.one_system(held, None)
        stored.append_new(held, row.system_id, decade, entered=Entered(2))
    at = decade[-1].when + timedelta(hours=6)
    first = best_time(lambda: assess(address, at=at), 1)
    again = float("inf")
    for hour in range(1, 4):
        when = (decade[-1].when + timedelta(hours=hour)).isoformat()
        words = ["alkalinity", f"8.{hour} dKH"]
        add(open_system(address), "test", words=words, when=when, now=at)
        again = min(again, best_time(lambda: assess(address, at=at), 1))
    return first, again


def main() -> int:
    """Print the ratios; the status is 1 where one is over its limit."""
    system, year = loaded("two_part_steady", 365.0)
    ours = best_time(lambda: answer(system, year, year[-1].when))
    theirs = best_time(lambda: plain_fit(year))
    long_case = FAMILIES["ten_years"](1)
    long_system, decade = loaded("ten_years", 3650.0)
    ten = best_time(lambda: answer(long_system, decade, decade[-1].when), 1)
    share = (ten / len(decade)) / (ours / len(year))
    print(f"a year, {len(year)} facts: {ours:.2f} s; the plain fit of one series {theirs:.2f} s")
    print(f"ratio {ours / theirs:.1f} (at most {MOST_TIMES_THE_PLAIN_FIT:.0f})")
    print(f"ten years, {len(decade)} facts: {ten:.2f} s")
    print(f"time per fact, ten years over one: {share:.2f} (at most {MOST_TIMES_PER_YEAR})")
    with tempfile.TemporaryDirectory() as folder:
        first, again = one_new_fact(long_case.system_toml, decade, folder)
    print(f"from the book: ten years {first:.2f} s, after one new test {again:.2f} s")
    print(f"one new fact over ten years: {again / first:.3f} (at most {MOST_OF_A_DECADE})")
    return int(
        ours / theirs > MOST_TIMES_THE_PLAIN_FIT
        or share > MOST_TIMES_PER_YEAR
        or again / first > MOST_OF_A_DECADE
    )


if __name__ == "__main__":
    sys.exit(main())
