"""Forms of the rig's description, made from the shapes that it is read by.

A form has the keys of one table as fields, each with its meaning, the unit of a bare number, and
what stands in where it is left out; small tables of a part (a valve, a bed) are groups in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from brinebook.book.description_rig import SHAPES
from brinebook.book.description_rig_keys import Key, Shape, inner_shape
from brinebook.desk.rig_places import (
    ARRAYS,
    NEW,
    Known,
    Place,
    is_inline,
    is_several,
    items,
    known_at,
    where_of,
)
from brinebook.desk.rig_references import named_parts
from brinebook.desk.rig_values import (
    fittings_of,
    is_monthly,
    monthly_unit,
    shown_between,
    shown_lines,
    shown_months,
    shown_value,
    unit_beside,
    written,
)
from brinebook.errors import BrinebookError
from brinebook.report.page_rows import printed_amounts
from brinebook.rig import Assumed
from brinebook.rig.water_side import FITTINGS
from brinebook.texts import named, say

#: Kinds of an input on a page.
LINE, LINES, CHOICE = "line", "lines", "choice"


@dataclass(frozen=True, slots=True)
class Field:
    """One key as a field: its path within the table, what it holds, and what else there is to say.

    ``stands_in`` is the default with ``reason`` beside it; ``needed`` says what can't be told
    without it.
    """

    path: str
    key: str
    label: str
    meaning: str
    value: str
    kind: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    stands_in: str = ""
    reason: str = ""
    needed: str = ""
    low: float = 0.0


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together; the first group of a form has no title."""

    title: str
    fields: tuple[Field, ...]

    @property
    def is_filled(self) -> bool:
        """Whether anything of it is described."""
        return any(one.value for one in self.fields)


@dataclass(frozen=True, slots=True)
class Part:
    """A part that has a form of its own."""

    name: str
    place: Place
    about: str
    described: bool


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of one kind, and where one more is added; ``one`` where there is only one."""

    key: str
    about: str
    parts: tuple[Part, ...]
    add: Place | None


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the rig: what has one form each, and the kinds of which there are several."""

    key: str
    singles: tuple[Parts, ...]
    kinds: tuple[Parts, ...]


@dataclass(frozen=True, slots=True)
class RigForm:
    """A form: its fields by group, and the parts below it that have their own."""

    place: Place
    name: str
    is_new: bool
    one_of_several: bool
    groups: tuple[Group, ...]
    below: tuple[Parts, ...]

    @property
    def fields(self) -> Iterator[Field]:
        """Every field."""
        return (field for group in self.groups for field in group.fields)


def with_assumed(
    made: RigForm, found: Mapping[str, Any], assumed: Mapping[str, Assumed]
) -> RigForm:
    """The form with what stands in where no key has a default of its own, such as a height."""
    if made.is_new:
        return made
    where = where_of(found, made.place)

    def told(one: Field) -> Field:
        stands_in = assumed.get(f"{where}.{one.path}")
        if stands_in is None or one.stands_in:
            return one
        value = printed_amounts(say(stands_in.value))
        return replace(one, stands_in=value, reason=say(stands_in.reason))

    groups = (replace(group, fields=tuple(map(told, group.fields))) for group in made.groups)
    return replace(made, groups=tuple(groups))


def form(found: Mapping[str, Any], place: Place, *, feet: bool = False) -> RigForm:
    """The form of a place of the description. Raises PlaceMissing."""
    known = known_at(found, place)
    table = table_of(place)
    main = [
        _field(found, table, key, known.written.get(key.name), feet=feet)
        for key in known.shape.keys
        if inner_shape(key) is None and key.name != "fittings"
    ]
    groups = [Group("", tuple(main)), *_inline(found, known, feet=feet)]
    return RigForm(
        place,
        known.name,
        NEW in place,
        known.one_of_several,
        tuple(group for group in groups if group.fields),
        () if NEW in place else tuple(_below(known)),
    )


def sections(found: Mapping[str, Any]) -> tuple[Section, ...]:
    """Every section of the rig with its parts, for a list of all that is described."""
    told = []
    for name, shape in SHAPES.items():
        if name in ARRAYS:
            kind = _parts(Key(name, "own", ""), (name,), found.get(name), several=True)
            told.append(Section(name, (), (kind,)))
            continue
        known = known_at(found, (name,))
        below = list(_below(known))
        own = any(inner_shape(key) is None for key in shape.keys)
        itself = Parts(name, "", (Part(name, (name,), "", bool(known.written)),), None)
        singles = [itself] if own else []
        singles += [one for one in below if one.add is None]
        told.append(Section(name, tuple(singles), tuple(one for one in below if one.add)))
    return tuple(told)


def every_place(found: Mapping[str, Any], *, feet: bool = False) -> Iterator[tuple[Place, RigForm]]:
    """Every part that is described, with its form, the ones within others after them."""
    for section in sections(found):
        yield from _described(found, (*section.singles, *section.kinds), feet=feet)


