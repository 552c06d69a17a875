"""Making a book, showing and changing what its system is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from brinebook.book import engines, store, systems
from brinebook.book.description import decode_toml, read_description
from brinebook.book.identity import to_us
from brinebook.book.systems import Entered
from brinebook.desk.files import read_file
from brinebook.desk.opening import OpenSystem
from brinebook.errors import UsageProblem
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.texts import say


class KeyUnreadable(UsageProblem):
    """A key or value to set can't be read."""

    code = "E-SYSTEM-KEY"

    def __init__(self, assignment: str, why: str) -> None:
        super().__init__(
            say("{assignment!r} can't be set: {why}.", assignment=assignment, why=why),
            say(
                "Write a key and its value as in system.toml, such as --set "
                '\'bands.calcium=["400 mg/L", "450 mg/L"]\'.'
            ),
        )


@dataclass(frozen=True, slots=True)
class Described:
    """A system as the book now has it, and what was remarked on reading it."""

    system: System
    warnings: tuple[str, ...]
    changed: bool = True
    revision: int = 1


def new_book(
    address: str, path: Path, *, now: datetime, by: str = "", also: bool = False
) -> Described:
    """Make a book for the system that a file describes; with ``also`` in a book that is there.

    Raises BookExists over a book that is (without ``also``), and what reading the file raises.
    """
    text = read_text(path)
    described = read_description(text)
    entered = Entered(to_us(now), by, f"new --system {path.name}")

    if also:
        with store.open_book(address).write() as connection:
            systems.add_system(connection, described.system.name, text=text, entered=entered)
    else:
        store.create_book(
            address,
            lambda connection: systems.add_system(
                connection, described.system.name, text=text, entered=entered
            ),
        )
    return Described(described.system, described.warnings)


def describe(opened: OpenSystem, text: str, *, now: datetime, by: str, through: str) -> Described:
    """Put a new revision of the description into the book, if it says anything new."""
    described = read_description(text)
    if text == opened.text:
        return Described(described.system, described.warnings, changed=False)
    with opened.book.write() as connection:
        revision = systems.describe_again(
            connection,
            opened.row,
            name=described.system.name,
            text=text,
            entered=Entered(to_us(now), by, through),
        )
    return Described(described.system, described.warnings, revision=revision)


def read_text(path: Path) -> str:
    """The text of a system.toml. Raises FileMissing, or TomlUnreadable where it isn't UTF-8."""
    return decode_toml(read_file(path))


def warnings_of(opened: OpenSystem) -> tuple[str, ...]:
    """What is remarked on reading the description as it stands."""
    return read_description(opened.text).warnings


def shown_address(address: str) -> str:
    """The address of a book without its password."""
    return engines.shown(address)


def as_plain(value: object) -> Any:
    """A description (or part of one) as dictionaries and lists, for programs."""
    if isinstance(value, Measure):
        return {"value": value.value, "sd": value.sd, "unit": value.unit}
    if is_dataclass(value):
        return {part.name: as_plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, Mapping):
        return {key: as_plain(value[key]) for key in value}
    if isinstance(value, tuple):
        return [as_plain(part) for part in value]
    return value


def with_keys(text: str, assignments: Sequence[str]) -> str:
    """The description with keys set (``bands.calcium=[…]``, ``methods.drop count.trueness="…"``)
    or, with nothing after ``=``, taken out. Everything else stays as written."""
    document = tomlkit.parse(text)
    for assignment in assignments:
        path, equals, value = assignment.partition("=")
        keys = [key.strip() for key in path.split(".")]
        if not equals or not all(keys):
            raise KeyUnreadable(assignment, say("it isn't key=value"))
        _set(document, keys, value.strip(), assignment)
    return tomlkit.dumps(document)


def _set(document: tomlkit.TOMLDocument, keys: Sequence[str], value: str, assignment: str) -> None:
    place: object = document
    for key in keys[:-1]:
        place = _inside(place, key, assignment)
    if not isinstance(place, dict):
        raise KeyUnreadable(
            assignment, say("{keys} has no keys of its own", keys=".".join(keys[:-1]))
        )
    if not value:
        if keys[-1] not in place:
            raise KeyUnreadable(assignment, say("there is no such key to take out"))
        del place[keys[-1]]
        return
    place[keys[-1]] = _value(value, assignment)


def _inside(place: object, key: str, assignment: str) -> object:
    if isinstance(place, dict):
        if key not in place:
            place[key] = tomlkit.table()
        return place[key]
    if isinstance(place, list):  # [[additives]] and the like: by name
        for part in place:
            if isinstance(part, dict) and part.get("name") == key:
                return part
        raise KeyUnreadable(assignment, say("nothing there is called {key!r}", key=key))
    raise KeyUnreadable(assignment, say("{key!r} is no table", key=key))


def _value(value: str, assignment: str) -> object:
    try:
        return tomlkit.parse(f"value = {value}")["value"]
    except (TOMLKitError, ValueError):
        pass
    if any(sign in value for sign in "[]{}\"'"):
        raise KeyUnreadable(assignment, say("{value} isn't a value in TOML", value=value))
    return tomlkit.string(value)  # bare words, as one types them in a shell
