"""The rig on the command line: from a file or a book, for people and for programs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from brinebook.cli.main import main
from tests.lifesupport.described import PLAIN

NAME = 'name = "Trial"\ntimezone = "UTC"\nnet_volume = { value = "300 L", sd = "15 L" }\n'


@pytest.fixture
def described(tmp_path: Path) -> Path:
    """A file that describes the plain rig."""
    path = tmp_path / "system.toml"
    path.write_text(NAME + PLAIN, encoding="utf-8")
    return path


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    status = main([*arguments, "--json"])
    captured = capsys.readouterr()
    assert status == 0, captured.err
    found = json.loads(captured.out)
    assert isinstance(found, dict)
    return found


def test_the_levels_of_a_file_need_no_book(
    described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = _json(capsys, "rig", "levels", "--file", str(described))
    levels = found["levels"]
    assert isinstance(levels, dict)
    names = [case["case"] for case in levels["drain_back"]["cases"]]
    assert names == ["every hole clear", "hole of nozzle blocked"]
    # 0.72 m2 x 60 mm, 7.2 L of the box and 0.86 L of pipes: 51.3 L, of which 38.4 L fit.
    assert levels["drain_back"]["cases"][1]["litres"]["value"] == pytest.approx(51.3, abs=0.05)
    assert levels["drain_back"]["cases"][1]["over_mark"]["value"] == pytest.approx(12.9, abs=0.05)
    cautions = found["cautions"]
    assert isinstance(cautions, list)
    assert cautions[0]["id"] == "flood"


def test_everything_at_once_holds_every_part(
    described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = _json(capsys, "rig", "--file", str(described), "--at", "2026-01-15")
    parts = {"flows", "levels", "heat", "damp", "power", "outage", "floor"}
    assert parts <= set(found)
    assert found["volume"] == {"value": 300.0, "sd": 15.0, "unit": "L", "told": True}


@pytest.mark.parametrize("part", ["", "flows", "levels", "assumed", "missing", "heat", "floor"])
def test_every_part_reads_as_sentences_and_starts_with_its_cautions(
    part: str, described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["rig", *([part] if part else []), "--file", str(described)]
    assert main(arguments) == 0
    out = capsys.readouterr().out
    assert out.strip()
    if part in ("flows", "levels", "heat", "floor"):
        assert out.startswith("! ")


def test_a_book_without_a_rig_says_what_to_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    system, book = tmp_path / "system.toml", tmp_path / "book.sqlite"
    system.write_text('name = "Bare"\n', encoding="utf-8")
    assert main(["--book", str(book), "new", "--system", str(system)]) == 0
    assert main(["--book", str(book), "rig"]) == 2
    assert "docs/rig.md" in capsys.readouterr().err


def test_a_book_with_a_rig_answers_as_the_file_does(
    described: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "book.sqlite"
    assert main(["--book", str(book), "new", "--system", str(described)]) == 0
    capsys.readouterr()
    ours = _json(capsys, "--book", str(book), "rig", "flows")
    assert ours == _json(capsys, "rig", "flows", "--file", str(described))


def test_nothing_dear_is_loaded_for_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rig", "--help"]) == 0
    assert "levels" in capsys.readouterr().out


TANK = (
    '[[vessels]]\nname = "tank"\nlength = "80 cm"\nwidth = "40 cm"\nheight = "45 cm"\n'
    'water = "42 cm"\n'
)
BARE = {
    "nothing but a lift": '[plumbing]\nlift = "1 m"\n',
    "a heater": '[[heat.heaters]]\nname = "h"\npower = "100 W"\n',
    "a tank": TANK,
    "a tank without its depth": TANK.replace('water = "42 cm"\n', ""),
    "a tank and its pump": TANK + '[[pumps]]\nname = "filter"\nrole = "recirculation"\n'
    'in = "tank"\nflow = "900 L/h"\n[plumbing.top_off]\nreservoir = "5 L"\n',
    "an empty tank": TANK.replace("42 cm", "0 cm"),
    "a pump in the air": '[[pumps]]\nname = "p"\nshut_off_head = "2 m"\nfree_flow = "900 L/h"\n',
    "a circuit": '[[power.circuits]]\nname = "c"\nvolts = "230 V"\namps = "16 A"\n',
    "two of each": TANK + TANK.replace('"tank"', '"other"') + '[[pumps]]\nname = "a"\nflow = '
    '"1000 L/h"\n[[pumps]]\nname = "b"\nflow = "1000 L/h"\n',
}  # fmt: skip


@pytest.mark.parametrize("what", BARE)
def test_the_barest_description_is_told_in_every_part_and_drilled(
    what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "system.toml"
    path.write_text(f'name = "Bare"\n{BARE[what]}', encoding="utf-8")
    file = ["--file", str(path), "--at", "2026-01-15"]
    for part in ("flows", "levels", "heat", "damp", "power", "outage", "floor", "missing",
                 "assumed", "draw"):  # fmt: skip
        assert main(["rig", part, *file]) == 0, part
        assert capsys.readouterr().out.strip(), part
    found = _json(capsys, "rig", *file)
    assert "NaN" not in json.dumps(found)
    assert main(["drill", *file]) == 0
    assert "Not described, the most valuable first" in capsys.readouterr().out
    assert _json(capsys, "drill", *file)["system"] == "Bare"


def test_a_tank_by_itself_tells_what_its_pump_turns_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "system.toml"
    path.write_text(f'name = "x"\n{BARE["a tank and its pump"]}', encoding="utf-8")
    assert main(["rig", "flows", "--file", str(path)]) == 0
    # 900 L/h over 134.4 L.
    assert "6.7 times an hour" in capsys.readouterr().out


def test_no_temperature_is_told_of_water_without_a_vessel(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "system.toml"
    path.write_text(f'name = "x"\n{BARE["a heater"]}', encoding="utf-8")
    assert _json(capsys, "rig", "heat", "--file", str(path))["heat"] is None
    outage = _json(capsys, "rig", "outage", "--file", str(path))["outage"]
    assert isinstance(outage, dict)
    assert outage["temperature"] == []


MANIFOLD = """
[[plumbing.joints]]
name = "manifold"
height = "0.55 m"

