"""``balance`` and ``today`` as the contract has them, over the demo's facts."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import pytest

from brinebook.demo import history_csv, system_toml
from tests.conftest import Run

AT = "2024-11-15T09:00"
STATUSES = {"in band", "drifting", "out of band", "stale", "no band"}
KINDS = {"check", "retest", "test", "correct", "dose", "change", "chore", "order", "wait"}
CAUSES = {
    "test_wrong", "lot_changed", "method_drifting", "dose_not_arriving", "dose_entered_wrong",
    "unlogged_change", "unlogged_dose", "use_changed", "volume_belief_wrong", "precipitation",
    "media_exhausted", "evaporation_changed", "leak", "room_air", "probe_fault", "equipment",
    "other",
}  # fmt: skip


@pytest.fixture
def demo(run: Run, tmp_path: Path) -> Run:
    (tmp_path / "system.toml").write_text(system_toml(), encoding="utf-8")
    (tmp_path / "history.csv").write_text(history_csv(), encoding="utf-8")
    assert run("new", "--system", "system.toml").status == 0
    assert run("import", "history.csv").status == 0
    return run


def test_balance_has_the_shape_of_the_contract(demo: Run) -> None:
    outcome = demo("balance", "--at", AT, "--json")
    assert outcome.status == 0
    answer = outcome.json
    assert set(answer) >= {"as_of", "volume", "quantities", "suspect_tests", "unlogged", "methods"}
    assert set(answer["volume"]) == {"value", "sd", "unit"}
    for name, quantity in answer["quantities"].items():
        assert quantity["status"] in STATUSES
        assert set(quantity["now"]) == {"value", "sd", "low", "high"}
        assert quantity["now"]["low"] <= quantity["now"]["value"] <= quantity["now"]["high"]
        assert len(quantity["forecast"]) == 7
        massless = name in {"ph", "temperature", "orp"}
        assert (quantity["consumption"] is None) == massless
        assert (quantity["net_rate"] is None) == massless
        assert set(quantity["next_test"]) == {"by", "why"}
    assert answer["quantities"]["alkalinity"]["unit"] == "meq/L"
    ids = {fact["fact"] for fact in demo("history", "--json").json["facts"]}
    assert {suspect["fact"] for suspect in answer["suspect_tests"]} <= ids


def test_today_has_the_shape_of_the_contract(demo: Run) -> None:
    answer = demo("today", "--at", AT, "--json").json
    assert list(answer)[:3] == ["as_of", "headline", "acts"]
    for act in answer["acts"]:
        assert act["kind"] in KINDS
        assert set(act) == {"kind", "about", "text", "why", "by", "substance", "amount", "unit"}
    for each in answer["explanations"]:
        assert {cause["cause"] for cause in each["causes"]} <= CAUSES
        total = sum(cause["probability"] for cause in each["causes"])
        assert total == pytest.approx(1.0, abs=1e-6)
    for quantity in answer["quantities"].values():
        assert set(quantity) == {"status", "value", "low", "high", "unit", "tested"}


def test_today_is_one_screen_that_says_where_it_comes_from(demo: Run) -> None:
    outcome = demo("today", "--at", AT)
    assert len(outcome.out.splitlines()) <= 40
    assert max(len(line) for line in outcome.out.splitlines()) <= 80
    assert "invented" in outcome.out
    why = demo("today", "--why", "alk", "--at", AT).out
    assert "Equation:" in why
    assert "Durbin" in why


def test_the_same_facts_in_any_order_give_the_same_bytes(demo: Run, tmp_path: Path) -> None:
    first = demo("balance", "--at", AT, "--json").out
    header, *rows = history_csv().splitlines()
    random.Random(4).shuffle(rows)
    (tmp_path / "shuffled.csv").write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    again = str(tmp_path / "other.book")
    assert demo("--book", again, "new", "--system", "system.toml").status == 0
    assert demo("--book", again, "import", "shuffled.csv").status == 0
    assert demo("--book", again, "balance", "--at", AT, "--json").out == first


def test_nothing_is_written_by_an_answer(demo: Run) -> None:
    before = demo("export").out
    demo("today", "--at", AT)
    demo("balance", "--at", AT)
    assert demo("export").out == before


@pytest.mark.parametrize("quantity", ["alkalinity", "calcium", "nitrate"])
def test_a_sheet_closes(demo: Run, quantity: str) -> None:
    arguments = ("balance", quantity, "--from", "2024-09-01", "--to", "2024-10-15", "--at", AT)
    sheet: Any = demo(*arguments, "--json").json
    came = math.fsum(line["mass"] for line in sheet["lines"])
    remainder = sheet["remainder"]["mass"]
    difference = sheet["closing"]["mass"] - sheet["opening"]["mass"]
    # the answer carries nine digits, so the sum can't close closer than the last of them
    assert came + remainder == pytest.approx(difference, abs=1e-6 * sheet["opening"]["mass"])
    assert abs(remainder) < 3 * sheet["remainder"]["mass_sd"]
    assert "remainder" in demo(*arguments).out


def test_what_can_not_be_answered_is_refused_in_words(demo: Run) -> None:
    assert demo("balance", "ph", "--json").json["error"]["code"] == "E-SHEET"
    assert demo("balance", "strontium").status == 2
    assert demo("balance", "--from", "2024-09-01").status == 2
    assert demo("today", "--why", "strontium", "--json").json["error"]["code"] == "E-NEVER-TESTED"
    assert demo("balance", "alk", "--from", "2024-10-15", "--to", "2024-10-01").status == 2


def test_an_empty_book_is_told_as_empty(reef: Run) -> None:
    outcome = reef("today")
    assert outcome.status == 0
    assert "no test" in outcome.out
    assert reef("balance", "--json").json["quantities"] == {}
