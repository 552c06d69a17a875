"""The demo is what its script makes, says that it is invented, and tells the story of its page."""

from __future__ import annotations

import csv
import io
import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from brinebook.demo import MARK, history_csv, system_toml
from scripts.make_demo import make
from tests.simulated.case import HEADER, Case, write_history

PAGE = Path(__file__).resolve().parents[2] / "docs" / "demo.md"


@pytest.fixture(scope="module")
def story() -> Case:
    return make()


def rows() -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(history_csv())))


def test_the_history_is_what_the_script_makes(story: Case, tmp_path: Path) -> None:
    write_history(tmp_path / "history.csv", story.history)
    assert history_csv() == (tmp_path / "history.csv").read_text(encoding="utf-8")


def test_both_files_say_that_they_are_invented() -> None:
    assert MARK in tomllib.loads(system_toml())["name"]
    assert system_toml().startswith("# INVENTED DATA")
    first_note = next(row for row in rows() if row["kind"] == "note")
    assert "Invented data" in first_note["detail"]


def test_fourteen_months_of_most_kinds_of_facts() -> None:
    facts = rows()
    assert tuple(facts[0]) == HEADER
    assert 700 <= len(facts) <= 1000
    whens = [datetime.fromisoformat(row["when"]) for row in facts]
    assert timedelta(days=420) < max(whens) - min(whens) < timedelta(days=428)
    assert max(whens) < datetime.now(UTC)
    kinds = {row["kind"] for row in facts}
    assert kinds >= {"test", "dose", "dosing", "water_change", "level", "feed", "media", "harvest",
                     "done", "event", "note"}  # fmt: skip


def test_every_name_in_the_history_is_in_the_description() -> None:
    system = tomllib.loads(system_toml())
    additives = {each["name"] for each in system["additives"]}
    mixes = {each["name"] for each in system["mixes"]}
    methods = {(each["name"], each["quantity"]) for each in system["methods"]}
    references = {each["name"] for each in system["references"]}
    for row in rows():
        detail = dict(pair.split("=", 1) for pair in row["detail"].split(";") if pair)
        if row["kind"] == "dosing":
            assert row["what"] in additives
        if row["kind"] == "level":
            assert row["what"] in additives | {"top-off"}
        if row["kind"] == "water_change":
            assert row["what"] in mixes | {""}
        if row["kind"] == "test":
            assert (detail["method"], row["what"]) in methods
            assert detail.get("of", "kitchen standard") in references


def test_the_page_tells_the_truth_of_the_story(story: Case) -> None:
    truth, page = story.truth, PAGE.read_text(encoding="utf-8")
    assert f"{truth.net_volume:g} L" in page
    assert f"{truth.believed_volume:g} L" in page
    assert {round(1000 * factor) for factor in truth.pump_factors.values()} == {965, 1020}
    event = truth.unlogged[0]
    assert f"{event.start.day} {event.start:%B %Y}" in page
    assert 2.80385 * event.change["alkalinity"] == pytest.approx(0.7, abs=0.05)
    assert event.change["nitrate"] == pytest.approx(-6.0, abs=0.5)
    for wrong in truth.wrong_tests:
        row = story.history[wrong.row]
        day = row.instant
        assert f"| {day.day} {day:%B %Y} | {row.what} {row.value} {row.unit} |" in page
    assert len(truth.wrong_tests) == 3


def test_the_story_ends_calmly(story: Case) -> None:
    bands = tomllib.loads(system_toml())["bands"]
    for quantity, factor in (("alkalinity", 2.80385), ("calcium", 1.0), ("phosphate", 1.0)):
        low, high = (float(text.split()[0]) for text in bands[quantity])
        assert low <= story.truth.concentration[quantity][-1] * factor <= high
