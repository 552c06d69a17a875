"""Put into README.md what Today says of the demo reef, so that the screen there is a real one.

python -m scripts.readme
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from scripts import demo

README = demo.ROOT / "README.md"
START, END = "<!-- today -->", "<!-- end of today -->"


def todays_screen() -> str:
    """What ``today`` prints for the demo reef, as of its last fact."""
    with tempfile.TemporaryDirectory() as folder:
        screen = ""
        for arguments in demo.steps(demo.DATA, str(Path(folder) / "book.sqlite")):
            command = [sys.executable, "-m", "brinebook", *arguments]
            screen = subprocess.run(
                command, capture_output=True, text=True, check=True, encoding="utf-8"
            ).stdout
    return screen.strip("\n")


def with_screen(readme: str, screen: str) -> str:
    """The README with this screen between its two marks."""
    before, _, rest = readme.partition(START)
    after = rest.partition(END)[2]
    return f"{before}{START}\n```text\n{screen}\n```\n{END}{after}"


def shown_screen(readme: str) -> str:
    """The screen that stands in the README now."""
    block = readme.partition(START)[2].partition(END)[0].strip()
    return block.removeprefix("```text").removesuffix("```").strip("\n")


if __name__ == "__main__":
    text = README.read_text(encoding="utf-8")
    README.write_text(with_screen(text, todays_screen()), encoding="utf-8")
    print("README.md shows what the demo says now.")