[[plumbing.pipes]]
name = "trunk"
from = "return pump"
to = "manifold"
bore = "26.6 mm"
length = "0.5 m"
"""
REACTOR = """
[[plumbing.devices]]
name = "reactor {at}"
height = "0.4 m"
pressure_limit = "{limit}"

[[plumbing.pipes]]
name = "feed {at}"
from = "manifold"
to = "reactor {at}"
bore = "12.7 mm"
length = "0.8 m"
valve = {{ kind = "ball", opening = "{opening}" }}

[[plumbing.pipes]]
name = "back {at}"
from = "reactor {at}"
to = "sump"
bore = "12.7 mm"
length = "0.8 m"
"""


def test_a_manifold_tells_alike_flows_once_and_each_valve_what_to_do_with_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = PLAIN.replace('from = "return pump"', 'from = "manifold"') + MANIFOLD
    for at in (1, 2):
        text += REACTOR.format(at=at, limit="7.5 kPa", opening="30 %")
    path = tmp_path / "manifold.toml"
    path.write_text(NAME + text, encoding="utf-8")
    assert main(["rig", "flows", "--file", str(path)]) == 0
    out = capsys.readouterr().out
    assert out.count("Between laminar and turbulent") <= 1
    assert "through is" not in out
    before = next(line for line in out.splitlines() if "before reactor 1" in line)
    behind = next(line for line in out.splitlines() if "behind reactor 1" in line)
    assert "over the 7.5 kPa" in before
    assert "leave it no further open than" in before
    assert "put the valve before it" in behind
