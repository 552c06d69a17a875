"""What a keeper types with wet hands is read as it was meant, or refused with an example."""

from __future__ import annotations

import pytest

from brinebook.book.description import read_description
from brinebook.desk.wording import Worded, WordsUnclear, read_words, split_typed
from brinebook.errors import BrinebookError
from tests.conftest import SYSTEM_TOML

SYSTEM = read_description(SYSTEM_TOML).system


def _read(text: str) -> Worded:
    kind, *words = text.split("|") if "|" in text else text.split()
    return read_words(kind, words, detail={}, system=SYSTEM)


@pytest.mark.parametrize(
    ("typed", "columns"),
    [
        ("test alk 8.2dKH", ("test", "alkalinity", "8.2", "dKH")),
        ("test alk 8,2 dKH", ("test", "alkalinity", "8.2", "dKH")),
        ("test po4 <0.02 mg/L P", ("test", "phosphate", "<0.02", "mg/L P")),
        ("test sal 1,025 SG 20/4", ("test", "salinity", "1.025", "SG 20/4")),
        ("test ph 8,125", ("test", "ph", "8.125", "")),
        ("test room temperature 21C", ("test", "room_temperature", "21", "C")),
        ("test temp -1.5C", ("test", "temperature", "-1.5", "C")),
        ("dose|carbonate solution|30mL", ("dose", "carbonate solution", "30", "mL")),
        ("dose Carbonate Solution 30 mL", ("dose", "carbonate solution", "30", "mL")),
        ("dose 30mL carbonate solution", ("dose", "carbonate solution", "30", "mL")),
        ("dose nahco3 10g", ("dose", "NaHCO3", "10", "g")),
        ("dose part 2 30mL", ("dose", "part 2", "30", "mL")),
        ("dosing|carbonate solution|45mL/day", ("dosing", "carbonate solution", "45", "mL/day")),
        ("change 15%", ("water_change", "", "15", "%")),
        ("change|house mix|40L", ("water_change", "house mix", "40", "L")),
        ("change 2%/day", ("water_change", "", "2", "%/day")),
        ("level top-off 18L", ("level", "top-off", "18", "L")),
        ("top-off 3.5 L", ("top_off", "", "3.5", "L")),
        ("removed 2L", ("removed", "", "2", "L")),
        ("feed flakes 1.5g", ("feed", "flakes", "1.5", "g")),
        ("done cleaned the pump", ("done", "cleaned the pump", "", "")),
        ("event livestock 2 snails", ("event", "livestock", "2", "snails")),
        ("verdict ABCDEFGHIJKL wrong", ("verdict", "abcdefghijkl", "", "")),
    ],
)
def test_short_forms(typed: str, columns: tuple[str, str, str, str]) -> None:
    worded = _read(typed)
    assert (worded.kind, worded.what, worded.value, worded.unit) == columns


def test_a_note_is_its_words() -> None:
    assert _read("note the corals look pale").detail == {"text": "the corals look pale"}
    assert _read("event livestock lost").detail == {"text": "lost"}


def test_the_beginning_of_a_name_will_do_and_is_said() -> None:
    worded = _read("dose carbonate 30mL")
    assert worded.what == "carbonate solution"
    assert worded.remarks == ("'carbonate' is taken as 'carbonate solution'.",)


def test_a_name_that_is_not_described_is_kept_and_said() -> None:
    worded = _read("dose|carbonat soluton|30mL")
    assert worded.what == "carbonat soluton"
    assert "Did you mean 'carbonate solution'?" in worded.remarks[0]


@pytest.mark.parametrize(
    "typed",
    [
        "test", "test alk", "test alc 8dKH", "dose 30", "dose carbonate", "change", "change 15",
        "verdict", "verdict abc perhaps", "event", "tset alk 8dKH", "test ca 1,320mg/L",
        "dose foo 30 meq",
    ],
)  # fmt: skip
def test_what_says_too_little_is_refused_with_a_hint(typed: str) -> None:
    with pytest.raises(BrinebookError) as caught:
        _read(typed)
    assert caught.value.exit_status == 2
    assert caught.value.hint


def test_an_amount_of_the_wrong_kind_names_the_right_units() -> None:
    with pytest.raises(WordsUnclear, match="L, mL"):
        _read("level top-off 3kg")


def test_a_decimal_comma_is_read_and_a_doubtful_one_is_not() -> None:
    assert split_typed("8,25dKH") == ("8.25", "dKH")
    with pytest.raises(BrinebookError, match="thousands"):
        split_typed("1,320mg/L", quantity="calcium")
