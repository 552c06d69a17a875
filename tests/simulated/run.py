"""Run the judged families against an estimator and print the figures.

``python -m tests.simulated.run --families all --seeds 5 --estimator module:function``
"""

from __future__ import annotations

import argparse
import importlib
import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from pathlib import Path

from tests.simulated.families import FAMILIES, JUDGED
from tests.simulated.hand import METHODS, SLOW_METHODS
from tests.simulated.score import Estimate, Finds, Sample, evaluate
from tests.simulated.tables import report


def load(name: str) -> Estimate:
    """The function that ``module:function`` names."""
    module, _, function = name.partition(":")
    loaded: Estimate = getattr(importlib.import_module(module), function)
    return loaded


def judge(task: tuple[str, int, str, bool]) -> tuple[list[Sample], Finds, float]:
    """One case: its samples, its finds, and the seconds that the answers took."""
    family, seed, name, slow = task
    case = FAMILIES[family](seed)
    begun = time.perf_counter()
    samples, finds = evaluate(case, load(name), slow=slow)
    return samples, finds, time.perf_counter() - begun


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Judge an estimator on simulated truth.")
    parser.add_argument("--families", default="all", help="names with commas, or all")
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--estimator", default="tests.simulated.baseline:estimate")
    parser.add_argument("--trend", action="store_true", help="also the statsmodels trend (slow)")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--json", type=Path)
    chosen = parser.parse_args(arguments)
    families = JUDGED if chosen.families == "all" else tuple(chosen.families.split(","))
    seeds = range(chosen.first_seed, chosen.first_seed + chosen.seeds)
    tasks = [
        (family, seed, chosen.estimator, chosen.trend) for family in families for seed in seeds
    ]
    samples: list[Sample] = []
    finds: list[Finds] = []
    with ProcessPoolExecutor(chosen.processes) as pool:
        results = pool.map(judge, tasks) if chosen.processes > 1 else map(judge, tasks)
        for task, (own, found, seconds) in zip(tasks, results, strict=True):
            samples += own
            finds.append(found)
            print(f"{task[0]} {task[1]}: {seconds:.1f} s", file=sys.stderr)
            for text in found.missed:
                print(f"    not suspected: {text}", file=sys.stderr)
    methods = (*METHODS, *(SLOW_METHODS if chosen.trend else ()))
    print(report(samples, finds, methods))
    if chosen.json is not None:
        data = {"samples": [asdict(s) for s in samples], "finds": [asdict(f) for f in finds]}
        chosen.json.write_text(json.dumps(data), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
