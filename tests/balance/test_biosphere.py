"""Five years of real tests of a closed coral mesocosm, through the doors of the command line.

Grambihler R. and others, Biosphere 2 Ocean, University of Arizona, GitHub, 2026. The file has no
stated licence, so it is read where it lies and isn't part of this repository. The truths beside the
checks were computed from the file (robust noise from successive differences).
"""

from __future__ import annotations

import csv
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

pytestmark = pytest.mark.skipif(
    not DATA.exists(), reason=f"open data not beside the repository: {DATA.name}"
)


@pytest.fixture
def ocean(run: Run, tmp_path: Path) -> Run:
    (tmp_path / "system.toml").write_text('name = "ocean"\nnet_volume = "2600000 L"\n')
    with (tmp_path / "history.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["when", "kind", "what", "value", "unit", "detail"])
        for row in csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()):
            for column, (name, unit, detail) in COLUMNS.items():
                if row[column]:
                    when = f"{row['date']}T12:00:00Z"
                    writer.writerow([when, "test", name, row[column], unit, detail])
    assert run("new", "--system", "system.toml").status == 0
    assert run("import", "history.csv").status == 0
    return run


@pytest.fixture
def answer(ocean: Run) -> Any:
    return ocean("balance", "--at", "2022-10-15", "--json").json


def test_the_gross_errors_are_found_and_few_others(answer: Any) -> None:
    suspects = {(each["when"][:10], each["what"]) for each in answer["suspect_tests"]}
    # 68, 75, 198 and 85 mg/L CaCO3; phosphate 0.56; nitrate 3.4 mg/L N
    assert suspects >= {
        ("2018-12-07", "alkalinity"),
        ("2019-01-19", "alkalinity"),
        ("2020-07-31", "alkalinity"),
        ("2021-01-15", "alkalinity"),
        ("2018-10-13", "phosphate"),
        ("2018-12-13", "nitrate"),
    }
    assert len(suspects) <= 0.05 * 1082


def test_the_noise_of_a_test_is_what_successive_differences_say(answer: Any) -> None:
    found = {(each["quantity"], each["method"]): each["sd"] for each in answer["methods"]}
    # robust noise: alkalinity 5.2 mg/L CaCO3, phosphate 0.042 mg/L, pH 0.042
    assert found["alkalinity", None] * MG_PER_MEQ == pytest.approx(5.2, rel=0.25)
    assert found["phosphate", None] == pytest.approx(0.042, rel=0.3)
    assert found["ph", None] == pytest.approx(0.042, rel=0.25)


def test_the_alkalinity_neither_rose_nor_fell_over_three_years(ocean: Run) -> None:
    arguments = ("--from", "2019-06-07", "--to", "2022-10-14", "--at", "2022-10-15", "--json")
    sheet = ocean("balance", "alkalinity", *arguments).json
    days = 1225
    rate = (sheet["closing"]["value"] - sheet["opening"]["value"]) * MG_PER_MEQ / days
    spread = (sheet["closing"]["sd"] ** 2 + sheet["opening"]["sd"] ** 2) ** 0.5 * MG_PER_MEQ / days
    # zero within 0.002 mg/L a day; the two stocks alone can't say it closer than their own doubt
    assert abs(rate) < 0.002 + 2 * spread
    assert spread < 0.006