def _described(
    found: Mapping[str, Any], several: tuple[Parts, ...], *, feet: bool
) -> Iterator[tuple[Place, RigForm]]:
    for kind in several:
        for part in kind.parts:
            if part.described:
                made = form(found, part.place, feet=feet)
                yield part.place, made
                # What lies below a section stands in the list of sections itself.
                if len(part.place) > 1:
                    yield from _described(found, made.below, feet=feet)


def typed_values(
    found: Mapping[str, Any], place: Place, typed: Mapping[str, str], *, feet: bool = False
) -> dict[str, Any]:
    """What the file would hold of a form's typed fields, by path; None takes a key out."""
    values: dict[str, Any] = {}
    for one, key in keyed(form(found, place, feet=feet), known_at(found, place).shape):
        if key.name == "fittings":
            values["fittings"] = fittings_of(
                {name: typed.get(f"fittings.{name}", "") for name in FITTINGS}
            )
        elif one.path in typed:
            values[one.path] = written(key, typed[one.path], one.unit)
    return values


def keyed(made: RigForm, shape: Shape[Any]) -> Iterator[tuple[Field, Key]]:
    """The fields of a form with the key that each is read by; the fittings once."""
    keys = {key.name: key for key in shape.keys}
    inner = {
        f"{key.name}.{below.name}": below
        for key in shape.keys
        if (found := inner_shape(key)) is not None
        for below in found.keys
    }
    seen = False
    for one in made.fields:
        if one.path.startswith("fittings."):
            if not seen:
                yield one, keys["fittings"]
            seen = True
        else:
            yield one, keys.get(one.path) or inner[one.path]


def table_of(place: Place) -> str:
    """``plumbing.pipes`` of a place in it."""
    return ".".join(one for one in place if not (one.isdigit() or one == NEW))


def _inline(found: Mapping[str, Any], known: Known, *, feet: bool) -> Iterator[Group]:
    table = table_of(known.place)
    for key in known.shape.keys:
        written_here = known.written.get(key.name)
        if key.name == "fittings":
            counts = written_here if isinstance(written_here, Mapping) else {}
            yield Group(key.name, tuple(
                Field(f"fittings.{name}", name, named(name), "",
                      shown_value(counts.get(name), ""), LINE)
                for name in FITTINGS
            ))  # fmt: skip
        inner = inner_shape(key)
        if inner is None or not is_inline(key, known.place):
            continue
        here = written_here if isinstance(written_here, Mapping) else {}
        fields = [
            _field(found, f"{table}.{key.name}", below, here.get(below.name), feet=feet,
                   path=f"{key.name}.")
            for below in inner.keys
        ]  # fmt: skip
        yield Group(key.name, tuple(fields))


def _below(known: Known) -> Iterator[Parts]:
    for key in known.shape.keys:
        inner = inner_shape(key)
        if inner is None or is_inline(key, known.place):
            continue
        place = (*known.place, key.name)
        yield _parts(key, place, known.written.get(key.name), several=is_several(key))


def _parts(key: Key, place: Place, here: object, *, several: bool) -> Parts:
    if not several:
        meaning = say(key.meaning)
        return Parts(key.name, meaning, (Part(key.name, place, meaning, bool(here)),), None)
    parts = tuple(
        Part(str(one.get("name") or number + 1), (*place, str(number)), "", True)
        for number, one in enumerate(items(here))
    )
    return Parts(key.name, say(key.meaning), parts, (*place, NEW))


def _field(
    found: Mapping[str, Any], table: str, key: Key, value: object, *, feet: bool, path: str = ""
) -> Field:
    kind, unit, text, choices = LINE, unit_beside(table, key, feet=feet), "", key.choices
    if is_monthly(key):
        unit = monthly_unit(key, feet=feet)
        text = shown_months(value, unit)
    elif key.name in ("curve", "chances"):
        kind, text = LINES, shown_lines(value)
    elif key.name == "wanted_flow":
        unit, text = "L/h", shown_between(value)
    else:
        text = shown_value(value, unit)
    if key.kind == "flag":
        choices = ("yes", "no")
    names = named_parts(found, table, key.name)
    if names is not None:
        choices = tuple(dict.fromkeys([*names, *([text] if text else [])]))
    if choices or names is not None:
        kind = CHOICE
    return Field(
        path + key.name, key.name, named(key.name), say(key.meaning), text, kind, unit,
        choices, "" if key.default is None else say(_default(key)), say(key.reason),
        say(key.needed or key.wanted), key.low,
    )  # fmt: skip


def _default(key: Key) -> str:
    return printed_amounts(shown_months(key.default) if is_monthly(key) else str(key.default))


def faults_of(problem: BrinebookError) -> tuple[str, ...]:
    """What is wrong with a description, a line each; what only follows from another is left out."""
    faults = getattr(problem, "faults", ())
    first = [one for one in faults if not one.follows]
    return tuple(one.sentence for one in first or faults)
