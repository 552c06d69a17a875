"""How fast a rig's flows are found, against EPANET through wntr in the same run.

At least 50 times as fast on the manifold of four branches: one run of a model that is at hand, and
from its parts. The networks drawn by chance are shown for comparison. Exit 1 where that isn't so.
Times are of the processor and the best of many, since both share the machine with others.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import wntr

from brinebook.lifesupport.network import Network, prepare, run, solve
from tests.lifesupport import epanet

LEAST_RATIO = 50.0


def best_time(task: Callable[[], object], *, times: int, repeats: int = 20) -> float:
    """Processor seconds for one run of the task: the best of some repeats."""
    task()
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        for _ in range(times):
            task()
        best = min(best, (time.process_time() - start) / times)
    return best


def times(network: Network, folder: Path) -> dict[str, tuple[float, float]]:
    """Seconds of ours and of wntr: one run of a model at hand, and from its parts."""
    prefix = str(folder / "bench")
    simulator = wntr.sim.EpanetSimulator(epanet.model(network))
    ready = prepare(network, epanet.FLUID)

    def theirs_from_parts() -> object:
        made = wntr.sim.EpanetSimulator(epanet.model(network))
        return made.run_sim(file_prefix=prefix)

    return {
        "a run": (
            best_time(lambda: run(ready), times=50),
            best_time(lambda: simulator.run_sim(file_prefix=prefix), times=1),
        ),
        "from its parts": (
            best_time(lambda: solve(network, epanet.FLUID), times=50),
            best_time(theirs_from_parts, times=1),
        ),
    }


def main() -> int:
    """Print the table; 1 where the ratio is too small."""
    print("| network | links | what | ours | wntr with EPANET | ratio | at least |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    short = False
    cases = {"manifold of four branches": epanet.manifold()}
    cases |= {f"drawn by chance, {seed}": epanet.by_chance(seed) for seed in (2, 7)}
    with tempfile.TemporaryDirectory() as folder:
        for name, network in cases.items():
            held = name.startswith("manifold")
            for what, (ours, theirs) in times(network, Path(folder)).items():
                short |= held and theirs / ours < LEAST_RATIO
                print(
                    f"| {name} | {len(network.links)} | {what} | {1e6 * ours:.0f} us "
                    f"| {1e3 * theirs:.2f} ms | {theirs / ours:.0f} "
                    f"| {f'{LEAST_RATIO:g}' if held else ''} |"
                )
    return int(short)


if __name__ == "__main__":
    sys.exit(main())
