"""How fast a past comes into the book, and in how much memory, through the command itself.

Ten years of daily facts (30,000 rows) in under 3 s; a million probe readings in bounded memory:
at most 60 MB more than the same command takes for a thousand. Exit 1 where that isn't so.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROWS = 30_000
READINGS = 1_000_000
MOST_SECONDS = 3.0
MOST_MEGABYTES = 60.0
START = datetime(2015, 1, 1, tzinfo=UTC)


def history_rows() -> Iterator[str]:
    """Ten years of eight facts a day, every value its own."""
    chance = random.Random(1)
    yield "when,kind,what,value,unit,detail\n"
    for number in range(ROWS):
        when = (START + timedelta(minutes=175 * number)).isoformat()
        lot = f"method=drop count;lot=A{number // 3000}"
        yield (
            f"{when},test,alkalinity,{chance.gauss(8, 0.3):.2f},dKH,{lot}\n",
            f"{when},test,calcium,{chance.gauss(420, 10):.1f},mg/L,\n",
            f"{when},dose,carbonate solution,{chance.uniform(20, 40):.2f},mL,\n",
            f"{when},top_off,,{chance.uniform(1, 5):.3f},L,\n",
            f"{when},test,salinity,{chance.gauss(1.0264, 0.0003):.5f},SG,by=me\n",
            f'{when},note,,,,"text=day {number}, nothing new"\n',
        )[number % 6]


def probe_rows(count: int) -> Iterator[str]:
    """Readings of four probes, a minute apart."""
    chance = random.Random(2)
    yield "when,probe,value,unit\n"
    for number in range(count):
        when = (START + timedelta(minutes=number // 4)).isoformat()
        name, middle, unit = (
            ("display", 25.0, "C"), ("ph", 8.1, ""), ("redox", 350.0, "mV"), ("room", 21.0, "C"),
        )[number % 4]  # fmt: skip
        yield f"{when},{name},{chance.gauss(middle, 0.01 * middle):.3f},{unit}\n"


def run(folder: Path, *arguments: str) -> tuple[float, float]:
    """Seconds and peak megabytes of one command."""
    command = [sys.executable, "-m", "brinebook", "--book", str(folder / "reef.book"), *arguments]
    begun = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - begun
    if os.waitstatus_to_exitcode(status):
        raise SystemExit(f"{' '.join(arguments)} failed")
    return seconds, usage.ru_maxrss / 1024


def write(path: Path, rows: Iterator[str]) -> str:
    """The rows as a file; its name."""
    with path.open("w", encoding="utf-8") as file:
        file.writelines(rows)
    return str(path)


def main() -> int:
    """Measure, print, and say whether the figures were kept."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        system = write(folder / "system.toml", iter(['name = "Bench"\ntimezone = "UTC"\n']))
        history = write(folder / "history.csv", history_rows())
        few = write(folder / "few.csv", probe_rows(1000))
        many = write(folder / "many.csv", probe_rows(READINGS))
        run(folder, "new", "--system", system)
        seconds, megabytes = run(folder, "import", history)
        again, _ = run(folder, "import", history)
        _, base = run(folder, "import", "--probes", few)
        long, peak = run(folder, "import", "--probes", many)
        size = (folder / "reef.book").stat().st_size / 2**20
    print(f"{ROWS:,} facts: {seconds:.2f} s (at most {MOST_SECONDS:g}), {megabytes:.0f} MB at peak")
    print(f"the same file again, adding nothing: {again:.2f} s")
    print(f"{READINGS:,} probe readings: {long:.1f} s, {peak:.0f} MB at peak")
    print(
        f"  {peak - base:.0f} MB over the {base:.0f} MB of a thousand (at most {MOST_MEGABYTES:g})"
    )
    print(f"the book then: {size:.0f} MB")
    return int(seconds > MOST_SECONDS or peak - base > MOST_MEGABYTES)


if __name__ == "__main__":
    sys.exit(main())
