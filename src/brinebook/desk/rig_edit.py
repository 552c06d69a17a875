"""Changing the rig's description at one place: the rest of the file stays as it was written."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, Table

from brinebook.desk.rig_places import ARRAYS, NEW, Place, PlaceMissing
from brinebook.errors import UsageProblem
from brinebook.texts import say

#: Keys that name a vessel, a section, a pump, a pipe and so on, by the end of their table's name.
_NAMES = {
    "pumps": ("in", "socket"), "pipes": ("from", "to"), "weirs": ("vessel",),
    "drains": ("from", "to"), "nozzles": ("pipe",), "dosers": ("to",), "top_off": ("to",),
    "heaters": ("in", "socket"), "fans": ("socket",), "lamps": ("socket",),
    "coolers": ("socket",), "sockets": ("circuit",), "loads": ("socket", "circuit"),
    "reserve": ("air_pump",),
}  # fmt: skip
#: What such a key is taken for where it is left out.
_LEFT_OUT = {"vessel": "display", "from": "display", "to": "sump"}


class TextNeeded(UsageProblem):
    """The file is written in a way that a form can't change without losing something."""

    code = "E-RIG-TEXT"

    def __init__(self) -> None:
        super().__init__(
            say("This part of the description is written in a way that a form can't change."),
            say("Change it in the text of the description; nothing was written."),
        )


def with_values(text: str, place: Place, values: Mapping[str, Any]) -> str:
    """The description with these keys (dotted within a table of a part); None takes a key out.

    Raises PlaceMissing, TextNeeded.
    """
    document = tomlkit.parse(text)
    table = _table(document, place)
    before = table.get("name")
    for path, value in values.items():
        _set(table, path.split("."), value)
    after = table.get("name")
    if before and after and before != after:
        _rename(document, place, str(before), str(after))
    _drop_empty(document, place)
    return _dumped(document)


def without(text: str, place: Place) -> str:
    """The description without that part. Raises PlaceMissing, TextNeeded."""
    document = tomlkit.parse(text)
    holder: Any = document
    for name in place[:-1]:
        holder = _inside(holder, name, place)
    last = place[-1]
    if last.isdigit():
        if int(last) >= len(holder):
            raise PlaceMissing(place)
        del holder[int(last)]
        if not len(holder):
            return without(_dumped(document), place[:-1])
    elif last in holder:
        del holder[last]
    else:
        raise PlaceMissing(place)
    return _dumped(document)


def _table(document: tomlkit.TOMLDocument, place: Place) -> MutableMapping[str, Any]:
    """The table of a place, made where it isn't there yet."""
    found: Any = document
    for at, name in enumerate(place):
        following = place[at + 1] if at + 1 < len(place) else ""
        if name == NEW:
            found.append(tomlkit.inline_table() if isinstance(found, Array) else _new_table())
            found = found[len(found) - 1]
        elif name.isdigit():
            found = _inside(found, name, place)
        else:
            if name not in found:
                several = following == NEW or following.isdigit() or name in ARRAYS
                found[name] = tomlkit.aot() if several else _new_table()
            found = found[name]
    if not isinstance(found, MutableMapping):
        raise TextNeeded
    return found


def _new_table() -> Table:
    table = tomlkit.table()
    table.trivia.indent = "\n"  # an empty line before it, as people leave one
    return table


def _inside(found: Any, name: str, place: Sequence[str]) -> Any:
    if name.isdigit():
        if not isinstance(found, AoT | Array) or int(name) >= len(found):
            raise PlaceMissing(place)
        return found[int(name)]
    if not isinstance(found, MutableMapping) or name not in found:
        raise PlaceMissing(place)
    return found[name]


def _set(table: MutableMapping[str, Any], path: Sequence[str], value: Any) -> None:
    key, rest = path[0], path[1:]
    if rest:
        if not isinstance(table.get(key), MutableMapping):
            if value is None:
                return
            table[key] = tomlkit.inline_table()
        _set(table[key], rest, value)
        if not table[key]:
            del table[key]
        return
    if value is None:
        if key in table:
            del table[key]
    elif table.get(key) != value or isinstance(table.get(key), bool) != isinstance(value, bool):
        table[key] = _item(value)  # only what is changed, so that the rest keeps its comment


def _item(value: Any) -> Any:
    if not isinstance(value, Mapping):
        return value
    table = tomlkit.inline_table()
    table.update(value)
    return table


def _drop_empty(document: tomlkit.TOMLDocument, place: Place) -> None:
    """A section in which nothing is left goes, so that it doesn't count as described."""
    section = place[0]
    if section in document and section not in ARRAYS and not document[section]:
        del document[section]


def _rename(document: tomlkit.TOMLDocument, place: Place, before: str, after: str) -> None:
    """Follow a part's new name wherever another part names it."""
    old, new = before, after
    if len(place) > 2 and place[-2] == "sections":
        vessel = _inside(_inside(document, place[0], place), place[1], place).get("name", "")
        old, new = f"{vessel}/{before}", f"{vessel}/{after}"
    for kind, table in _naming(document):
        for key in _NAMES[kind]:
            named = table.get(key, _LEFT_OUT.get(key) if kind in ("weirs", "drains") else None)
            if named == old:
                table[key] = new
            elif isinstance(named, str) and place[0] == "vessels" and named.startswith(f"{old}/"):
                table[key] = new + named[len(old) :]


def _naming(found: Any, name: str = "") -> Iterator[tuple[str, MutableMapping[str, Any]]]:
    """Every table that names other parts, with its kind."""
    if isinstance(found, MutableMapping):
        if name in _NAMES:
            yield name, found
        for key, value in found.items():
            yield from _naming(value, key)
    elif isinstance(found, AoT | Array):
        for one in found:
            yield from _naming(one, name)


def _dumped(document: tomlkit.TOMLDocument) -> str:
    """The text; it has to say just what was meant. Raises TextNeeded."""
    text = tomlkit.dumps(document)
    try:
        same = tomllib.loads(text.replace("\r\n", "\n")) == document.unwrap()
    except tomllib.TOMLDecodeError:
        same = False
    if not same:
        raise TextNeeded
    return text
