"""``balance`` and ``today`` as the contract has them, over the demo's facts."""

from __future__ import annotations

import math
import random
import re
from datetime import UTC, datetime, timedelta
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


def _iso(days_ago: float) -> str:
    return (datetime.now(UTC) - timedelta(days=days_ago)).replace(microsecond=0).isoformat()


@pytest.fixture
def topped(reef: Run, tmp_path: Path) -> Run:
    """An invented reef whose top-off can went down twice as fast this week, salinity the same."""
    rows = ["when,kind,what,value,unit,detail"]
    for week in range(8):
        rows += [
            f"{_iso(7 * (8 - week))},level,top-off,50,L,",
            f"{_iso(7 * (8 - week) - 6.9)},level,top-off,{50 - 6.9 * (6 if week == 7 else 3)},L,",
            f"{_iso(7 * (8 - week) - 3)},test,alkalinity,8.2,dKH,method=drop count",
        ]
    rows += [f"{_iso(9)},test,salinity,35,PSU,", f"{_iso(0.2)},test,salinity,32.6,PSU,"]
    (tmp_path / "topped.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert reef("import", "topped.csv").status == 0
    return reef


def _of(answer: Any, about: str) -> Any:
    return next(each for each in answer["explanations"] if about in each["about"])


def test_a_question_is_answered_by_its_short_id_as_the_screen_shows_it(topped: Run) -> None:
    screen = topped("today").out
    shown = re.search(r"brinebook add verdict (\w{6}) yes, or no\.", screen)
    assert shown is not None
    before = _of(topped("today", "--json").json, "top-off")
    assert "settled" not in before
    done = topped("add", "verdict", shown[1], "yes", "--by", "Mieke")
    assert done.status == 0, done.err
    after = _of(topped("today", "--json").json, "top-off")
    assert after["settled"]["by"] == "Mieke"
    assert after["settled"]["when"] == datetime.fromisoformat(after["settled"]["when"]).isoformat()
    assert after["causes"][0]["probability"] == 1.0
    assert math.fsum(cause["probability"] for cause in after["causes"]) == pytest.approx(1.0)
    assert f"brinebook add verdict {shown[1]}" not in topped("today").out


def test_an_unambiguous_beginning_is_enough_and_a_full_id_keeps_working(topped: Run) -> None:
    asks = [cause["asks"] for cause in _of(topped("today", "--json").json, "top-off")["causes"]
            if cause["asks"]]  # fmt: skip
    assert topped("add", "verdict", asks[0][:6], "no", "--json").json["what"] == asks[0]
    assert topped("add", "verdict", asks[1], "no", "--json").json["what"] == asks[1]


def test_an_ambiguous_beginning_and_an_unknown_id_are_refused_in_words(demo: Run) -> None:
    unknown = demo("add", "verdict", "zzzzzz", "yes", "--json")
    assert unknown.status == 2
    assert unknown.json["error"]["code"] == "E-QUESTION-UNKNOWN"
    assert unknown.json["error"]["hint"]


def test_several_questions_that_begin_alike_are_listed(topped: Run) -> None:
    from brinebook.desk.questions import QuestionAmbiguous

    error = QuestionAmbiguous("stop", ["stop-carbonate-1.000-2.000", "stop-calcium-1.000-2.000"])
    assert error.exit_status == 2
    assert "stop-carbonate-1.000-2.000" in error.message
    assert "one more letter" in error.hint
    assert topped("add", "verdict", "zz", "yes").status == 2


def test_the_id_of_a_change_that_balance_shows_is_accepted_and_kept_in_full(demo: Run) -> None:
    change = demo("balance", "--json").json["unlogged"][-1]
    assert len(change["short_id"]) == 6
    assert f"id {change['short_id']}" in demo("balance").out
    added = demo("add", "verdict", change["short_id"], "yes", "--json").json
    assert added["what"] == change["id"]
    assert f"verdict,{change['id']},,,says=yes" in demo("export").out


def test_a_verdict_on_a_test_is_shown_as_settled_for_a_week(topped: Run) -> None:
    facts = topped("history", "--kind", "test", "--what", "alkalinity", "--json").json["facts"]
    newest = facts[-1]["fact"]
    assert topped("add", "verdict", newest[:8], "wrong", "--by", "Jorrit").status == 0
    told = _of(topped("today", "--json").json, "alkalinity")
    assert told["settled"]["by"] == "Jorrit"
    assert told["causes"][0]["cause"] == "test_wrong"
    later = (datetime.now(UTC) + timedelta(days=8)).isoformat()
    assert not any(
        "alkalinity" in each["about"] and "settled" in each
        for each in topped("today", "--at", later, "--json").json["explanations"]
    )


def test_nobody_named_is_the_keeper(topped: Run) -> None:
    facts = topped("history", "--kind", "test", "--what", "alkalinity", "--json").json["facts"]
    assert topped("add", "verdict", facts[-1]["fact"], "wrong").status == 0
    assert _of(topped("today", "--json").json, "alkalinity")["settled"]["by"] == "the keeper"


def test_the_present_is_told_in_whole_seconds(topped: Run) -> None:
    for command in ("today", "balance"):
        as_of = datetime.fromisoformat(topped(command, "--json").json["as_of"])
        assert as_of.microsecond == 0


def test_no_text_that_the_contract_promises_is_empty(demo: Run) -> None:
    answer = demo("today", "--at", AT, "--json").json
    assert answer["headline"]
    for act in answer["acts"]:
        assert act["text"]
        assert act["why"]
    for each in answer["explanations"]:
        for cause in each["causes"]:
            assert all(cause[key] for key in ("for", "against", "tell_apart"))
    balance = demo("balance", "--at", AT, "--json").json
    for quantity in balance["quantities"].values():
        assert quantity["next_test"]["why"]
    for each in (*balance["suspect_tests"], *balance["unlogged"]):
        assert each["why"]


@pytest.mark.parametrize("quantity", ["alkalinity", "phosphate", "ph", "salinity"])
def test_why_unfolds_each_quantity_to_inputs_equation_and_sources(demo: Run, quantity: str) -> None:
    said = demo("today", "--why", quantity, "--at", AT).out
    for part in ("It rests on", "What goes into it:", "Equation:", "Sources:", "Next test:"):
        assert part in said
    assert max(len(line) for line in said.splitlines()) <= 100


def test_a_low_level_names_the_plan_that_works_out_how_much_and_no_amount(
    reef: Run, tmp_path: Path
) -> None:
    rows = ["when,kind,what,value,unit,detail"]
    rows += [f"{_iso(3.0 * k)},test,alkalinity,6.9,dKH,method=drop count" for k in range(8)]
    (tmp_path / "low.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert reef("import", "low.csv").status == 0
    screen = reef("today").out
    named = re.search(r"To work out how much: brinebook (plan correct alkalinity)", screen)
    assert named is not None
    assert "slowly" in screen
    assert not re.search(r"\d+ (g|mL)\b", screen)
    assert reef(*named[1].split()).status == 0
