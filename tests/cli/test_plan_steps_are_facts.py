"""Every step of these plans is a fact that the book takes, and stands in Today once accepted."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from brinebook.book.history_csv import read_history
from brinebook.demo import history_csv, system_toml
from tests.conftest import Run

AT = "2025-02-01T08:00"
FAR = datetime(2100, 1, 1, tzinfo=UTC)
PLANS = (
    ("slip", "dose", "carbonate solution", "600mL"),
    ("slip", "met", "carbonate solution", "60mL", "calcium solution", "60mL"),
    ("slip", "limewater", "12L"),
    ("slip", "salt-top-off", "30L"),
    ("slip", "fresh-flood", "40L"),
    ("slip", "dried-out", "20L"),
    ("slip", "fresh-change", "60L"),
    ("slip", "overfed", "30g"),
    ("slip", "death", "80g"),
    ("slip", "foreign", "window cleaner"),
    ("acclimate", "--salinity", "31", "--fish", "8g", "--hours", "10"),
    ("acclimate", "--salinity", "31", "--ph", "7.0", "--ammonia", "6 mg/L N"),
    ("nutrients", "nitrate", "--nitrate", "60 mg/L", "--food", "4 g/day", "--volume", "300L"),
    (
        "nutrients",
        "phosphate",
        "--phosphate",
        "0.005 mg/L",
        "--food",
        "2 g/day",
        "--volume",
        "300L",
    ),
    ("carbon", "--bag"),
)


@pytest.fixture
def demo(run: Run, tmp_path: Path) -> Run:
    (tmp_path / "system.toml").write_text(system_toml(), encoding="utf-8")
    header, *rows = history_csv().splitlines()
    late = [row for row in rows if row >= "2024-11" or ",dosing," in row or ",media," in row]
    (tmp_path / "history.csv").write_text("\n".join([header, *late]) + "\n", encoding="utf-8")
    assert run("new", "--system", "system.toml").status == 0
    assert run("import", "history.csv").status == 0
    return run


def test_every_step_reads_as_a_row_of_history(demo: Run) -> None:
    out = io.StringIO()
    rows = csv.writer(out)
    rows.writerow(["when", "kind", "what", "value", "unit", "detail"])
    count = 0
    for words in PLANS:
        plan = demo("plan", *words, "--at", AT, "--json").json
        assert plan["steps"], words
        for step in plan["steps"]:
            assert datetime.fromisoformat(step["when"]) < datetime.fromisoformat(step["until"])
            if step["kind"] == "test":
                step |= {"value": "1", "unit": "" if step["what"] == "ph" else _unit(step["what"])}
                step["value"] = {"ph": "8.1", "salinity": "35"}.get(step["what"], "1")
            detail = ";".join(f"{key}={value}" for key, value in step["detail"].items())
            rows.writerow([step["when"], step["kind"], step["what"], step["value"], step["unit"],
                           detail])  # fmt: skip
            count += 1
    found = read_history(out.getvalue().encode(), zone=ZoneInfo("UTC"), now=FAR)
    assert list(found.bad) == []
    assert count > 50


def _unit(what: str) -> str:
    return {"alkalinity": "dKH", "salinity": "PSU", "ammonia": "mg/L N"}.get(what, "mg/L")


def test_an_accepted_slip_stands_in_today_turns_into_facts_and_is_set_against_what_came(
    demo: Run,
) -> None:
    kept = demo("plan", "slip", "salt-top-off", "30L", "--at", AT, "--accept", "--json").json
    plan = kept["id"]
    today = demo("today", "--at", AT, "--json").json
    (first, *_) = kept["steps"]
    assert any(first["text"] in act["text"] for act in today["acts"])
    done = demo("plan", "done", plan, "1", "--when", AT, "--json")
    assert done.status == 0, done
    facts = demo("history", "--json").json["facts"]
    removed = [fact for fact in facts if fact["kind"] == "removed"]
    assert [fact["value"] for fact in removed] == [first["value"]]
    after = datetime.fromisoformat(kept["steps"][0]["expects"][0]["when"]) + timedelta(days=1)
    shown = demo("plan", "show", plan, "--at", after.isoformat(), "--json")
    assert shown.status == 0, shown
    assert "salinity" in str(shown.json)
