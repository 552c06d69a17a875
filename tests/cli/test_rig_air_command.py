"""Heat, damp, power, outage and floor of a described rig on the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from brinebook.cli.main import main

#: The reference system of the worked examples as a keeper would describe it.
REEF = """
name = "Reference"
timezone = "UTC"
net_volume = { value = "300 L", sd = "10 L" }
[[vessels]]
name = "display"
length = "1.2 m"
width = "0.6 m"
height = "0.55 m"
water = "0.5 m"
[[vessels]]
name = "sump"
length = "0.8 m"
width = "0.4 m"
height = "0.36 m"
water = "0.22 m"
[[pumps]]
name = "return"
power = "45 W"
[animals]
fish = "150 g"
others = "300 mg/h"
[heat]
loss = "13.3 W/K"
[[heat.heaters]]
name = "heater"
power = "300 W"
[heat.room]
temperature = "21 C"
humidity = "40 %"
[[power.circuits]]
name = "wall"
volts = "120 V"
amps = "15 A"
protection = "5 mA"
tested = "10 days"
[floor]
rock = "40 kg"
sand = "20 kg"
glass = "104 kg"
legs = 4
"""


@pytest.fixture
def described(tmp_path: Path) -> Path:
    """A file that describes the reference system."""
    path = tmp_path / "system.toml"
    path.write_text(REEF, encoding="utf-8")
    return path


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    status = main([*arguments, "--json"])
    captured = capsys.readouterr()
    assert status == 0, captured.err
    found: dict[str, Any] = json.loads(captured.out)
    return found


def test_the_heat_is_the_worked_one(described: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Worked: 216 W for 25 °C in a room of 21 °C and 40 %, 27.6 °C with 300 W stuck on; 1 %, 0.1 K.
    heat = _json(capsys, "rig", "heat", "--file", str(described))["heat"]
    assert heat["now"]["needed"]["value"] == pytest.approx(216, rel=0.01)
    assert heat["now"]["needed"]["low"] < 200 < heat["now"]["needed"]["high"]
    assert heat["now"]["enough"] == "perhaps"
    assert heat["stuck"][0]["ends_at"]["value"] == pytest.approx(27.6, abs=0.1)


def test_the_hours_in_the_dark_are_the_worked_ones(
    described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Worked for all 300 L without air: 2.2 h to 4 mg/L, 3.9 h to 2; 1 % of 2.162 and 3.940.
    found = _json(capsys, "rig", "outage", "--file", str(described))
    cases = {case["case"]: case for case in found["outage"]["oxygen"]}
    whole = cases["all the water, no air"]
    assert whole["hours_to_act"]["middle"] == pytest.approx(2.162, rel=0.01)
    assert whole["hours_to_grave"]["middle"] == pytest.approx(3.940, rel=0.01)
    assert found["outage"]["acts"][0].startswith("People first")
    assert "engines_outdoors" in {caution["id"] for caution in found["cautions"]}


def test_the_floor_gets_no_verdict(described: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # 300 L x 1.02334 + 40 + 20 + 104 + 60 + 25 = 556 kg on 0.72 m2: 7.57 kPa, arithmetic.
    floor = _json(capsys, "rig", "floor", "--file", str(described))["floor"]
    assert floor["pressure"]["value"] == pytest.approx(7.573, abs=0.001)
    assert floor["verdict"] is None
    assert main(["rig", "floor", "--file", str(described)]) == 0
    out = capsys.readouterr().out
    assert "structural engineer" in out
    assert "OK" not in out


def test_a_tested_protector_is_not_asked_for(
    described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    power = _json(capsys, "rig", "power", "--file", str(described))["power"]
    kinds = {found["kind"] for found in power["findings"]}
    assert not kinds & {"test due", "unprotected", "protection unknown"}
    assert power["circuits"][0]["rule"]["law"]


def test_temperatures_are_told_in_the_keepers_unit(
    described: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    american = described.read_text(encoding="utf-8").replace(
        'timezone = "UTC"', 'timezone = "UTC"\nunits = { temperature = "F" }'
    )
    described.write_text(american, encoding="utf-8")
    assert main(["rig", "heat", "--file", str(described)]) == 0
    out = capsys.readouterr().out
    assert "Holding 77.0 °F in a room of 70 °F" in out
    assert "°C" not in out


def test_the_marks_of_the_top_off_replace_the_formula(
    described: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = str(tmp_path / "book.sqlite")
    assert main(["--book", book, "new", "--system", str(described)]) == 0
    history = tmp_path / "history.csv"
    history.write_text(
        "when,kind,what,value,unit,detail\n"
        "2026-01-03T08:00:00Z,level,top-off,24,L,\n"
        "2026-01-07T08:00:00Z,level,top-off,4,L,\n",
        encoding="utf-8",
    )
    assert main(["--book", book, "import", str(history)]) == 0
    capsys.readouterr()
    found = _json(capsys, "--book", book, "rig", "heat", "--at", "2026-01-08")
    # 20 L in four days.
    assert found["heat"]["now"]["evaporation"]["value"] == pytest.approx(5.0)
