"""Make the book of the demo reef anew in ./demo-book, show Today, and open its notebook.

The reef is invented, and so is everything that happened to it. The answer is given as of its last
fact, so that it reads the same on any day.
"""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "demo-book"
DATA = ROOT / "src" / "brinebook" / "demo"
BOOK = "demo-book/book.sqlite"


def last_instant(history: str, zone: ZoneInfo) -> datetime:
    """When the last fact of a history.csv happened, in UTC."""
    rows = csv.DictReader(history.splitlines())
    whens = [datetime.fromisoformat(row["when"]) for row in rows]
    return max(when if when.tzinfo else when.replace(tzinfo=zone) for when in whens).astimezone(UTC)


def steps(data: Path, book: str) -> list[list[str]]:
    """The commands that make the demo's book and read it."""
    system = tomllib.loads((data / "system.toml").read_text(encoding="utf-8"))
    history = (data / "history.csv").read_text(encoding="utf-8-sig")
    last = last_instant(history, ZoneInfo(system.get("timezone", "UTC")))
    return [
        ["--book", book, "new", "--system", str(data / "system.toml")],
        ["--book", book, "import", str(data / "history.csv")],
        ["--book", book, "today", "--at", f"{last:%Y-%m-%dT%H:%MZ}"],
    ]


def questions(at: str) -> list[str]:
    """What else one may ask the demo's book, as of the same instant."""
    until = datetime.fromisoformat(at)
    since = until - timedelta(days=30)
    return [
        f"today --why alkalinity --at {at}",
        f"balance --at {at}",
        f"balance alkalinity --from {since:%Y-%m-%d} --to {until:%Y-%m-%d} --at {at}",
    ]


def _shown(arguments: Sequence[str]) -> str:
    words = [_relative(word) for word in arguments]
    return " ".join(["brinebook", *words])


def _relative(word: str) -> str:
    path = Path(word)
    return str(path.relative_to(ROOT)) if path.is_absolute() and ROOT in path.parents else word


def main() -> int:
    """Run the demo; the status is that of the first command that fails."""
    if FOLDER.exists():
        shutil.rmtree(FOLDER)
    FOLDER.mkdir()
    commands = steps(DATA, BOOK)
    for arguments in commands:
        print(f"\n$ {_shown(arguments)}\n", flush=True)
        command = [sys.executable, "-m", "brinebook", *arguments]
        outcome = subprocess.run(command, cwd=ROOT, check=False)
        if outcome.returncode:
            return outcome.returncode
    print(f"\nThe demo's book stays in {BOOK}. Ask it more, for instance:\n")
    for question in questions(commands[-1][-1]):
        print(f"    .venv/bin/brinebook --book {BOOK} {question}")
    return _serve(commands[-1][-1])


def _serve(at: str) -> int:
    """Open the demo's notebook until Ctrl-C, as of its last fact; DEMO_SERVE=0 leaves it out."""
    if os.environ.get("DEMO_SERVE") == "0":
        return 0
    arguments = ["--book", BOOK, "serve", "--at", at]
    if "DEMO_PORT" in os.environ:
        arguments += ["--port", os.environ["DEMO_PORT"]]
    print(f"\n$ {_shown(arguments)}\n", flush=True)
    try:
        return subprocess.run(
            [sys.executable, "-m", "brinebook", *arguments], cwd=ROOT, check=False
        ).returncode
    except KeyboardInterrupt:
        return 0


if __name__ == "__main__":
    sys.exit(main())
