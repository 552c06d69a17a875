"""Whether Today names the right cause, on simulated truth.

``python -m tests.simulated.causes --families all --seeds 2``

Each thing that truly happened is asked about just after the second test that could show it: a wrong
test of six deviations or more right after itself too. As often the same systems are asked at
moments with nothing odd behind them, to see what is then said without need.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.answer import answer
from brinebook.balance.causes.explained import Explained
from brinebook.balance.causes.lately import lately
from brinebook.balance.season import days_since_epoch
from tests.simulated.case import Case
from tests.simulated.families import FAMILIES, JUDGED
from tests.simulated.ours import read_case
from tests.simulated.score import LOUD

#: What each thing that happens may rightly be called.
RIGHT = {
    "wrong test": ("test_wrong", "probe_fault"),
    "spell": ("test_wrong", "lot_changed", "method_drifting"),
    "forgotten change": ("unlogged_change",),
    "forgotten dose": ("unlogged_dose", "dose_entered_wrong"),
    "double dose": ("unlogged_dose", "dose_entered_wrong"),
    "pump stopped": ("dose_not_arriving",),
    "precipitation": ("precipitation",),
    "top-off stuck": ("equipment", "unlogged_change", "leak", "evaporation_changed"),
    "use step": ("use_changed",),
    "other lot": ("lot_changed",),
    "nothing": (),
}
_WRONG_BIG = 6.0
_QUIET = timedelta(days=35)
_MOST_A_KIND = 3


@dataclass(frozen=True)
class Asked:
    """One question: what was true, and what was said of that quantity then."""

    kind: str
    said: str
    probability: float
    second: str


def asked_of(task: tuple[str, int]) -> list[Asked]:
    """Every question put to one case."""
    family, seed = task
    case = FAMILIES[family](seed)
    return [_ask(case, *each) for each in _events(case)]


def _events(case: Case) -> Iterator[tuple[str, str, datetime, datetime]]:
    """Kind, quantity, when it happened and when to ask; at most a few of a kind."""
    truth = case.truth
    found: list[tuple[str, str, datetime, datetime | None]] = [
        ("wrong test", w.quantity, w.when, w.when + timedelta(minutes=30))
        for w in truth.wrong_tests
        if w.deviations >= _WRONG_BIG and w.quantity in ("alkalinity", "calcium", "magnesium")
    ]
    for event in truth.unlogged:
        if event.deviations:
            name = max(event.deviations, key=lambda q: abs(event.deviations[q]))
            if abs(event.deviations[name]) >= LOUD:
                found.append((event.kind, name, event.start, _second_test(case, name, event.end)))
    for when, factor in truth.use_steps:
        if abs(factor - 1.0) >= 0.25:
            found.append(("use step", "alkalinity", when, when + timedelta(days=18)))
    begins = case.history[0].instant
    counts: dict[str, int] = {}
    for kind, name, when, ask in found:
        counts[kind] = counts.get(kind, 0) + 1
        if ask is not None and counts[kind] <= _MOST_A_KIND and when > begins + timedelta(days=60):
            yield kind, name, when, ask
    yield from _quiet(case)


def _second_test(case: Case, quantity: str, end: datetime) -> datetime | None:
    later = [row.instant for row in case.history
             if row.kind == "test" and row.what == quantity and row.instant > end
             and "of=" not in row.detail]  # fmt: skip
    return later[1] + timedelta(minutes=30) if len(later) > 1 else None


def _quiet(case: Case) -> Iterator[tuple[str, str, datetime, datetime]]:
    """Two moments with nothing odd in the five weeks before."""
    truth = case.truth
    odd = [w.when for w in truth.wrong_tests] + [t for s in truth.spells for t in s.whens]
    odd += [when for when, _ in truth.use_steps] + [event.end for event in truth.unlogged]
    found = 0
    for moment in truth.moments:
        if not any(moment.when - _QUIET < when <= moment.when for when in odd) and found < 2:
            found += 1
            yield "nothing", "alkalinity", moment.when, moment.when


def _ask(case: Case, kind: str, quantity: str, when: datetime, ask: datetime) -> Asked:
    system, facts = read_case(case)
    known = [fact for fact in facts if fact.when <= ask]
    told = lately(answer(system, known, ask), system, known)
    chosen = _about(told, quantity, when, kind)
    if kind == "nothing" and chosen is not None and chosen.kind == "lot":
        kind = "other lot" if _lots_differ(case, chosen) else kind
    if chosen is None:
        return Asked(kind, "-", 0.0, "-")
    first = chosen.causes[0]
    second = chosen.causes[1].cause if len(chosen.causes) > 1 else "-"
    return Asked(kind, first.cause, first.probability, second)


def _lots_differ(case: Case, one: Explained) -> bool:
    """Whether the two lots truly read apart, by half of what was seen."""
    n = one.numbers
    bias = {lot: off for (quantity, _, lot), off in case.truth.method_bias.items()
            if quantity == n["quantity"]}  # fmt: skip
    step = bias.get(str(n["lot"]), 0.0) - bias.get(str(n["before"]), 0.0)
    return step / float(n["shift"]) > 0.5


def _about(
    told: tuple[Explained, ...], quantity: str, when: datetime, kind: str
) -> Explained | None:
    if kind == "nothing":
        return told[0] if told else None
    t = days_since_epoch(when)
    wide = 15.0 if kind == "use step" else 6.0
    near = []
    for one in told:
        names = (*one.about, "salinity") if one.kind == "drink" else one.about
        if quantity in names and one.begins <= t + wide and one.ends >= t - wide:
            near.append(one)
    # Two matters may lie side by side, a wrong test and a changed use: judged is the one meant.
    right = RIGHT[kind]
    return max(near, key=lambda one: sum(one.share(cause) for cause in right), default=None)


def table(asked: list[Asked]) -> str:
    """The figures as markdown."""
    lines = ["| what happened | asked | told of | cause named first | first or second |",
             "| --- | --- | --- | --- | --- |"]  # fmt: skip
    for kind, right in RIGHT.items():
        mine = [one for one in asked if one.kind == kind]
        told = [one for one in mine if one.said != "-"]
        if not mine:
            continue
        first = sum(one.said in right for one in told)
        either = sum(one.said in right or one.second in right for one in told)
        lines.append(f"| {kind} | {len(mine)} | {len(told)} | {first} | {either} |")
    return "\n".join([*lines, "", *_honest(asked)])


def _honest(asked: list[Asked]) -> list[str]:
    """How often the cause named first was right, by how sure it was said to be."""
    lines = ["| chance said | asked | right |", "| --- | --- | --- |"]
    for low, high in ((0.0, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 1.01)):
        mine = [one for one in asked
                if one.said not in ("-", "other") and low <= one.probability < high]  # fmt: skip
        right = sum(one.said in RIGHT[one.kind] for one in mine)
        lines.append(f"| {low:.2f} to {min(high, 1.0):.2f} | {len(mine)} | {right} |")
    return lines


def main() -> int:
    parser = argparse.ArgumentParser(description="Judge the causes that Today names.")
    parser.add_argument("--families", default="all", help="names with commas, or all")
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--first-seed", type=int, default=201)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--list", action="store_true", help="every question with what was said")
    chosen = parser.parse_args()
    families = JUDGED if chosen.families == "all" else tuple(chosen.families.split(","))
    seeds = range(chosen.first_seed, chosen.first_seed + chosen.seeds)
    tasks = [(family, seed) for family in families for seed in seeds]
    asked: list[Asked] = []
    with ProcessPoolExecutor(chosen.processes) as pool:
        results = pool.map(asked_of, tasks) if chosen.processes > 1 else map(asked_of, tasks)
        for task, mine in zip(tasks, results, strict=True):
            asked += mine
            if chosen.list:
                for one in mine:
                    print(*task, one.kind, one.said, f"{one.probability:.2f}", one.second)
    print(table(asked))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
