"""Life support in the notebook: every page answers, forms keep, tried figures don't, cautions."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

import pytest

from brinebook.cli.main import main
from brinebook.desk.opening import open_system
from brinebook.desk.rig_places import plain
from brinebook.lifesupport.cautions import CAUTIONS
from tests.web.conftest import Open, Reader, fields_of

DEMO = files("brinebook.demo").joinpath("system.toml").read_text(encoding="utf-8")
DRILL = f"life-support/drill/{quote('hole-blocked/hole of left nozzle')}"
MOUTH = "key=plumbing/nozzles/0:mouth"
PARTS = ("flows", "levels", "heat", "damp", "power", "outage", "floor")
#: Pages and the cautions that have to stand on them, by what they touch.
TOUCHING = {
    "life-support": ("mains", "flood", "glass", "floor"),
    "life-support/drills": ("mains", "flood", "no_alarm"),
    DRILL: ("flood",),
    "life-support/part/flows": ("mains", "glass"),
    "life-support/part/levels": ("flood", "mains", "glass"),
    "life-support/part/heat": ("mains",),
    "life-support/part/damp": ("damp", "mains"),
    "life-support/part/power": ("mains", "overload", "protection_trips", "drip_loops"),
    "life-support/part/outage": ("animals_first", "engines_outdoors"),
    "life-support/part/floor": ("floor",),
    "life-support/describe": ("mains", "glass", "floor"),
    "life-support/describe/plumbing/nozzles/0": ("mains", "glass"),
    "life-support/describe/vessels/new": ("mains", "glass"),
    "life-support/describe/power/circuits/0": ("mains", "overload"),
    "life-support/describe/heat/heaters/0": ("mains",),
    "life-support/describe/floor": ("floor",),
    f"life-support/what-if?{MOUTH}&value=20": ("mains", "glass"),
    f"life-support/what-if/drills?{MOUTH}&value=20": ("mains", "flood"),
    "life-support/size": ("mains", "glass"),
}


@pytest.fixture
def rig_book(tmp_path: Path) -> str:
    """A book whose system has the demo's rig, without a fact in it."""
    system, book = tmp_path / "system.toml", str(tmp_path / "rig.book")
    system.write_text(DEMO, encoding="utf-8")
    assert main(["--book", book, "new", "--system", str(system)]) == 0
    return book


@pytest.fixture
def rig(rig_book: str, open_at: Open) -> Reader:
    """Its notebook."""
    return open_at(rig_book)


def _text(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)).replace("&#39;", "'")


@pytest.mark.parametrize(("path", "ids"), TOUCHING.items(), ids=TOUCHING)
def test_the_cautions_stand_on_every_page_that_touches_what_can_hurt(
    rig: Reader, path: str, ids: tuple[str, ...]
) -> None:
    page = _text(rig.get(path))
    for one in ids:
        assert CAUTIONS[one].text in page, one


def test_the_page_comes_at_once_and_its_drills_after(rig: Reader) -> None:
    first = rig.get("life-support")
    assert "What if a part fails" in first
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="rig"' in first
    drills = rig.get("life-support/drills")
    assert "Losses (of animals, or a floor under water)" in drills
    assert "Tee lets go" in rig.get("life-support")  # they are kept


def test_what_is_assumed_leads_to_its_field(rig: Reader) -> None:
    page = rig.get("life-support")
    assert "describe/plumbing/pipes/1#f-roughness" in page
    form = rig.get("life-support/describe/plumbing/pipes/1")
    assert 'id="f-roughness"' in form
    assert "left out: 0.0015 mm (drawn tubing and plastic pipe)" in form


@pytest.mark.parametrize("part", PARTS)
def test_a_part_tells_ranges_and_reasons_with_their_sources(rig: Reader, part: str) -> None:
    page = _text(rig.get(f"life-support/part/{part}"))
    assert "How this is reckoned" in page
    assert "Sources:" in page
    if part != "power":
        assert re.search(r"\(\d[\d.]* to \d|\d to \d", page)


