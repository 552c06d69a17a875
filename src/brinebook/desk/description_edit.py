"""Changing a system's description key by key, as forms do: the rest stays as it was written."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any

import tomlkit
from tomlkit.items import AoT

from brinebook.book import state
from brinebook.desk.describing import Described, describe
from brinebook.desk.opening import OpenSystem
from brinebook.errors import UsageProblem
from brinebook.texts import say

#: Keys whose value is a bare number in the file, and not a text with its unit.
NUMBERS = {
    "grams_per_litre", "at_salinity", "saturation", "saturation_rise", "air_hours",
    "pours_per_day", "pour_gap", "salt_moisture",
}  # fmt: skip
_COMMA = re.compile(r"(?<=\d),(?=\d)")


class DescriptionMovedOn(UsageProblem):
    """Somebody changed the description since the form was loaded. Both versions are at hand."""

    code = "E-SYSTEM-MOVED-ON"
    http_status = 409

    def __init__(self, theirs: str, mine: str) -> None:
        super().__init__(
            say(
                "The description was changed while you had it open; nothing of yours "
                "was written yet."
            ),
            say("Both versions stand below: keep what you want of each in the one on the right."),
        )
        self.theirs, self.mine = theirs, mine


@dataclass(frozen=True, slots=True)
class Change:
    """What a form says of one place of the file: dotted keys with their texts; an empty text takes
    the key out. ``section`` is "" for the top, a table's name, or that of an array of tables;
    ``place`` is which table of an array (counted from 0), or one past the last for a new one."""

    section: str
    values: Mapping[str, str]
    place: int | None = None
    remove: bool = False


def changed_text(text: str, change: Change) -> str:
    """The description with the change in it. Raises UsageProblem where it doesn't fit."""
    document = tomlkit.parse(text)
    table = _table(document, change)
    if change.remove:
        assert change.place is not None
        array = document[change.section]
        del array[change.place]
        if not len(array):
            del document[change.section]
        return tomlkit.dumps(document)
    for path, typed in change.values.items():
        _set(table, path.split("."), typed)
    if change.section and change.place is None and not table:
        del document[change.section]
    return tomlkit.dumps(document)


def with_bands(text: str, pairs: Mapping[str, tuple[str, str]]) -> str:
    """The description with these bands (low, high); a pair of empty texts takes one out."""
    document = tomlkit.parse(text)
    table = _table(document, Change("bands", {}))
    for quantity, (low, high) in pairs.items():
        if low and high:
            wanted = [_COMMA.sub(".", low), _COMMA.sub(".", high)]
            if table.get(quantity) != wanted:
                table[quantity] = wanted
        elif quantity in table:
            del table[quantity]
    if not table:
        del document["bands"]
    return tomlkit.dumps(document)


def save_description(
    opened: OpenSystem, text: str, *, seen: int, now: datetime, by: str, through: str
) -> Described:
    """Keep a new description, unless another one came since the one that was ``seen``.

    Raises DescriptionMovedOn, or what reading a description raises.
    """
    with opened.book.read() as connection:
        newest = state.mark(connection, opened.system_id).described
    if newest != seen:
        raise DescriptionMovedOn(opened.text, text)
    return describe(opened, text, now=now, by=by, through=through)


def plain_parts(text: str, section: str) -> Sequence[Mapping[str, Any]]:
    """The tables of an array as they are written, for filling forms."""
    found = _plain(text).get(section, [])
    return [part for part in found if isinstance(part, Mapping)] if isinstance(found, list) else []


def plain_table(text: str, section: str) -> Mapping[str, Any]:
    """A table (or the top) as it is written."""
    found = _plain(text)
    part = found.get(section, {}) if section else found
    return part if isinstance(part, Mapping) else {}


@lru_cache(maxsize=16)
def _plain(text: str) -> Mapping[str, Any]:
    """The description as plain tables; a page asks for many of them, so it is read once."""
    return tomllib.loads(text.replace("\r\n", "\n"))


def shown(part: Mapping[str, Any], path: str) -> str:
    """The text of a dotted key as a form shows it; empty where there is none."""
    value: Any = part
    for key in path.split("."):
        value = value.get(key) if isinstance(value, Mapping) else None
    return "" if value is None or isinstance(value, Mapping | list) else str(value)


def _table(document: tomlkit.TOMLDocument, change: Change) -> MutableMapping[str, Any]:
    if not change.section:
        return document
    if change.place is None:
        if change.section not in document:
            document[change.section] = tomlkit.table()
        return _mapping(document[change.section], change.section)
    if change.section not in document:
        document[change.section] = tomlkit.aot()
    array = document[change.section]
    if not isinstance(array, AoT) or not 0 <= change.place <= len(array):
        raise PlaceUnknown(change.section)
    if change.place == len(array):
        if change.remove:
            raise PlaceUnknown(change.section)
        array.append(tomlkit.table())
    return _mapping(array[change.place], change.section)


class PlaceUnknown(UsageProblem):
    """The part of the description that a form is about isn't there."""

    code = "E-SYSTEM-PLACE"
    http_status = 404

    def __init__(self, section: str) -> None:
        super().__init__(
            say("There is no such place under {section!r} in the description.", section=section),
            say("Load the page anew; the text of the description can be edited as a whole too."),
        )


def _mapping(found: object, section: str) -> MutableMapping[str, Any]:
    if not isinstance(found, MutableMapping):
        raise PlaceUnknown(section)
    return found


def _set(table: MutableMapping[str, Any], path: Sequence[str], typed: str) -> None:
    key, rest = path[0], path[1:]
    if rest:
        inner = table.get(key)
        if not isinstance(inner, MutableMapping):
            if not typed:
                return
            # A plain text (a volume without its sd) becomes the table's value.
            inner = tomlkit.inline_table()
            table[key] = inner
        inner = table[key]
        _set(inner, rest, typed)
        if not inner:
            del table[key]
        return
    if not typed:
        if key in table:
            del table[key]
        return
    value = _value(key, typed)
    if table.get(key) != value:  # so that what isn't changed keeps its comment
        table[key] = value


def _value(key: str, typed: str) -> object:
    text = _COMMA.sub(".", typed)
    if key in NUMBERS:
        try:
            number = float(text)
        except ValueError:
            return tomlkit.string(text)  # the reader says what is wrong with it
        return int(number) if number.is_integer() else number
    return tomlkit.string(text)
