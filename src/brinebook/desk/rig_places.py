"""Places of the rig's description: which shape a form has there, and where a named key lies.

A place is a path such as ``("vessels", "0", "sections", "1")``: names of tables, and numbers of
those in an array from 0 on, or ``new`` for one more.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from brinebook.book.description_rig import SHAPES
from brinebook.book.description_rig_keys import Key, Shape, inner_shape
from brinebook.errors import UsageProblem
from brinebook.texts import named, say

Place = tuple[str, ...]
NEW = "new"
#: Sections of the file that are arrays of tables themselves.
ARRAYS = ("vessels", "pumps")


class PlaceMissing(UsageProblem):
    """There is no such place in the description of the rig."""

    code = "E-RIG-FORM"
    http_status = 404

    def __init__(self, place: Sequence[str]) -> None:
        super().__init__(
            say("The description has no place “{place}”.", place="/".join(place)[:80]),
            say("It may have been taken out since. The list of all parts shows what is there."),
        )


@dataclass(frozen=True, slots=True)
class Known:
    """A place with its shape, whether it is one of several, and what is written there."""

    place: Place
    shape: Shape[Any]
    one_of_several: bool
    written: Mapping[str, Any]

    @property
    def name(self) -> str:
        """What the keeper calls it, else the table's own name."""
        named = self.written.get("name")
        return named if isinstance(named, str) and named else _named_by_place(self.place)


@lru_cache(maxsize=16)
def plain(text: str) -> Mapping[str, Any]:
    """The description as plain tables, to be read only. The text has been read before."""
    return tomllib.loads(text.replace("\r\n", "\n"))


def known_at(found: Mapping[str, Any], place: Sequence[str]) -> Known:
    """What a form of that place is about. Raises PlaceMissing."""
    if not place or place[0] not in SHAPES:
        raise PlaceMissing(place)
    shape, several = SHAPES[place[0]], place[0] in ARRAYS
    written: Any = found.get(place[0], [] if several else {})
    rest = list(place[1:])
    while True:
        if several:
            if not rest:
                raise PlaceMissing(place)
            written = _item(written, rest.pop(0), place)
        if not rest:
            return Known(tuple(place), shape, several, written)
        key = key_of(shape, rest.pop(0))
        inner = inner_shape(key) if key is not None else None
        if key is None or inner is None:
            raise PlaceMissing(place)
        shape, several = inner, is_several(key)
        written = written.get(key.name, [] if several else {})


def is_several(key: Key) -> bool:
    """Whether a key holds an array of tables."""
    return bool(getattr(key.read, "several", False))


def items(written: object) -> Sequence[Mapping[str, Any]]:
    """The tables of an array as they are written."""
    return [one for one in written if isinstance(one, Mapping)] if isinstance(written, list) else []


def find(found: Mapping[str, Any], where: str) -> tuple[Place, str] | None:
    """The place and the key of a “plumbing.pipes[riser].bore”, as they stand in `Assumed`.

    The key is "" where a whole part is meant; None where nothing there is called so.
    """
    name = _head(where, SHAPES)
    if name is None:
        return None
    written = found.get(name)
    return _find((name,), SHAPES[name], written, where[len(name) :], several=name in ARRAYS)


def _find(
    place: Place, shape: Shape[Any], written: object, rest: str, *, several: bool
) -> tuple[Place, str] | None:
    if several:
        at = _numbered(items(written), rest)
        if at is None:
            return None if rest.startswith("[") else ((*place, NEW), "")
        number, rest = at
        place, written = (*place, str(number)), items(written)[number]
    name = _head(rest[1:], [key.name for key in shape.keys]) if rest.startswith(".") else None
    if name is None:
        return (place, "") if not rest.startswith(".") else None
    key = key_of(shape, name)
    inner = inner_shape(key) if key is not None else None
    if key is None or inner is None or is_inline(key, place):
        return place, rest[1:]
    below = written.get(name) if isinstance(written, Mapping) else None
    return _find((*place, name), inner, below, rest[1 + len(name) :], several=is_several(key))


def where_of(found: Mapping[str, Any], place: Place) -> str:
    """“plumbing.pipes[riser]” of a place: what `find` reads."""
    where, here = "", found
    for name in place:
        if name.isdigit():
            here = items(here)[int(name)]
            called = here.get("name")
            where += f"[{called if isinstance(called, str) and called else int(name) + 1}]"
        else:
            where += f".{name}" if where else name
            here = here.get(name, {}) if isinstance(here, Mapping) else {}
    return where


def words_of(where: str) -> str:
    """“upper riser: roughness” of a “plumbing.pipes[upper riser].roughness”."""
    head, opened, rest = where.partition("[")
    if opened:
        name, _, key = rest.rpartition("]")
        key = " ".join(named(part) for part in key.strip(".").split("."))
        name = name.replace("].sections[", "/")
        return f"{name}: {key}" if key else name
    return ", ".join(named(part) for part in head.split("."))


def is_inline(key: Key, place: Sequence[str]) -> bool:
    """Whether a table within a table stands in the form of the outer one: those of a part do."""
    return inner_shape(key) is not None and not is_several(key) and len(place) > 1


def key_of(shape: Shape[Any], name: str) -> Key | None:
    """The key of that name."""
    return next((key for key in shape.keys if key.name == name), None)


def _head(rest: str, names: Iterable[str]) -> str | None:
    """The longest of the names that the text begins with, up to a dot, a bracket or a blank."""
    for name in sorted(names, key=len, reverse=True):
        if rest.startswith(name) and rest[len(name) : len(name) + 1] in ("", ".", "[", " "):
            return name
    return None


def _numbered(parts: Sequence[Mapping[str, Any]], after: str) -> tuple[int, str] | None:
    for number, part in enumerate(parts):
        name = part.get("name")
        called = f"[{name if isinstance(name, str) and name else number + 1}]"
        if after.startswith(called):
            return number, after[len(called) :]
    return None


def _item(written: object, number: str, place: Sequence[str]) -> Mapping[str, Any]:
    parts = items(written)
    if number == NEW:
        return {}
    if not (number.isascii() and number.isdigit()) or int(number[:6]) >= len(parts):
        raise PlaceMissing(place)
    return parts[int(number)]


def _named_by_place(place: Place) -> str:
    names = [one for one in place if not (one.isdigit() or one == NEW)]
    return named(names[-1])
