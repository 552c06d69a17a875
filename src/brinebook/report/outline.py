"""Lines for a terminal as an outline: a sentence, and below it what is indented under it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outlined:
    """A sentence with what belongs under it."""

    text: str
    below: tuple[str, ...] = ()


def outlined(lines: Iterable[str]) -> tuple[Outlined, ...]:
    """The lines as sentences with their own lists; empty lines are dropped."""
    found: list[tuple[str, list[str]]] = []
    for line in lines:
        if not line.strip():
            continue
        if line.startswith(" ") and found:
            found[-1][1].append(line.strip())
        else:
            found.append((line.strip(), []))
    return tuple(Outlined(_upper(text), tuple(below)) for text, below in found)


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
