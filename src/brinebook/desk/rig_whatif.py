"""What if one figure of the rig were another: the drills of both, without writing anything."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from brinebook.book.description import read_description
from brinebook.desk.drill import Drilled
from brinebook.desk.drill_words import harm_name, time_words
from brinebook.desk.rig_degrees import in_keepers_degrees
from brinebook.desk.rig_edit import with_values
from brinebook.desk.rig_forms import CHOICE, LINE, Field, every_place, form, typed_values
from brinebook.desk.rig_places import Place, PlaceMissing
from brinebook.lifesupport.drill import Drill
from brinebook.report.page_rows import printed_amounts
from brinebook.system import System
from brinebook.texts import named, say

#: How a drill comes out after the change.
Became = Literal["worse", "milder", "otherwise", "new", "gone"]
_ORDER: tuple[Became, ...] = ("worse", "new", "milder", "gone", "otherwise")


@dataclass(frozen=True, slots=True)
class Choice:
    """A figure that can be tried: its key, its name, and how it stands now."""

    key: str
    label: str
    now: str
    field: Field


@dataclass(frozen=True, slots=True)
class Choices:
    """The figures of one part."""

    part: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """The description with the other figure in it, read."""

    text: str
    system: System


@dataclass(frozen=True, slots=True)
class Compared:
    """A drill before and after; empty words where it isn't drilled."""

    id: str
    title: str
    became: Became
    before: str
    after: str
    told: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """The drills that come out otherwise, the worse ones first, and how many stay as they are."""

    rows: tuple[Compared, ...]
    alike: int


def choices(found: Mapping[str, Any], *, feet: bool = False) -> tuple[Choices, ...]:
    """Every figure that is described or at a default, by part."""
    return tuple(
        Choices(made.name, told)
        for place, made in every_place(found, feet=feet)
        if (told := tuple(_choice(place, one) for one in made.fields if _can_be_tried(one)))
    )


def _can_be_tried(one: Field) -> bool:
    return one.kind in (LINE, CHOICE) and one.key != "name" and bool(one.value or one.stands_in)


def choice_of(found: Mapping[str, Any], key: str, *, feet: bool = False) -> Choice:
    """The figure of that key. Raises PlaceMissing."""
    place, path = split_key(key)
    for one in form(found, place, feet=feet).fields:
        if one.path == path and one.kind in (LINE, CHOICE):
            return _choice(place, one)
    raise PlaceMissing((*place, path))


def key_of(place: Place, path: str) -> str:
    """The key of a field, as an address holds it."""
    return f"{'/'.join(place)}:{path}"


def split_key(key: str) -> tuple[Place, str]:
    """The place and the path of a key."""
    place, _, path = key.partition(":")
    return tuple(place.split("/")), path


def tried(
    text: str, found: Mapping[str, Any], key: str, typed: str, *, feet: bool = False
) -> Tried:
    """The description with another figure. Raises PlaceMissing, and what its reading raises."""
    place, path = split_key(key)
    choice_of(found, key, feet=feet)
    filled = {one.path: one.value for one in form(found, place, feet=feet).fields} | {path: typed}
    values = typed_values(found, place, filled, feet=feet)
    name = "fittings" if path.startswith("fittings.") else path
    changed = with_values(text, place, {name: values[name]})
    return Tried(changed, read_description(changed).system)


def compared(before: Drilled, after: Drilled) -> Comparison:
    """The drills of two descriptions side by side."""
    old = {one.id: one for one in before.drills}
    new = {one.id: one for one in after.drills}
    known = tuple(dict.fromkeys([*new, *old]))
    found = [_compared(old.get(one), new.get(one), after.asked.system) for one in known]
    rows = [row for row in found if row is not None]
    ordered = tuple(sorted(rows, key=lambda row: _ORDER.index(row.became)))
    return Comparison(ordered, len(known) - len(rows))


def _compared(old: Drill | None, new: Drill | None, system: System) -> Compared | None:
    shown = new or old
    assert shown is not None
    became = _became(old, new)
    if became is None:
        return None
    title, told = in_keepers_degrees([shown.title, new.told if new else ""], system)
    words = [
        f"{harm_name(one.harm)}, {time_words(one.within)}" if one else "" for one in (old, new)
    ]
    return Compared(shown.id, title[:1].upper() + title[1:], became, words[0], words[1], told)


def _became(old: Drill | None, new: Drill | None) -> Became | None:
    if old is None:
        return "new"
    if new is None:
        return "gone"
    if new.harm != old.harm:
        return "worse" if new.harm > old.harm else "milder"
    times = [time_words(one.within) for one in (old, new)]
    return "otherwise" if times[0] != times[1] or old.told != new.told else None


def _choice(place: Place, one: Field) -> Choice:
    unit = f" {one.unit}" if one.unit and one.value and _ends_in_digit(one.value) else ""
    now = printed_amounts(f"{say(one.value)}{unit}" if one.value else one.stands_in)
    label = " ".join(named(part) for part in one.path.split("."))
    return Choice(key_of(place, one.path), label, now, one)


def _ends_in_digit(text: str) -> bool:
    return text[-1:].isdigit()
