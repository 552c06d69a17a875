"""What events that nobody wrote down leave for the next test to see, and which of them are found.

``python -m tests.simulated.traces --seeds 8 --processes 2``

Each system is lived once more without the event. What lies between the two at the first test after
it, in deviations of that test, is all that any reader of the tests has to go by.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

import numpy as np

from tests.simulated.case import Case, Unlogged
from tests.simulated.families import FAMILIES
from tests.simulated.keeper import simulate
from tests.simulated.ours import estimate
from tests.simulated.score import LOUD, matches, times_tested, told_of

WITH_EVENTS = ("forgotten", "pump_trouble", "top_off_trouble")
#: Classes of what is left at the first later test, in deviations.
EDGES = (0.0, 3.0, 6.0, np.inf)


@dataclass(frozen=True)
class Trace:
    """One event in its loudest quantity: what it did, what was left to see, how often it was found.

    ``moved`` and ``left`` in deviations of a test; ``due`` counts the moments at which it was to be
    found, ``found`` those at which it was.
    """

    kind: str
    moved: float
    left: float
    due: int
    found: int


def traces_of(task: tuple[str, int]) -> list[Trace]:
    """Every loud event of one case."""
    family, seed = task
    case = FAMILIES[family](seed)
    return [trace for event in case.truth.unlogged for trace in _traces(case, event)]


def _traces(case: Case, event: Unlogged) -> Iterator[Trace]:
    name = max(event.deviations, key=lambda each: event.deviations[each])
    times = [t for t in times_tested(case, name) if t > event.end]
    if event.deviations[name] < LOUD or len(times) < 2:
        return
    moments = [each.when for each in case.truth.moments if each.when >= times[1]]
    found = sum(_is_found(case, event, name, when) for when in moments)
    deviation = abs(event.change[name]) / event.deviations[name]
    seen = abs(left(case, without(case, event), name, times[0])) / deviation
    yield Trace(event.kind, event.deviations[name], seen, len(moments), found)


def _is_found(case: Case, event: Unlogged, name: str, when: datetime) -> bool:
    known = case.until(when)
    times = times_tested(known, name)
    return any(
        entry["what"] == name and matches(entry, event, times)
        for entry in told_of(estimate(known, when))
    )


def without(case: Case, event: Unlogged) -> Case:
    """The same life without the mishap that began nearest to the event."""
    mishaps = case.scenario.mishaps
    day = (event.start - case.truth.start).total_seconds() / 86400.0
    nearest = min(mishaps, key=lambda each: abs(each.day - day))
    return simulate(
        replace(case.scenario, mishaps=tuple(each for each in mishaps if each is not nearest))
    )


def left(case: Case, other: Case, name: str, when: datetime) -> float:
    """What lies between two lives of one system at a time, in the canonical unit."""
    hour = (when - case.truth.start).total_seconds() / 3600.0
    with_it, without = (
        float(np.interp(hour, each.truth.hours, each.truth.concentration[name]))
        for each in (case, other)
    )
    return with_it - without


def table(traces: Sequence[Trace]) -> str:
    """The traces by how much of them was left to see, as markdown."""
    lines = [
        "| left at the first later test | events | moved, median | left, median | found |",
        "| --- | --- | --- | --- | --- |",
    ]
    for low, high in pairwise(EDGES):
        some = [each for each in traces if low <= each.left < high]
        if some:
            to = f"{low:.0f} to {high:.0f}" if np.isfinite(high) else f"{low:.0f} or more"
            lines.append(_row(f"{to} deviations", some))
    lines.append(_row("all", traces))
    return "\n".join(lines)


def _row(name: str, traces: Sequence[Trace]) -> str:
    due, found = sum(each.due for each in traces), sum(each.found for each in traces)
    moved = float(np.median([each.moved for each in traces]))
    seen = float(np.median([each.left for each in traces]))
    share = f"{100.0 * found / due:.0f} % ({found}/{due})" if due else "-"
    return f"| {name} | {len(traces)} | {moved:.1f} | {seen:.1f} | {share} |"


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=8)
    parser.add_argument("--first-seed", type=int, default=101)
    parser.add_argument("--processes", type=int, default=1)
    given = parser.parse_args(arguments)
    seeds = range(given.first_seed, given.first_seed + given.seeds)
    tasks = [(family, seed) for family in WITH_EVENTS for seed in seeds]
    with ProcessPoolExecutor(given.processes) as pool:
        traces = [trace for found in pool.map(traces_of, tasks) for trace in found]
    print(table(traces))
    return 0


if __name__ == "__main__":
    sys.exit(main())
