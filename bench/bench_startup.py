"""What a start costs: modules loaded, and milliseconds beside those of a bare Python.

The promise is about modules (tests/test_startup.py); the times are for information, as they differ
from machine to machine.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Sequence

RUNS = 7
COMMANDS: tuple[tuple[str, Sequence[str]], ...] = (
    ("--help", ["--help"]),
    ("convert", ["convert", "8 dKH", "meq/L"]),
    ("water", ["water", "--alkalinity", "8 dKH", "--ph", "8.1 NBS"]),
)

_COUNT = (
    "import sys; before = set(sys.modules); from brinebook.cli.main import main; "
    "main(sys.argv[1:]); sys.stderr.write(f'\\n{len(set(sys.modules) - before)}')"
)


def milliseconds(command: Sequence[str]) -> float:
    """The median time of one start."""
    times = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(1000 * (time.perf_counter() - begun))
    return statistics.median(times)


def modules(arguments: Sequence[str]) -> int:
    """How many modules one start loads, besides those of a bare Python."""
    command = [sys.executable, "-c", _COUNT, *arguments]
    outcome = subprocess.run(command, check=True, capture_output=True, text=True)
    return int(outcome.stderr.splitlines()[-1])


def main() -> None:
    """Print the table."""
    bare = milliseconds([sys.executable, "-c", "pass"])
    print(f"| start of | modules | ms (median of {RUNS}) | times a bare Python |")
    print("| --- | --- | --- | --- |")
    print(f"| python | 0 | {bare:.0f} | 1 |")
    for name, arguments in COMMANDS:
        took = milliseconds([sys.executable, "-m", "brinebook", *arguments])
        print(f"| {name} | {modules(arguments)} | {took:.0f} | {took / bare:.1f} |")


if __name__ == "__main__":
    main()
