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
