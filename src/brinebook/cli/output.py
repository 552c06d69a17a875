"""The only place that writes to the terminal: answers to stdout, everything else to stderr."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Mapping
from typing import TextIO

from brinebook.report.json_numbers import for_json

#: What stands in for the signs that an old terminal can't show.
_PLAIN_SIGNS = {
    ord("±"): "+/-", ord("−"): "-", ord("–"): "-", ord("·"): "*", ord("°"): "", ord("…"): "...",
    ord("×"): "x", ord("₂"): "2", ord("µ"): "u", ord("μ"): "u", ord("’"): "'", ord("Ω"): "omega ",
    **{ord(block): str(height) for height, block in enumerate("▁▂▃▄▅▆▇█", start=1)},
}  # fmt: skip

_ACCENT = "\x1b[1m"
_RESET = "\x1b[0m"


def emit_json(answer: Mapping[str, object]) -> None:
    """Write one JSON object, keys in the order given, numbers at 9 significant digits.

    Raises ValueError where a number is not finite: an answer never carries NaN or infinity.
    """
    text = json.dumps(for_json(answer), ensure_ascii=not _speaks_utf8(sys.stdout))
    sys.stdout.write(text + "\n")


def show(text: str = "") -> None:
    """Write a line of the answer, for a person, to stdout."""
    sys.stdout.write(_writable(text, sys.stdout) + "\n")


def say(text: str) -> None:
    """Write a remark (progress, a warning) to stderr."""
    sys.stderr.write(_writable(text, sys.stderr) + "\n")


def hint(text: str) -> None:
    """Write what could be done next, set in a little, to stderr."""
    say(f"  Next: {text}")


def strong(text: str, stream: TextIO | None = None) -> str:
    """The text with emphasis where the stream (default stdout) is a terminal that may show it."""
    return f"{_ACCENT}{text}{_RESET}" if is_styled(stream or sys.stdout) else text


def is_styled(stream: TextIO) -> bool:
    """Whether emphasis may be used: a terminal, not a dumb one, and NO_COLOR is unset."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return stream.isatty()


def prepare_streams() -> None:
    """Make stdout and stderr able to carry any text: UTF-8 into files and pipes, never a crash."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is None:
            continue
        if not stream.isatty():
            reconfigure(encoding="utf-8")
        reconfigure(errors="backslashreplace")


def _writable(text: str, stream: TextIO) -> str:
    return text if _speaks_utf8(stream) else text.translate(_PLAIN_SIGNS)


def _speaks_utf8(stream: TextIO) -> bool:
    return (stream.encoding or "utf-8").lower().replace("-", "").replace("_", "") == "utf8"