def test_a_script_gets_a_part_of_the_page_only(rig: Reader) -> None:
    asks = {"HX-Request": "true"}
    for path in ("life-support/part/levels", "life-support/drills"):
        answer = rig.client.get(rig.url(path), headers=asks)
        assert answer.status_code == 200
        assert "<html" not in answer.text


def test_a_drill_has_its_course_what_warns_and_what_helps(rig: Reader) -> None:
    page = _text(rig.get("life-support/drill/heater-stuck-on/heater"))
    assert "Temperature by the hour" in page
    assert "What would show it first" in page
    assert "What would help" in page
    assert "Act at 28.5 °C" in page
    rig.get("life-support/drill/nothing-of-the-kind", status=404)
    rig.get("life-support/part/nothing", status=404)


def test_a_part_is_described_corrected_and_taken_out(rig: Reader, rig_book: str) -> None:
    new = "life-support/describe/heat/heaters/new"
    rig.post(new, rig.fields(new) | {"v.name": "spare heater", "v.power": "150"})
    heaters = open_system(rig_book).system.rig.heaters  # type: ignore[union-attr]
    assert [(one.name, one.power) for one in heaters] == [("heater", 300.0), ("spare heater", 150)]
    here = "life-support/describe/heat/heaters/1"
    rig.post(here, rig.fields(here) | {"v.power": "200 W", "v.in": "sump/skimmer"})
    heaters = open_system(rig_book).system.rig.heaters  # type: ignore[union-attr]
    assert (heaters[1].power, heaters[1].place) == (200.0, "sump/skimmer")
    rig.post(here, rig.fields(here) | {"remove": "1"})
    assert len(plain(open_system(rig_book).text)["heat"]["heaters"]) == 1
    assert "# rock and sand" in open_system(rig_book).text  # comments stay


def test_what_can_not_be_is_said_and_what_was_typed_comes_back(rig: Reader, rig_book: str) -> None:
    here = "life-support/describe/plumbing/nozzles/0"
    page = rig.post(here, rig.fields(here) | {"v.mouth": "deep"}, status=422)
    assert "plumbing.nozzles[left nozzle].mouth" in page
    assert 'value="deep"' in page
    assert 'mouth = "70 mm"' in open_system(rig_book).text
    rig.get("life-support/describe/vessels/9", status=404)
    rig.get("life-support/describe/bands", status=404)


def test_two_who_describe_at_once_both_keep_their_words(rig: Reader, rig_book: str) -> None:
    here = "life-support/describe/plumbing/nozzles/0"
    mine = rig.fields(here) | {"v.mouth": "44"}
    rig.post(here, rig.fields(here) | {"v.mouth": "33"})
    page = rig.post(here, mine, status=409)
    assert "33 mm" in page
    assert "44 mm" in page
    assert 'mouth = "33 mm"' in open_system(rig_book).text


def test_a_tried_figure_writes_nothing_until_it_is_asked_to(rig: Reader, rig_book: str) -> None:
    before = open_system(rig_book).text
    page = rig.get(f"life-support/what-if?{MOUTH}&value=20")
    assert "mouth, now 70 mm" in page
    drills = rig.get(f"life-support/what-if/drills?{MOUTH}&value=20")
    assert "Milder: Return pump stops with hole of left nozzle blocked" in _text(drills)
    assert open_system(rig_book).text == before
    rig.post("life-support/what-if", fields_of(drills))
    assert 'mouth = "20 mm"' in open_system(rig_book).text
    assert "return pump stops with hole" not in rig.get("life-support/drills").partition("nuis")[0]


def test_a_figure_that_can_not_be_tried_is_said(rig: Reader) -> None:
    page = rig.get(f"life-support/what-if?{MOUTH}&value=deep", status=422)
    assert "deep" in page
    rig.get("life-support/what-if?key=nothing:at&value=1", status=404)
    rig.get("life-support/what-if/drills?key=nothing:at&value=1", status=404)
    rig.get("life-support/what-if")


