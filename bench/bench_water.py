"""How fast the carbonate system is solved, against PyCO2SYS in the same run.

One sample at least 100 times as fast, ten thousand not slower. Exit 1 where that isn't so.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import PyCO2SYS

from brinebook.water.carbonate.arrays import solve_many
from brinebook.water.carbonate.state import Sample, solve

OPTIONS = {"opt_k_carbonic": 10, "opt_k_fluoride": 2, "opt_total_borate": 1}
MANY = 10_000
LEAST_RATIO = {"one sample": 100.0, f"{MANY:,} samples": 1.0}


def best_time(task: Callable[[], object], *, times: int, repeats: int = 5) -> float:
    """Seconds for one run of the task: the best of some repeats."""
    task()
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        for _ in range(times):
            task()
        best = min(best, (time.perf_counter() - start) / times)
    return best


def one_sample() -> tuple[float, float]:
    """Seconds of ours and theirs for one sample of alkalinity with DIC."""
    sample = Sample(alkalinity=2300.0, dic=2000.0, salinity=35.0, temperature=25.0)

    def theirs() -> object:
        return PyCO2SYS.sys(2300.0, 2000.0, 1, 2, salinity=35.0, temperature=25.0, **OPTIONS)

    return best_time(lambda: solve(sample), times=2000), best_time(theirs, times=3)


def many_samples() -> tuple[float, float]:
    """Seconds of ours and theirs for ten thousand of them."""
    random = np.random.default_rng(1)
    alkalinity = random.uniform(2000, 4000, MANY)
    dic = alkalinity * random.uniform(0.82, 0.92, MANY)
    salinity, temperature = random.uniform(30, 40, MANY), random.uniform(18, 32, MANY)
    sample = Sample(alkalinity=alkalinity, dic=dic, salinity=salinity, temperature=temperature)

    def theirs() -> object:
        return PyCO2SYS.sys(
            alkalinity, dic, 1, 2, salinity=salinity, temperature=temperature, **OPTIONS
        )

    return best_time(lambda: solve_many(sample), times=3), best_time(theirs, times=1)


def main() -> int:
    """Print the table; 1 where a ratio is too small."""
    print("| carbonate system | ours | PyCO2SYS | ratio | at least |")
    print("| --- | --- | --- | --- | --- |")
    short = 0
    for (name, least), (ours, theirs) in zip(
        LEAST_RATIO.items(), (one_sample(), many_samples()), strict=True
    ):
        ratio = theirs / ours
        short |= ratio < least
        print(f"| {name} | {1e3 * ours:.3g} ms | {1e3 * theirs:.3g} ms | {ratio:.0f} | {least:g} |")
    return int(short)


if __name__ == "__main__":
    sys.exit(main())
