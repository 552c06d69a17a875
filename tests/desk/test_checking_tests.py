"""`brinebook check` on tests that changed places: what it names, and commands that repair it."""

from __future__ import annotations

import csv
import shlex
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import Run

LEVELS = {
    "Big": {"alkalinity": (8.1, "dKH"), "calcium": (428, "mg/L"), "nitrate": (8.0, "mg/L")},
    "Small one": {"alkalinity": (6.6, "dKH"), "calcium": (385, "mg/L"), "nitrate": (27.0, "mg/L")},
}
SCATTER = {"alkalinity": 0.15, "calcium": 6.0, "nitrate": 0.6}
Row = tuple[str, str, str, str, str, str]


def _rows(system: str) -> dict[tuple[int, str], Row]:
    rng = np.random.default_rng(len(system))
    found: dict[tuple[int, str], Row] = {}
    for week in range(16):
        day = f"2026-{1 + week // 4:02d}-{1 + 7 * (week % 4):02d}T19:00:00Z"
        for quantity, (level, unit) in LEVELS[system].items():
            value = f"{level + rng.normal(0.0, SCATTER[quantity]):.3g}"
            found[week, quantity] = (day, "test", quantity, value, unit, "")
    return found


@pytest.fixture
def rows() -> dict[str, dict[tuple[int, str], Row]]:
    return {name: _rows(name) for name in LEVELS}


def _fill(run: Run, folder: Path, rows: dict[str, dict[tuple[int, str], Row]]) -> None:
    for position, (name, mine) in enumerate(rows.items()):
        (folder / "s.toml").write_text(f'name = "{name}"\nnet_volume = "300 L"\n')
        with (folder / "h.csv").open("w", newline="") as file:
            csv.writer(file).writerows(
                [("when", "kind", "what", "value", "unit", "detail"), *mine.values()]
            )
        made = run("new", "--system", "s.toml", *(["--also"] if position else []))
        assert made.status == 0, made.err
        assert run("import", "h.csv", "--system", name).status == 0


def _faults(run: Run, system: str) -> list[dict[str, object]]:
    outcome = run("check", "--system", system, "--json")
    faults: list[dict[str, object]] = outcome.json["faults"]
    assert outcome.status == (1 if faults else 0)
    return faults


def _repair(run: Run, fault: dict[str, object]) -> None:
    for command in str(fault["repair"]).split(" && "):
        words = shlex.split(command)
        assert words[0] == "brinebook"
        done = run(*words[1:])
        assert done.status == 0, done.err


def test_two_systems_in_order_have_nothing_to_repair(
    run: Run, tmp_path: Path, rows: dict[str, dict[tuple[int, str], Row]]
) -> None:
    _fill(run, tmp_path, rows)
    assert _faults(run, "Big") == []
    assert _faults(run, "Small one") == []


def test_exchanged_samples_are_named_in_both_systems_and_one_command_puts_both_right(
    run: Run, tmp_path: Path, rows: dict[str, dict[tuple[int, str], Row]]
) -> None:
    big, small = rows["Big"], rows["Small one"]
    for key in [key for key in big if key[0] == 6]:
        big[key], small[key] = small[key], big[key]
    _fill(run, tmp_path, rows)
    assert [one["check"] for one in _faults(run, "Small one")] == ["exchanged_samples"]
    (fault,) = _faults(run, "Big")
    assert fault["check"] == "exchanged_samples"
    assert "2026-02-15" in str(fault["text"])
    assert "Small one" in str(fault["text"])
    ids = {each["fact"] for name in LEVELS
           for each in run("history", "--system", name, "--json").json["facts"]
           if each["when"].startswith("2026-02-15")}  # fmt: skip
    assert set(fault["items"]) == ids  # type: ignore[call-overload]
    _repair(run, fault)
    assert _faults(run, "Big") == []
    assert _faults(run, "Small one") == []


def test_tests_written_into_the_other_system_are_moved_by_the_command(
    run: Run, tmp_path: Path, rows: dict[str, dict[tuple[int, str], Row]]
) -> None:
    big, small = rows["Big"], rows["Small one"]
    for key in [key for key in big if key[0] == 9]:
        big[key] = small.pop(key)
    _fill(run, tmp_path, rows)
    (fault,) = _faults(run, "Big")
    assert "has no such test of that day" in str(fault["text"])
    _repair(run, fault)
    assert _faults(run, "Big") == []
    moved = run("history", "--system", "Small one", "--json").json["facts"]
    assert sum(each["when"].startswith("2026-03-08") for each in moved) == 3


def test_numbers_in_each_others_column_are_put_back_by_the_command(
    run: Run, tmp_path: Path, rows: dict[str, dict[tuple[int, str], Row]]
) -> None:
    big = rows["Big"]
    alkalinity, nitrate = big[5, "alkalinity"], big[5, "nitrate"]
    big[5, "alkalinity"] = (*alkalinity[:3], "27", *alkalinity[4:])
    big[5, "nitrate"] = (*nitrate[:3], "8.2", *nitrate[4:])
    for week in range(16):
        if week != 5:
            row = big[week, "nitrate"]
            big[week, "nitrate"] = (*row[:3], f"{float(row[3]) + 19:.3g}", *row[4:])
    _fill(run, tmp_path, {"Big": big})
    (fault,) = _faults(run, "Big")
    assert fault["check"] == "exchanged_numbers"
    _repair(run, fault)
    assert _faults(run, "Big") == []


def test_a_wrong_replicate_is_settled_by_the_verdict_that_is_offered(
    run: Run, tmp_path: Path, rows: dict[str, dict[tuple[int, str], Row]]
) -> None:
    big = rows["Big"]
    for week in range(16):
        row = big[week, "alkalinity"]
        again = "4.9" if week == 11 else f"{float(row[3]) + 0.1 * (-1) ** week:.3g}"
        big[week, "again"] = (*row[:3], again, row[4], "replicate=2")
    _fill(run, tmp_path, {"Big": big})
    (fault,) = _faults(run, "Big")
    assert fault["check"] == "pairs"
    assert "4.9 dKH (replicate 2)" in str(fault["text"])
    _repair(run, fault)
    assert _faults(run, "Big") == []
