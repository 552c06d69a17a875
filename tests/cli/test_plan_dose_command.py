"""``brinebook plan dose`` over whole books: one that is steady, and one with an odd test."""

from __future__ import annotations

from pathlib import Path

import pytest

from brinebook.water.quantities import DKH_PER_MEQ
from tests.conftest import Run

# Common practice, no source: a lightly stocked reef of about 340 L holds steady on some 30 mL a day
# of each of the two parts; at 80 g/L of bicarbonate that is 0.24 dKH a day.
_LIGHT = """
name = "Light reef"
timezone = "Europe/Lisbon"
net_volume = { value = "340 L", sd = "15 L" }

[units]
alkalinity = "dKH"

[bands]
alkalinity = ["7.5 dKH", "9 dKH"]
calcium = ["400 mg/L", "450 mg/L"]

[targets]
alkalinity = "8.2 dKH"
calcium = "425 mg/L"

[[additives]]
name = "carbonate solution"
recipe = { salt = "NaHCO3", grams_per_litre = 80 }
container = "2 L"

[[additives]]
name = "calcium solution"
recipe = { salt = "CaCl2.2H2O", grams_per_litre = 70 }
container = "2 L"
"""


def _steady(run: Run, *, days: int = 60) -> None:
    """Tests of a level that stays, on 30 mL a day of each."""
    rows = ["when,kind,what,value,unit,detail"]
    rows += [
        f"2026-01-01T08:00,dosing,{name} solution,30,mL/day," for name in ("carbonate", "calcium")
    ]
    for day in range(days):
        date = f"2026-{1 + day // 28:02d}-{1 + day % 28:02d}"
        if day % 4 == 0:
            reading = ("8.2", "8.1", "8.3")[day // 4 % 3]
            rows.append(f"{date}T19:00,test,alkalinity,{reading},dKH,")
        if day % 7 == 0:
            reading = ("425", "420", "430")[day // 7 % 3]
            rows.append(f"{date}T19:10,test,calcium,{reading},mg/L,")
    Path("history.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert run("import", "history.csv").status == 0


@pytest.fixture
def light(run: Run, tmp_path: Path) -> Run:
    """A reef of 340 L that two months of tests find steady."""
    (tmp_path / "light.toml").write_text(_LIGHT, encoding="utf-8")
    assert run("new", "--system", "light.toml").status == 0
    _steady(run)
    return run


def test_a_lightly_stocked_reef_on_thirty_millilitres_a_day_is_found_steady(light: Run) -> None:
    plan = light("plan", "dose", "--at", "2026-03-04T20:00", "--json").json
    assert plan["verdict"] == "nothing"
    assert plan["headline"].startswith("Leave the dosing as it is: alkalinity is steady.")
    use = plan["figures"]["use_alkalinity"]
    # 30 mL of 80 g/L in 340 L: arithmetic, 0.236 dKH; what the tests leave open is told.
    assert use["low"] < 0.236 / DKH_PER_MEQ < use["high"]
    assert use["value"] * DKH_PER_MEQ == pytest.approx(0.24, abs=0.03)
    assert plan["steps"] == []
    assert plan["figures"]["set_carbonate solution"]["value"] == 30.0
    assert plan["figures"]["new_carbonate solution"]["value"] == 30.0
    assert plan["figures"]["new_calcium solution"]["value"] == 30.0
    holds = {one["what"]: one["probability"] for one in plan["chances"]}
    assert holds["keeps alkalinity in its band for 14 days, left as it is"] > 0.9


def test_no_knob_is_turned_on_one_surprising_test(light: Run) -> None:
    light("add", "test", "alkalinity", "9.0 dKH", "--when", "2026-03-04T19:00")
    words = ("plan", "dose", "--at", "2026-03-04T20:00", "--json")
    first = light(*words).json
    assert first["verdict"] == "test first"
    assert "Test alkalinity again first" in first["headline"]
    assert [step["kind"] for step in first["steps"]] == ["test"]
    assert first["figures"]["new_carbonate solution"]["value"] == 30.0
    assert first["figures"]["new_calcium solution"]["value"] == 30.0
    # Read again and the same, it is how things are.
    light("add", "test", "alkalinity", "9.1 dKH", "--when", "2026-03-04T19:30")
    second = light(*words).json
    assert second["verdict"] == "do"
    assert second["figures"]["new_carbonate solution"]["value"] < 30.0


def test_no_knob_is_turned_by_tests_of_long_ago(light: Run) -> None:
    # Half a year after the last test; the middle of belief has wandered off by then.
    late = light("plan", "dose", "--at", "2026-12-01T09:00", "--json").json
    assert late["verdict"] == "test first"
    assert "too long ago to turn a knob by" in late["headline"]
    assert {step["kind"] for step in late["steps"]} == {"test"}
    told = {name: figure["value"] for name, figure in late["figures"].items()}
    for name in (each.removeprefix("set_") for each in told if each.startswith("set_")):
        assert told[f"new_{name}"] == told[f"set_{name}"]
    change = light("plan", "change", "alkalinity", "--at", "2026-12-01T09:00", "--json").json
    assert change["verdict"] == "test first"
    once = light("plan", "change", "--amount", "10 %", "--at", "2026-12-01T09:00", "--json").json
    assert "can't be told before a test" in once["headline"]
