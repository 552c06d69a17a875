"""Five years of real tests of a closed coral mesocosm, through the doors of the command line.

Grambihler R. and others, Biosphere 2 Ocean, University of Arizona, GitHub, 2026. The file has no
stated licence, so it is read where it lies and isn't part of this repository. The truths beside the
checks were computed from the file (robust noise from successive differences).
"""

from __future__ import annotations

import csv
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import Run

DATA = Path(__file__).parents[3] / "shared/data/biosphere2_ocean_tests/ocean_weekly_tests_raw.csv"
COLUMNS = {
    "phosphate_mg_l": ("phosphate", "mg/L", ""),
    "nitrate_n_mr_mg_l": ("nitrate", "mg/L N", "method=mid range"),
    "nitrate_n_hr_mg_l": ("nitrate", "mg/L N", "method=high range"),
    "ph": ("ph", "NBS", ""),
    "alkalinity_mg_l_caco3": ("alkalinity", "mg/L CaCO3", ""),
}
MG_PER_MEQ = 50.043
NITRATE_PER_N = 62.004 / 14.007

pytestmark = pytest.mark.skipif(
    not DATA.exists(), reason=f"open data not beside the repository: {DATA.name}"
)


Rows = list[list[str]]


@pytest.fixture
def rows() -> Rows:
    found = []
    for line in csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()):
        for column, (name, unit, detail) in COLUMNS.items():
            if line[column]:
                when = f"{line['date']}T12:00:00Z"
                found.append([when, "test", name, line[column], unit, detail])
    return found


