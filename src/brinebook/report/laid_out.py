"""Lines made for a terminal, laid out anew: paragraphs that a page may wrap, and tables."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_GAP = re.compile(r"\s{2,}")
#: A line of a wrapped paragraph is at least this long where it goes on in the next one.
_WRAPPED = 55


@dataclass(frozen=True, slots=True)
class Part:
    """A ``heading``, a ``text`` or a ``table``; rows of a table have their cells."""

    kind: str
    text: str = ""
    rows: tuple[tuple[str, ...], ...] = ()


def laid_out(lines: Sequence[str]) -> list[Part]:
    """The parts of a text: indented lines in columns are rows, the rest is joined again."""
    parts: list[Part] = []
    before = ""
    for line in lines:
        cells = tuple(_GAP.split(line.strip()))
        if not line.strip():
            before = ""
        elif line.startswith("  ") and len(cells) > 1:
            _add_row(parts, cells)
            before = ""
        elif _goes_on(before, line) and parts and parts[-1].kind == "text":
            parts[-1] = Part("text", f"{parts[-1].text} {line.strip()}")
            before = line
        else:
            heading = line.endswith(":") and not line.startswith(" ")
            parts.append(Part("heading" if heading else "text", line.strip()))
            before = "" if heading else line
    return parts


def _add_row(parts: list[Part], cells: tuple[str, ...]) -> None:
    if parts and parts[-1].kind == "table":
        parts[-1] = Part("table", rows=(*parts[-1].rows, cells))
    else:
        parts.append(Part("table", rows=(cells,)))


def _goes_on(before: str, line: str) -> bool:
    if not before:
        return False
    indent, earlier = (len(text) - len(text.lstrip()) for text in (line, before))
    return indent > earlier or (indent == earlier and len(before) >= _WRAPPED)
