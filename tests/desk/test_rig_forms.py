"""Forms of the rig: a field for every key, the file left as written, units, names that follow."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.book.description import DescriptionWrong, read_description
from brinebook.book.description_rig import SHAPES
from brinebook.book.description_rig_keys import Shape, inner_shape
from brinebook.desk.rig_edit import with_values, without
from brinebook.desk.rig_first import FIRST, first_description, first_fields
from brinebook.desk.rig_forms import (
    every_place,
    faults_of,
    form,
    sections,
    typed_values,
    with_assumed,
)
from brinebook.desk.rig_places import (
    ARRAYS,
    NEW,
    Place,
    PlaceMissing,
    find,
    is_several,
    plain,
    where_of,
    words_of,
)
from brinebook.texts import Language, Manner
from tests.web.first_rig import TYPED

DEMO = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
FOUND = plain(DEMO)
DEMO_PLACES = [place for place, _ in every_place(FOUND)]


def _rig(text: str) -> Any:
    found = read_description(text).system.rig
    assert found is not None
    return found


@pytest.mark.parametrize("place", DEMO_PLACES, ids="/".join)
def test_a_form_sent_as_it_came_leaves_the_file_as_it_was(place: Place) -> None:
    made = form(FOUND, place)
    typed = {one.path: one.value for one in made.fields}
    assert with_values(DEMO, place, typed_values(FOUND, place, typed)) == DEMO


def _shapes(shape: Shape[Any], place: Place) -> Iterator[tuple[Place, Shape[Any]]]:
    yield place, shape
    for key in shape.keys:
        inner = inner_shape(key)
        if inner is not None:
            below = (*place, key.name)
            yield from _shapes(inner, (*below, NEW) if is_several(key) else below)


ALL_SHAPES = [
    one
    for name, shape in SHAPES.items()
    for one in _shapes(shape, (name, NEW) if name in ARRAYS else (name,))
]


@pytest.mark.parametrize(("place", "shape"), ALL_SHAPES, ids=lambda one: str(one)[:40])
def test_every_key_of_the_description_has_a_field_with_its_meaning_and_default(
    place: Place, shape: Shape[Any]
) -> None:
    fields = {one.path: one for one in form({}, place).fields}
    for key in shape.keys:
        if key.name == "fittings":
            assert "fittings.elbow_90" in fields
        elif inner_shape(key) is None:
            assert fields[key.name].meaning == key.meaning
            assert bool(fields[key.name].stands_in) == (key.default is not None)


def test_the_list_of_all_parts_leads_to_every_part() -> None:
    listed = {
        part.place
        for section in sections(FOUND)
        for kind in (*section.singles, *section.kinds)
        for part in kind.parts
        if part.described
    }
    inner = {place for place in DEMO_PLACES if "sections" in place}
    assert listed | inner == set(DEMO_PLACES)


def test_every_assumed_and_missing_figure_leads_to_a_field() -> None:
    bare = (
        'name = "x"\n[[vessels]]\nname = "a [b].c"\nlength = "1 m"\nwidth = "1 m"\nheight="1 m"\n'
    )
    for text in (DEMO, bare):
        rig, found = _rig(text), plain(text)
        for where in [*rig.assumed, *(one.where for one in rig.missing)]:
            at = find(found, where)
            assert at is not None, where
            place, key = at
            fields = {one.path for one in form(found, place).fields}
            assert not key or key in fields, where


def test_a_place_that_is_not_there_is_said() -> None:
    for place in (("vessels",), ("vessels", "7"), ("nothing",), ("plumbing", "margin", "0")):
        with pytest.raises(PlaceMissing):
            form(FOUND, place)
    assert find(FOUND, "plumbing.pipes[nowhere].bore") is None
    assert find(FOUND, "bands.calcium") is None


@pytest.mark.parametrize("place", DEMO_PLACES, ids="/".join)
def test_a_place_and_its_name_in_the_description_find_each_other(place: Place) -> None:
    assert find(FOUND, where_of(FOUND, place)) == (place, "")


def test_names_of_figures_are_words() -> None:
    assert words_of("plumbing.pipes[upper riser].check_valve") == "upper riser: check valve"
    assert words_of("heat.room.pane") == "heat, room, pane"
    assert words_of("vessels (role = sump)") == "vessels (role = sump)"


@pytest.mark.parametrize(
    ("path", "typed", "feet", "expected"),
    [
        ("bore", "21,5", False, "21.5 mm"),
        ("bore", "0.8", True, "0.8 in"),
        ("bore", "3/4 in", False, "3/4 in"),
        ("length", "1.5", False, "1.5 m"),
        ("length", "120 cm", False, "120 cm"),
        ("length", "5", True, "5 ft"),
        ("valve.opening", "40", False, "40 %"),
        ("loss", "2,5", False, 2.5),
        ("loss", "much", False, "much"),
        ("check_valve", "", False, None),
    ],
)
def test_a_bare_number_takes_the_unit_beside_its_field_and_the_rest_stays_as_typed(
    path: str, typed: str, feet: bool, expected: object
) -> None:
    place = ("plumbing", "pipes", "0")
    values = typed_values(FOUND, place, {path: typed}, feet=feet)
    assert values[path] == expected


def test_months_curves_and_wanted_flows_are_read_as_people_write_them() -> None:
    def typed(place: Place, path: str, text: str) -> object:
        return typed_values(FOUND, place, {path: text})[path]

    room = ("heat", "room")
    assert typed(room, "temperature", "17,5, 25") == {"january": "17.5 C", "july": "25 C"}
    assert typed(room, "temperature", "20") == "20 C"
    assert typed(room, "humidity", "; ".join(["45"] * 12)) == ["45 %"] * 12
    curve = typed(("pumps", "0"), "curve", "0, 4.2\n1500 L/h; 3,6 m\n5400 0\n")
    assert curve == [["0 L/h", "4.2 m"], ["1500 L/h", "3.6 m"], ["5400 L/h", "0 m"]]
    device = ("plumbing", "devices", "0")
    assert typed(device, "wanted_flow", "100 to 160") == ["100 L/h", "160 L/h"]
    assert typed(device, "wanted_flow", "150") == "150 L/h"
    chances = typed(("drills",), "chances", "heater-stuck-on/left = 2\nhouse-dark = 5 %")
    assert chances == {"heater-stuck-on/left": "2 %", "house-dark": "5 %"}


def test_a_new_name_is_followed_wherever_it_is_named() -> None:
    text = with_values(DEMO, ("vessels", "1"), {"name": "tank below"})
    text = with_values(text, ("vessels", "1", "sections", "2"), {"name": "pump room"})
    text = with_values(text, ("power", "circuits", "0"), {"name": "kitchen"})
    rig, before = _rig(text), _rig(DEMO)
    assert rig.pumps[0].place == "tank below/pump room"
    assert {one.circuit for one in rig.sockets} == {"kitchen"}
    assert len(rig.pipes) == len(before.pipes)
    # A default that names the part by its usual name is written out once that is another.
    plainly = 'name = "x"\n' + DEMO[DEMO.index("[[vessels]]") :].replace('from = "display"\n', "")
    renamed = _rig(with_values(plainly, ("vessels", "0"), {"name": "reef"}))
    assert {one.vessel for one in renamed.drains} == {"reef"}


def test_a_part_is_added_and_taken_out_and_the_rest_stays() -> None:
    values = {"name": "spare heater", "power": "150 W", "in": "sump/skimmer"}
    more = with_values(DEMO, ("heat", "heaters", NEW), values)
    assert [one.name for one in _rig(more).heaters] == ["heater", "spare heater"]
    less = without(more, ("heat", "heaters", "1"))
    assert tomllib.loads(less) == tomllib.loads(DEMO)
    assert _rig(without(DEMO, ("plumbing", "zones", "0"))).zones == ()
    assert _rig(without(DEMO, ("heat", "cabinet"))).cabinet is None
    with pytest.raises(PlaceMissing):
        without(DEMO, ("heat", "heaters", "5"))


def test_a_section_that_is_emptied_is_no_longer_described() -> None:
    alone = 'name = "x"\n\n[animals]\nfish = "20 g"\n'
    emptied = with_values(alone, ("animals",), {"fish": None})
    assert read_description(emptied).system.rig is None


def test_what_stands_in_without_a_default_of_its_own_is_shown_too() -> None:
    text = "\n".join(line for line in DEMO.splitlines() if not line.startswith("floor ="))
    found = plain(text)
    made = with_assumed(form(found, ("vessels", "1")), found, _rig(text).assumed)
    height = next(one for one in made.fields if one.path == "floor")
    assert height.stands_in == "0.05 m"
    assert "common practice" in height.reason


BARE = 'name = "New"\ntimezone = "UTC"\n'


def test_the_first_form_has_twenty_figures_and_they_describe_a_rig() -> None:
    asked = [one.name for group in FIRST for one in group.fields]
    assert asked == list(TYPED)
    assert len(asked) == 20
    rig = _rig(first_description(BARE, TYPED))
    assert rig.vessels[0].water == pytest.approx(0.51)
    assert [one.length for one in rig.vessels[1].sections] == pytest.approx([0.55, 0.25])
    assert rig.pumps[0].place == "sump/return"
    assert (rig.pipes[0].bore, rig.nozzles[0].mouth) == pytest.approx((0.0266, 0.06))
    assert not [one for one in rig.missing if one.worth > 50]


def test_the_first_form_reads_inches_where_one_measures_in_them() -> None:
    inches = {"display_length": "48", "display_width": "24", "display_height": "20"}
    text = first_description(BARE, inches | {"reservoir": "5", "drain_bore": "1.6"}, feet=True)
    rig = _rig(text)
    assert rig.vessels[0].length == pytest.approx(48 * 0.0254)  # an inch by definition
    assert rig.top_off.reservoir == pytest.approx(5 * 3.785411784)  # a US gallon by definition


@settings(deadline=None)
@given(st.sets(st.sampled_from([one.name for one in first_fields()])))
def test_whatever_is_left_blank_the_first_form_stays_readable(left: set[str]) -> None:
    more = {"hole": "15", "elbows": "4", "drain_kind": "siphon", "pump_power": "45",
            "room_january": "19", "room_july": "26", "fish": "200"}  # fmt: skip
    typed = {name: text for name, text in (TYPED | more).items() if name not in left}
    read_description(first_description(BARE, typed))


@pytest.mark.parametrize("foreign", [False, True], ids=["in English", "in another language"])
def test_what_can_not_be_read_is_told_once_and_without_what_only_follows(
    monkeypatch: pytest.MonkeyPatch, foreign: bool
) -> None:
    if foreign:  # every reason reads otherwise, so that none can be known by its words
        said = {
            "{shown_value} is no {what} described here.{meant}": "{shown_value}?",
            "{pipe!r} ends at {end!r}, which is no vessel": "{pipe!r}, {end!r}?",
        }
        manner = Manner(Language("x-test", {}, said, {}))
        monkeypatch.setattr("brinebook.book.description.manner", lambda **_settings: manner)
    with pytest.raises(DescriptionWrong) as caught:
        read_description(first_description(BARE, TYPED | {"display_length": "12O cm"}))
    # The display stands there: that it can't be read makes no second fault of what names it.
    assert len(caught.value.faults) == 1
    assert [one.partition(":")[0] for one in faults_of(caught.value)] == ["vessels[display].length"]
