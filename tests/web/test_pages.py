"""What the pages show: the newest answer or that there is a newer one, figures, sheets, systems."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from brinebook.cli.main import main
from brinebook.desk.assess import assess
from tests.conftest import SYSTEM_TOML
from tests.web.conftest import NOW, Open, Reader, fields_of


def _add(book: str, *words: str) -> None:
    assert main(["--book", book, "add", *words]) == 0


class _Gate:
    """An answer that is held back until it is let go: no clock decides what a page says."""

    def __init__(self) -> None:
        self.ready = threading.Event()

    def __call__(self, *more: Any, **others: Any) -> object:
        assert self.ready.wait(timeout=300)
        return assess(*more, **others)


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[_Gate]:
    """Every answer from here on waits at it, and no page waits for an answer."""
    found = _Gate()
    monkeypatch.setattr("brinebook.desk.shelf.assess", found)
    monkeypatch.setattr("brinebook.desk.shelf.WAIT_SECONDS", 0.0)
    monkeypatch.setattr("brinebook.desk.shelf.FIRST_WAIT_SECONDS", 0.05)
    yield found
    found.ready.set()


def test_a_fact_from_the_command_line_is_in_the_next_page(reader: Reader, book: str) -> None:
    before = reader.get("today")
    assert "As of Tue 10 March, 09:30." in before
    _add(book, "test", "nitrate", "14 mg/L", "--when", "2026-03-10T09:00")
    after = reader.get("water")
    nitrate = after.partition("/water/nitrate")[2].partition("</li>")[0]
    assert "today" in nitrate
    assert "Something was written since" not in after


def test_an_answer_that_the_book_has_gone_past_is_never_shown_in_silence(
    reader: Reader, book: str, request: pytest.FixtureRequest
) -> None:
    reader.get("today")
    gate: _Gate = request.getfixturevalue("gate")
    _add(book, "test", "nitrate", "14 mg/L", "--when", "2026-03-10T09:00")
    page = reader.get("today")
    # Told before anything that it doesn't know is said.
    told, before, rest = page.partition("Something was written since")
    assert before
    assert "<h1" not in told
    assert "<h1" in rest
    for path in ("why/alkalinity", "water", "water/alkalinity", "balance", "volume"):
        assert "Something was written since" in reader.get(path)
    asked = re.search(r'hx-get="([^"]*as-of[^"]*)"', page)
    assert asked is not None
    gate.ready.set()
    told = ""
    for _ in range(100):
        told = reader.client.get(asked[1].replace("&amp;", "&")).text
        if "A newer answer is ready" in told:
            break
        time.sleep(0.3)
    assert "A newer answer is ready" in told
    assert "Something was written since" not in reader.get("today")


@pytest.mark.usefixtures("gate")
def test_the_first_answer_of_all_is_waited_for_on_a_page(book: str, open_at: Open) -> None:
    reader = open_at(book)
    assert "is being worked out" in reader.get("today")
    part = reader.client.get(reader.url("why/calcium"), headers={"HX-Request": "true"}).text
    assert "is being worked out" in part
    assert "<html" not in part


def test_an_old_answer_is_renewed_as_time_goes_by(reader: Reader) -> None:
    app = reader.client.app
    kept = app.state.notebook.shelf  # type: ignore[attr-defined]
    row = kept.systems()[0]
    first = kept.standing(row, wait=60).told.at
    clock = kept.now
    kept.now = lambda: clock() + timedelta(hours=2)
    assert kept.standing(row, wait=60).told.at - first >= timedelta(hours=2)


def test_a_figure_says_in_words_and_numbers_what_it_draws(reader: Reader) -> None:
    page = reader.get("water/alkalinity")
    assert re.search(r"Alkalinity over 47 days, in dKH: \d+ sound tests from 7\.9 to 8\.1\.", page)
    assert "Your band is 7.5 to 9." in page
    data = reader.client.get(reader.url("chart/alkalinity")).json()
    assert data["unit"] == "dKH"
    assert len(data["tests"]["t"]) == len(data["tests"]["k"]) == 20
    assert data["band"] == [7.5, 9.0]
    assert len(data["ahead"]["t"]) == 8
    assert all(low <= value <= high for low, value, high in zip(
        data["line"]["lo"], data["line"]["v"], data["line"]["hi"], strict=True
    ))  # fmt: skip


def test_a_corrected_test_leaves_a_small_cross(reader: Reader) -> None:
    page = reader.enter("test", query="?what=alkalinity", value="8.1")
    path = page.partition("/fact/")[2].partition("/")[0]
    reader.post(f"fact/{path}", reader.fields(f"fact/{path}") | {"amount": "8.3 dKH"})
    data = reader.client.get(reader.url("chart/alkalinity")).json()
    crosses = [data["tests"]["v"][place] for place, kind in enumerate(data["tests"]["k"])
               if kind == "2"]  # fmt: skip
    assert crosses == [8.1]


@pytest.mark.parametrize("days", [1, 7, 30, 90, 365, 0])
def test_every_span_has_a_figure_under_20_kilobytes(reader: Reader, days: int) -> None:
    answer = reader.client.get(reader.url(f"chart/alkalinity?days={days}"))
    assert answer.status_code == 200
    assert len(answer.content) < 20_000


def test_the_carbonate_state_follows_with_its_own_intervals(reader: Reader) -> None:
    assert "Without a pH test" in reader.get("water")
    reader.enter("test", query="?what=ph", value="8.1")
    page = reader.get("water")
    assert "saturation of aragonite" in page
    assert "CO₂ pressure of the water" in page


def test_a_sheet_is_ruled_and_closes(reader: Reader) -> None:
    page = reader.get("balance?what=alkalinity&since=2026-02-10&until=2026-03-01")
    for line in ("there at the start", "carbonate solution", "used by the reef",
                 "remainder that nothing explains", "there at the end"):  # fmt: skip
        assert line in page


@pytest.mark.parametrize(
    "query", ["since=x", "since=2026-03-20&until=2026-03-21", "until=1990-02-01"]
)
def test_a_period_that_can_not_be_is_said(reader: Reader, query: str) -> None:
    assert 'role="alert"' in reader.get(f"balance?{query}")


def test_a_verdict_settles_a_doubtful_test(reader: Reader, book: str) -> None:
    _add(book, "test", "alk", "11 dKH", "--when", "2026-03-08T19:00")
    _add(book, "test", "alk", "8 dKH", "--when", "2026-03-09T19:00")
    page = reader.get("balance")
    assert "Tests not to believe" in page
    doubt = page.partition('id="doubts"')[2]
    sent = fields_of(doubt) | {"says": "wrong"}
    assert "Written down" in reader.post("verdict", sent)
    assert "says wrong" in reader.get("log?kind=verdict")
    after = reader.get("balance").partition('id="doubts"')[2]
    assert 'value="wrong"' not in after.partition("</ul>")[0]


def test_what_a_verdict_settles_is_asked_by_its_name_beside_the_buttons(reader: Reader) -> None:
    # A question above it may have the opposite answer: “Has the bottle gone down?”, and “was it
    # dosing that doesn't arrive?”.
    question = "Was it another volume than believed?"
    asked = reader.get("today").partition(question)[2]
    form = asked.partition("</form>")[0]
    assert "yes, it was" in form
    assert "no, it wasn&#39;t" in form
    sent = fields_of(asked) | {"says": "no"}
    for _ in range(2):  # a double tap
        assert "Written down" in reader.post("verdict", sent)
    assert reader.get("log?kind=verdict").count("says no") == 1
    assert question not in reader.get("today")


def test_the_log_pages_back_and_finds_words(reader: Reader) -> None:
    page = reader.get("log")
    assert "Older" in page
    older = re.search(r'href="[^"]*/log\?([^"]*before=[^"]*)"', page)
    assert older is not None
    assert "Older" not in reader.get(f"log?{older[1].replace('&amp;', '&')}")
    found = reader.get("log?find=filter+SOCKS")
    assert "6 entries" in found
    assert "Nothing like that" in reader.get("log?find=zzzz")


def test_what_was_taken_back_is_listed_apart(reader: Reader) -> None:
    page = reader.enter("note", text="a slip of the pen")
    path = page.partition("/fact/")[2].partition("/")[0]
    reader.post(f"fact/{path}/undo", fields_of(page))
    assert "a slip of the pen" not in reader.get("log")
    assert "a slip of the pen" in reader.get("log?undone=1")
    reader.post(f"fact/{path}/restate", reader.fields(f"fact/{path}"))
    assert "a slip of the pen" in reader.get("log")


def test_several_systems_in_one_book_have_one_switch(
    book: str, open_at: Open, tmp_path: Path
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(SYSTEM_TOML.replace("Lantern Shelf", "Cellar Rock"), encoding="utf-8")
    assert main(["--book", book, "new", "--system", str(other), "--also"]) == 0
    reader = open_at(book)
    page = reader.client.get("/").text
    assert "Another system" in page
    ids = re.findall(r'<option value="(\w{16})"', page)
    assert len(ids) == 2
    pages = [reader.client.get(f"/go?system={one}").text for one in ids]
    assert {re.search(r'<p class="system[^>]*>([^<]*)', page)[1] for page in pages} == {  # type: ignore[index]
        "Lantern Shelf", "Cellar Rock"
    }  # fmt: skip
    assert all(re.search(f'value="{one}" selected', page)
               for one, page in zip(ids, pages, strict=True))  # fmt: skip


def test_the_systems_own_zone_governs_and_is_said(reader: Reader) -> None:
    assert "Times are those of Europe/Lisbon." in reader.get("today")
    assert NOW.hour == 9  # and Lisbon keeps UTC in March (tz database)
