"""From a plan to Today, to facts, and to what came of it: at the command line."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.conftest import Run

AT = "2026-02-01T09:00"


@pytest.fixture
def low(reef: Run) -> Run:
    """A reef whose alkalinity has been tested under its band for a month."""
    for day in range(1, 32, 3):
        when = f"2026-01-{day:02d}T09:00"
        assert reef("add", "test", "alk", "7.0dKH", "--when", when).status == 0
    return reef


def _accept(run: Run) -> Any:
    outcome = run("plan", "correct", "alkalinity", "--to", "8 dKH", "--with", "NaHCO3", "--at", AT,
                  "--accept", "--by", "Mieke", "--json")  # fmt: skip
    assert outcome.status == 0, outcome.err
    assert outcome.json["verdict"] == "do"
    return outcome.json


def test_an_accepted_plan_stands_in_today_until_it_is_done(low: Run) -> None:
    plan = _accept(low)
    acts = low("today", "--at", AT, "--json").json["acts"]
    (act,) = [one for one in acts if one.get("plan") == plan["id"]]
    assert act["kind"] == "correct"
    assert act["substance"] == "NaHCO3"
    assert act["unit"] == "g"
    assert act["amount"] == pytest.approx(float(plan["steps"][0]["value"]))
    done = low("plan", "done", plan["id"], "--when", AT, "--json")
    assert done.status == 0, done.err
    assert done.json["kind"] == "dose"
    after = low("today", "--at", "2026-02-01T10:00", "--json").json["acts"]
    assert [one for one in after if one.get("plan") == plan["id"]] == []


def test_a_step_that_is_done_is_a_fact_like_any_other(low: Run) -> None:
    plan = _accept(low)
    low("plan", "done", plan["id"], "--when", AT)
    facts = low("history", "--json").json["facts"]
    doses = [one for one in facts if one["kind"] == "dose"]
    assert [(one["what"], one["value"], one["unit"]) for one in doses] == [
        ("NaHCO3", plan["steps"][0]["value"], "g")
    ]
    # Taken back, the step is due again.
    assert low("undo", doses[0]["fact"]).status == 0
    shown = low("plan", "show", plan["id"], "--at", "2026-02-01T10:00", "--json").json
    assert shown["steps"][0]["state"] == "due"


def test_what_came_is_set_against_what_was_expected(low: Run) -> None:
    plan = _accept(low)
    assert plan["steps"][-1]["kind"] == "test"
    for number, step in enumerate(plan["steps"], start=1):
        amount = ("--amount", "8.0dKH") if step["kind"] == "test" else ()
        outcome = low("plan", "done", plan["id"], str(number), "--when", step["when"], *amount)
        assert outcome.status == 0, outcome.err
    shown = low("plan", "show", plan["id"], "--at", "2026-02-08T09:00", "--json").json
    assert {one["state"] for one in shown["steps"]} == {"done"}
    assert not shown["open"]
    came = [one for one in shown["came"] if one["quantity"] == "alkalinity"]
    assert came
    assert all(one["verdict"] == "as expected" for one in came)


def test_accepting_the_same_plan_twice_keeps_one(low: Run) -> None:
    first, second = _accept(low), _accept(low)
    assert first["id"] == second["id"]
    assert first["accepted"]["new"]
    assert not second["accepted"]["new"]
    assert len(low("plan", "kept", "--at", AT, "--json").json["plans"]) == 1


def test_a_plan_that_was_given_up_asks_for_nothing(low: Run) -> None:
    plan = _accept(low)
    outcome = low("plan", "drop", plan["id"][:4], "--json")
    assert outcome.json["dropped"] is not None
    acts = low("today", "--at", AT, "--json").json["acts"]
    assert [one for one in acts if one.get("plan")] == []
    refused = low("plan", "done", plan["id"], "--json")
    assert refused.json["error"]["code"] == "E-PLAN-STEP"


def test_a_plan_is_not_there_before_it_was_made(low: Run) -> None:
    _accept(low)
    assert low("plan", "kept", "--at", "2026-01-20", "--json").json["plans"] == []


def test_a_plan_without_steps_cannot_be_accepted(reef: Run) -> None:
    for day in range(1, 32, 3):
        reef("add", "test", "alk", "8.2dKH", "--when", f"2026-01-{day:02d}T09:00")
    outcome = reef(
        "plan", "correct", "alkalinity", "--to", "8.2 dKH", "--at", AT, "--accept", "--json"
    )
    assert outcome.status == 2
    assert outcome.json["error"]["code"] == "E-PLAN-NO-STEPS"


def test_a_plan_for_water_that_was_only_stated_cannot_be_accepted(low: Run) -> None:
    outcome = low(
        "plan", "correct", "alkalinity", "--from", "7 dKH", "--volume", "300L", "--accept", "--json"
    )
    assert outcome.status == 2
    assert "--volume" in outcome.json["error"]["message"]


def test_a_skipped_step_is_left_out(low: Run) -> None:
    plan = _accept(low)
    shown = low("plan", "skip", plan["id"], "1", "--json").json
    assert shown["steps"][0]["state"] == "skipped"


def test_a_plan_of_the_same_matter_takes_the_place_of_the_one_before(low: Run) -> None:
    first = _accept(low)
    again = ("plan", "correct", "alkalinity", "--to", "8 dKH", "--with", "NaHCO3", "--at",
             "2026-02-01T09:30")  # fmt: skip
    warned = low(*again, "--json").json
    assert warned["notes"][0].startswith("You accepted a correction for this already")
    second = low(*again, "--accept", "--json").json
    assert second["accepted"] == {
        "plan": second["id"], "new": True, "instead_of": [first["id"]],
    }  # fmt: skip
    acts = low("today", "--at", "2026-02-01T10:00", "--json").json["acts"]
    assert [act["plan"] for act in acts if act.get("plan")] == [second["id"]]
    assert low("plan", "show", first["id"], "--json").json["dropped"] is not None


def test_a_plan_that_shares_the_limits_of_another_says_so(low: Run) -> None:
    first = _accept(low)
    other = low("plan", "slip", "dose", "NaHCO3", "60g", "--at", "2026-02-01T10:00", "--json").json
    assert other["verdict"] == "do"
    assert f"({first['id']}," in other["notes"][0]
    assert "share the limits of a day" in other["notes"][0]


def test_no_pour_of_tomorrow_is_done_by_a_second_done_today(low: Run) -> None:
    when = datetime.now(UTC).replace(microsecond=0)
    low("add", "test", "alk", "7.0dKH", "--when", (when - timedelta(hours=1)).isoformat())
    plan = low("plan", "correct", "alkalinity", "--to", "9 dKH", "--with", "NaHCO3", "--days", "3",
               "--at", when.isoformat(), "--accept", "--json").json  # fmt: skip
    pours = [step for step in plan["steps"] if step["kind"] == "dose"]
    assert len(pours) > 1
    # The first is due now or this evening; whichever it is, its number does it.
    assert low("plan", "done", plan["id"], "1").status == 0
    refused = low("plan", "done", plan["id"], "--json")
    assert (refused.status, refused.json["error"]["code"]) == (2, "E-PLAN-STEP")
    early = low("plan", "done", plan["id"], str(len(pours)), "--json").json
    assert any("meant for" in remark for remark in early["remarks"])


def test_a_pour_waits_where_the_water_is_there_already(low: Run) -> None:
    plan = _accept(low)
    for method in ("drop count", "photometer", "titration"):
        low("add", "test", "alk", "8.1dKH", "--method", method, "--when", "2026-02-01T09:10")
    low("add", "test", "alk", "8.1dKH", "--replicate", "2", "--when", "2026-02-01T09:20")
    acts = low("today", "--at", "2026-02-01T10:00", "--json").json["acts"]
    mine = [act["kind"] for act in acts if act.get("plan") == plan["id"]]
    assert mine == ["wait"]


def test_what_was_not_done_as_planned_is_not_held_against_the_plan(low: Run) -> None:
    plan = _accept(low)
    days = [step for step in plan["steps"] if step["kind"] == "dose"]
    low("plan", "done", plan["id"], "1", "--amount", "1g", "--when", AT)
    low("add", "test", "alk", "7.0dKH", "--when", "2026-02-03T09:00")
    shown = low("plan", "show", plan["id"], "--at", "2026-02-20T09:00", "--json").json
    assert {one["verdict"] for one in shown["came"] if one["value"] is not None} == {
        "not done as planned"
    }
    # Nothing of it is left a month later, done or not.
    assert len(days) >= 1
    later = low("today", "--at", "2026-03-05T09:00", "--json").json
    assert [act for act in later["acts"] if act.get("plan") == plan["id"]] == []


def test_another_kind_of_amount_than_was_planned_is_refused(low: Run) -> None:
    plan = _accept(low)
    refused = low("plan", "done", plan["id"], "1", "--amount", "40 mL", "--when", AT, "--json")
    assert (refused.status, refused.json["error"]["code"]) == (2, "E-DIMENSION")
    done = low("plan", "done", plan["id"], "1", "--amount", "0.01 kg", "--when", AT, "--json")
    assert (done.json["value"], done.json["unit"]) == ("0.01", "kg")
