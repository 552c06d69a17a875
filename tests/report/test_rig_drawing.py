"""The drawing of a rig: well-formed, to scale, every part named, nothing a page would refuse."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from brinebook.book.description import read_description
from brinebook.report.rig_drawing import WIDTH, rig_svg
from brinebook.rig import Rig
from tests.lifesupport import described
from tests.lifesupport.test_loop import BRANCHED

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"


def _demo() -> Rig:
    text = (ROOT / "src" / "brinebook" / "demo" / "system.toml").read_text(encoding="utf-8")
    rig = read_description(text).system.rig
    assert rig is not None
    return rig


def _words(svg: str) -> str:
    return " ".join(text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text"))


def test_every_named_part_of_the_demo_stands_in_the_list() -> None:
    rig = _demo()
    words = _words(rig_svg(rig))
    kinds = (
        "vessels",
        "pumps",
        "weirs",
        "drains",
        "nozzles",
        "devices",
        "heaters",
        "fans",
        "lamps",
        "dosers",
    )
    names = [part.name for kind in kinds for part in getattr(rig, kind)]
    assert len(names) > 10
    assert [name for name in names if name not in words] == []


def test_the_display_is_drawn_to_the_scale_of_its_sides() -> None:
    svg = rig_svg(described.plain())
    water = [
        (float(one.get("width", 0)), float(one.get("height", 0)))
        for one in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if one.get("class") == "rig-water"
    ]
    wide, deep = water[0]
    assert wide / deep == pytest.approx(1.20 / 0.44, rel=0.01)


def test_no_numeral_stands_on_another() -> None:
    svg = rig_svg(_demo())
    places = [
        (float(one.get("x", 0)), float(one.get("y", 0)))
        for one in ElementTree.fromstring(svg).iter(f"{SVG}text")
        if one.get("class") == "rig-numeral"
    ]
    close = [
        (a, b)
        for at, a in enumerate(places)
        for b in places[at + 1 :]
        if abs(a[0] - b[0]) < 12 and abs(a[1] - b[1]) < 10
    ]
    assert close == []


def test_numerals_lie_over_every_part() -> None:
    svg = rig_svg(_demo())
    parts = [svg.rfind(f"<{kind} ") for kind in ("polyline", "rect", "polygon")]
    assert svg.index('class="rig-numeral"') > max(parts)


def test_a_valve_before_a_device_and_one_behind_it_are_drawn_apart() -> None:
    valve = 'valve = { kind = "gate", opening = "60 %" }\n'
    before = rig_svg(described.rig(BRANCHED))
    moved = BRANCHED.replace(valve, "").replace("loss = 1.0\n", f"loss = 1.0\n{valve}")
    behind = rig_svg(described.rig(moved))
    assert before.count("rig-valve") == behind.count("rig-valve") == 1
    assert before != behind
    assert "rig-valve" not in rig_svg(described.plain())


def test_a_tank_by_itself_is_drawn_with_its_pump_and_its_top_off() -> None:
    alone = described.rig(
        '[[vessels]]\nname = "tank"\nlength = "80 cm"\nwidth = "40 cm"\nheight = "45 cm"\n'
        'water = "42 cm"\n[[pumps]]\nname = "filter"\nrole = "recirculation"\nin = "tank"\n'
        '[plumbing.top_off]\nreservoir = "12 L"\n'
    )
    words = _words(rig_svg(alone))
    assert "filter" in words
    assert "12 L" in words


def test_it_needs_no_style_no_script_and_nothing_from_elsewhere() -> None:
    svg = rig_svg(_demo(), title='A "quoted" & <odd> name')
    assert not re.search(r"style=|<style|<script|href|url\(", svg)
    assert "&lt;odd&gt;" in svg


def test_it_stays_within_a_phone() -> None:
    root = ElementTree.fromstring(rig_svg(_demo()))
    assert root.get("viewBox", "").split()[2] == f"{WIDTH:g}" == "390"
    xs = [float(one.get("x", 0)) for one in root.iter(f"{SVG}text")]
    assert max(xs) < 380


def test_an_empty_rig_says_so() -> None:
    assert "Nothing to draw yet" in _words(rig_svg(Rig()))


def _boxes(svg: str, kind: str) -> list[tuple[float, ...]]:
    return [
        tuple(float(one.get(key, 0)) for key in ("x", "y", "width", "height"))
        for one in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if one.get("class") == f"rig-{kind}"
    ]


@pytest.mark.parametrize("count", [1, 4, 9])
def test_however_many_devices_they_stand_apart_and_inside_the_stand(count: int) -> None:
    more = "".join(f'[[plumbing.devices]]\nname = "reactor {at}"\n' for at in range(count))
    boxes = _boxes(rig_svg(described.rig(f"{described.PLAIN}\n{more}")), "device")
    assert len(boxes) == count
    assert all(x >= 0.0 for x, _, _, _ in boxes)
    assert len({(x, y) for x, y, _, _ in boxes}) == count


def test_a_tank_with_everything_inside_shows_its_pump() -> None:
    inside = described.rig(
        '[[vessels]]\nname = "nano"\nrole = "display"\nlength = "35 cm"\nwidth = "30 cm"\n'
        'height = "36 cm"\nwater = "32 cm"\n[[vessels.sections]]\nname = "chamber"\n'
        'role = "return"\nlength = "8 cm"\n[[pumps]]\nname = "little pump"\n'
        'in = "nano/chamber"\nflow = "400 L/h"\n'
    )
    svg = rig_svg(inside)
    assert "little pump: 400 L/h" in _words(svg)
    assert len(_boxes(svg, "pump")) == 1