def test_the_keepers_own_chance_stands_beside_the_drill(rig: Reader, rig_book: str) -> None:
    path = "life-support/drill/house-dark"
    fields = rig.fields(path)
    rig.post("life-support/chance", fields | {"chance": "5"})
    assert open_system(rig_book).system.rig.chances == {"house-dark": 0.05}  # type: ignore[union-attr]
    assert "5.0 % a year, your own" in rig.get("life-support/drills")
    page = rig.post("life-support/chance", rig.fields(path) | {"chance": "often"}, status=422)
    assert "drills.chances.house-dark" in page
    rig.post("life-support/chance", rig.fields(path) | {"chance": ""})
    assert "drills" not in plain(open_system(rig_book).text)


def test_a_wish_is_sized_by_curves(rig: Reader) -> None:
    form = rig.get("life-support/size")
    assert 'value="130"' in form  # what the described reactor wants
    page = rig.get("life-support/size?turnover=5&volume=300&branch=150;150&lift=1.35&length=2.2"
                   "&pressure-limit=10")  # fmt: skip
    assert "1800 L/h" in page
    rig.get("life-support/size?turnover=many&volume=300&lift=1&length=1", status=400)


def test_without_a_rig_the_first_form_is_offered_and_gives_the_first_drill(
    empty_book: str, open_at: Open
) -> None:
    new = open_at(empty_book)
    assert "Nothing of your rig is described yet" in new.get("life-support")
    fields = new.fields("life-support/first")
    assert len([name for name in fields if name not in ("token", "seen", "measures")]) == 20 + 6
    typed = {"display_length": "120", "display_width": "60", "display_height": "55",
             "display_water": "51", "sump_length": "80", "sump_width": "40", "sump_height": "36",
             "sump_water": "22", "mouth": "60", "pump_head": "3.5", "pump_flow": "4000",
             "pipe_bore": "26.6", "pipe_length": "2.2", "lift": "1.35"}  # fmt: skip
    page = new.post("life-support/first", fields | typed | {"display_length": "wide"}, status=422)
    assert "vessels[display].length" in page
    assert 'value="wide"' in page
    new.post("life-support/first", new.fields("life-support/first") | typed)
    assert "Return pump stops" in new.get("life-support/drills")
    assert "Describe the rig" in new.get("life-support/first")  # the next ones have their forms


def test_inches_stay_inches(empty_book: str, open_at: Open) -> None:
    new = open_at(empty_book)
    fields = new.fields("life-support/first?measures=feet")
    typed = {"display_length": "48", "display_width": "24", "display_height": "21"}
    new.post("life-support/first", fields | typed)
    assert 'length = "48 in"' in open_system(empty_book).text


def test_a_rig_without_vessels_is_answered_too(empty_book: str, open_at: Open) -> None:
    new = open_at(empty_book)
    here = "life-support/describe/power/circuits/new"
    new.post(here, new.fields(here) | {"v.name": "kitchen", "v.volts": "230", "v.amps": "16"})
    assert "What is missing" in new.get("life-support")
    new.get("life-support/drills")
    for part in PARTS:
        new.get(f"life-support/part/{part}")
    new.get("life-support/size")
    new.get("life-support/what-if")


def test_who_may_only_read_finds_no_form_that_writes(rig_book: str, open_at: Open) -> None:
    guest = open_at(rig_book, read_only=True)
    for path in (
        "life-support", DRILL, "life-support/describe", "life-support/describe/heat/heaters/0",
        f"life-support/what-if/drills?{MOUTH}&value=20",
    ):  # fmt: skip
        page = guest.get(path)
        assert 'type="submit" class="main">Save' not in page, path
        assert "Write it into the description" not in page