def _fill(run: Run, folder: Path, rows: Rows) -> None:
    (folder / "system.toml").write_text('name = "ocean"\nnet_volume = "2600000 L"\n')
    with (folder / "history.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["when", "kind", "what", "value", "unit", "detail"])
        writer.writerows(rows)
    assert run("new", "--system", "system.toml").status == 0
    assert run("import", "history.csv").status == 0


@pytest.fixture
def ocean(run: Run, tmp_path: Path, rows: Rows) -> Run:
    _fill(run, tmp_path, rows)
    return run


@pytest.fixture
def answer(ocean: Run) -> Any:
    return ocean("balance", "--at", "2022-10-15", "--json").json


def test_the_gross_errors_are_found_and_few_others(answer: Any) -> None:
    suspects = {(each["when"][:10], each["what"]) for each in answer["suspect_tests"]}
    # 68, 75, 198, 85 and 98 mg/L CaCO3; phosphate 0.56; nitrate 3.4 mg/L N
    assert suspects >= {
        ("2018-12-07", "alkalinity"),
        ("2019-01-19", "alkalinity"),
        ("2020-07-31", "alkalinity"),
        ("2021-01-15", "alkalinity"),
        ("2021-01-29", "alkalinity"),
        ("2018-10-13", "phosphate"),
        ("2018-12-13", "nitrate"),
    }
    assert len(suspects) <= 0.05 * 1082
    # 123 mg/L on 2021-01-22, between the two, is the water.
    assert ("2021-01-22", "alkalinity") not in suspects


def test_five_low_weeks_in_april_and_may_are_one_spell(answer: Any) -> None:
    low = {"2019-04-25", "2019-05-02", "2019-05-17", "2019-05-31"}  # 95, 87, 95 and 85 mg/L CaCO3
    chances = {
        each["when"][:10]: each["probability_wrong"]
        for each in answer["suspect_tests"]
        if each["what"] == "alkalinity"
    }
    assert low <= set(chances)
    # One explanation for all of them: it is as sure of each.
    assert max(chances[day] for day in low) - min(chances[day] for day in low) < 0.02
    # The water didn't rise by 40 mg/L in June of itself.
    assert not [
        each
        for each in answer["unlogged"]
        if each["what"] == "alkalinity" and "2019-04" <= each["from"] < "2019-07"
    ]


def test_the_noise_of_a_test_is_what_successive_differences_say(answer: Any) -> None:
    found = {(each["quantity"], each["method"]): each["sd"] for each in answer["methods"]}
    # robust noise: alkalinity 5.2 mg/L CaCO3, phosphate 0.042 mg/L, pH 0.042
    assert found["alkalinity", None] * MG_PER_MEQ == pytest.approx(5.2, rel=0.25)
    assert found["phosphate", None] == pytest.approx(0.042, rel=0.3)
    assert found["ph", None] == pytest.approx(0.042, rel=0.25)
    # nitrate 0.21 mg/L of N by the mid-range method, 0.42 by the high-range one
    assert found["nitrate", "mid range"] / NITRATE_PER_N == pytest.approx(0.21, rel=0.25)
    assert found["nitrate", "high range"] / NITRATE_PER_N == pytest.approx(0.42, rel=0.25)


def test_one_method_reads_above_the_other_by_what_their_differences_say(answer: Any) -> None:
    bias = {each["method"]: each["bias"] for each in answer["methods"]
            if each["quantity"] == "nitrate"}  # fmt: skip
    # Over all pairs high range reads 0.40 mg/L of N above mid range; by years the middle of the
    # differences falls from 0.7 (2018) to 0.3 (2022), and the answer is as of the last year.
    offset = (bias["high range"] - bias["mid range"]) / NITRATE_PER_N
    assert offset == pytest.approx(0.40, abs=0.15)


def test_the_alkalinity_neither_rose_nor_fell_over_three_years(ocean: Run) -> None:
    arguments = ("--from", "2019-06-07", "--to", "2022-10-14", "--at", "2022-10-15", "--json")
    sheet = ocean("balance", "alkalinity", *arguments).json
    days = 1225
    rate = (sheet["closing"]["value"] - sheet["opening"]["value"]) * MG_PER_MEQ / days
    spread = (sheet["closing"]["sd"] ** 2 + sheet["opening"]["sd"] ** 2) ** 0.5 * MG_PER_MEQ / days
    # zero within 0.002 mg/L a day; the two stocks alone can't say it closer than their own doubt
    assert abs(rate) < 0.002 + 2 * spread
    assert spread < 0.006


#: An unlogged change is put into the real series from a day on: 42 mg/L as CaCO3, eight times the
#: noise of one test (5.2), up as by a dose and down as by fresh or softer water.
CHANGES = [
    ("2020-06-08", 42.0),
    ("2021-03-29", 42.0),
    ("2021-06-07", -42.0),
    ("2022-01-10", 42.0),
    ("2022-04-04", -42.0),
]


@pytest.mark.parametrize(("day", "size"), CHANGES)
def test_a_change_that_nobody_logged_is_placed_in_its_week_and_sized(
    run: Run, tmp_path: Path, rows: Rows, day: str, size: float
) -> None:
    at = (datetime.fromisoformat(day) + timedelta(days=150)).date().isoformat()  # twenty tests on
    later = [
        [*row[:3], f"{float(row[3]) + (size if row[0] >= day else 0.0):.4g}", *row[4:]]
        for row in rows
        if row[2] == "alkalinity" and row[0] <= at
    ]
    _fill(run, tmp_path, later)
    found = run("balance", "--at", at, "--json").json["unlogged"]
    mine = [
        each
        for each in found
        if each["what"] == "alkalinity" and each["from"][:10] <= day <= each["to"][:10]
    ]
    assert len(mine) == 1
    change = mine[0]
    assert change["probability"] > 0.5
    # one week between the tests before and after
    assert change["to"][:10] > change["from"][:10]
    assert change["change"] * MG_PER_MEQ == pytest.approx(
        size, abs=1.96 * change["sd"] * MG_PER_MEQ
    )
    assert change["sd"] * MG_PER_MEQ < 10.0


def test_the_pair_of_nitrate_tests_that_lies_furthest_apart_is_named(ocean: Run) -> None:
    outcome = ocean("check", "--json")
    named = [one["text"] for one in outcome.json["faults"] if one["check"] == "pairs"]
    # 2018-10-13: 5.4 by high range and 1.4 by mid range, ten times the usual 0.4 apart.
    assert [text for text in named if "2018-10-13" in text and "against 5.4" in text] == named
    assert len(named) == 1
    assert outcome.status == 1


def test_today_answers_for_five_years_of_tests_alone(ocean: Run) -> None:
    outcome = ocean("today", "--at", "2022-10-15")
    assert outcome.status == 0
    assert "lkalinity" in outcome.out
