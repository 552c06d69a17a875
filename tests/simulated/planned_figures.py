"""The figures of plans on simulated reefs, as markdown for the page of trust.

``python -m tests.simulated.planned_figures --reefs 60 --first-seed 201 --processes 2``
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from tests.simulated.planned import AFTER, Tally, by_plans, habit, live


def both(seed: int) -> tuple[Tally, Tally]:
    """One reef with either keeper."""
    return live(seed, habit), live(seed, by_plans)


def _row(name: str, tallies: Sequence[Tally]) -> str:
    plans = [plan for tally in tallies for plan in tally.plans]
    kept = sum(not plan.passed for plan in plans)
    inside = [
        100.0 * float(np.mean([tally.inside[quantity] for tally in tallies]))
        for quantity in ("alkalinity", "calcium")
    ]
    worst = [
        100.0 * float(np.quantile([tally.inside[quantity] for tally in tallies], 0.1))
        for quantity in ("alkalinity", "calcium")
    ]
    grams = float(np.mean([tally.grams for tally in tallies]))
    tests = float(np.mean([tally.tests for tally in tallies]))
    turns = float(np.mean([tally.turns for tally in tallies]))
    return (
        f"| {name} | {inside[0]:.1f} ({worst[0]:.1f}) | {inside[1]:.1f} ({worst[1]:.1f}) | "
        f"{tests:.1f} | {grams:.0f} | {turns:.1f} | {len(plans)} | {kept} "
        f"({100.0 * kept / max(len(plans), 1):.1f} %) |"
    )


def report(pairs: Sequence[tuple[Tally, Tally]]) -> str:
    """The table, and which limits were passed."""
    habits, plans = zip(*pairs, strict=True)
    lines = [
        f"{len(pairs)} reefs, {AFTER} days each; time in the band in % (of the worst tenth in "
        "brackets); tests of all quantities; grams poured in corrections; turns of a pump's knob.",
        "",
        "| keeper | alkalinity in band | calcium in band | tests | grams | turns | corrections | "
        "that kept every limit |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
        _row("by habit", habits),
        _row("by plans", plans),
        "",
    ]
    for name, tallies in (("habit", habits), ("plans", plans)):
        passed: dict[str, int] = {}
        for tally in tallies:
            for plan in tally.plans:
                for limit in plan.passed:
                    passed[limit] = passed.get(limit, 0) + 1
        told = ", ".join(f"{limit} {count}" for limit, count in sorted(passed.items())) or "none"
        lines.append(f"- Limits passed, by {name}: {told}.")
    return "\n".join(lines)


def main(arguments: list[str] | None = None) -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description="Judge plans on simulated reefs.")
    parser.add_argument("--reefs", type=int, default=60)
    parser.add_argument("--first-seed", type=int, default=201)
    parser.add_argument("--processes", type=int, default=1)
    chosen = parser.parse_args(arguments)
    seeds = range(chosen.first_seed, chosen.first_seed + chosen.reefs)
    with ProcessPoolExecutor(chosen.processes) as pool:
        pairs = list(pool.map(both, seeds)) if chosen.processes > 1 else [both(s) for s in seeds]
    print(report(pairs))
    return 0


if __name__ == "__main__":
    sys.exit(main())
