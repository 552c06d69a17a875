"""Remake the tables of docs/rig.md: every key of the rig's description, from the program itself.

python -m scripts.rig_keys
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from brinebook.book.description_rig import SHAPES
from brinebook.book.description_rig_keys import Key, Shape, default_text, inner_shape

PAGE = Path(__file__).resolve().parent.parent / "docs" / "rig.md"
START, END = "<!-- keys -->", "<!-- end of keys -->"
ARRAYS = ("vessels", "pumps")


def tables() -> str:
    """Every table of the description with its keys, as markdown."""
    return "\n".join(line for name, shape in SHAPES.items() for line in _table(name, shape))


def _table(name: str, shape: Shape[Any]) -> Iterator[str]:
    plain = [key for key in shape.keys if inner_shape(key) is None]
    several = name in ARRAYS or name.rpartition(".")[2] in _plurals()
    if plain:
        yield f"### `{f'[[{name}]]' if several else f'[{name}]'}`\n"
        yield "| key | what it says | left out |\n| --- | --- | --- |"
        yield from (_row(key) for key in plain)
        yield ""
    for key in shape.keys:
        if (found := inner_shape(key)) is not None:
            yield from _table(f"{name}.{key.name}", found)


def _plurals() -> set[str]:
    return {
        key.name
        for shape in all_shapes(SHAPES)
        for key in shape.keys
        if inner_shape(key) is not None and getattr(key.read, "several", False)
    }


def all_shapes(shapes: Mapping[str, Shape[Any]]) -> Iterator[Shape[Any]]:
    """These shapes and every shape within them."""
    for shape in shapes.values():
        yield shape
        inner = {key.name: found for key in shape.keys if (found := inner_shape(key)) is not None}
        yield from all_shapes(inner)


def _row(key: Key) -> str:
    choices = f": {', '.join(f'`{one}`' for one in key.choices)}" if key.choices else ""
    return f"| `{key.name}` | {key.meaning}{choices} | {_left_out(key)} |"


def _left_out(key: Key) -> str:
    if key.default is not None:
        return f"{default_text(key.default)} ({key.reason})"
    if key.name == "name":
        return "a fault"
    if key.needed:
        return f"the part doesn't count: {key.needed}"
    return f"not known: {key.wanted}" if key.wanted else ""


def main() -> None:
    """Put the tables between their marks."""
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
    after = rest.partition(END)[2]
    PAGE.write_text(f"{before}{START}\n{tables()}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
