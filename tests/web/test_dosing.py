"""Dosing in the notebook: the same plans as on the command line, accepted and done by touch."""

from __future__ import annotations

import html
import re
import threading
from datetime import timedelta
from typing import Any

import pytest

from brinebook.desk.assess import assess
from brinebook.desk.looking import Chosen, history
from brinebook.desk.opening import open_system
from brinebook.desk.plan_asked import FORMS
from brinebook.timeline import Fact
from tests.conftest import Run
from tests.web.conftest import NOW, Open, Reader, fields_of

_AT = NOW.isoformat()
_STEPS = re.compile(r'id="step-(\d+)"')
_KEPT = re.compile(r"/dosing/kept/([0-9a-f]{8})/drop")


def _doses(book: str) -> list[Fact]:
    return [one.fact for one in history(open_system(book), Chosen(kinds=("dosing", "dose")))]


def _text(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def _plan(run: Run, book: str, *words: str) -> Any:
    outcome = run("--book", book, "plan", *words, "--at", _AT, "--json")
    assert outcome.status == 0, outcome.err
    return outcome.json


@pytest.fixture
def still(reader: Reader) -> Reader:
    """The notebook with its clock stopped: a plan of another second has other digits."""
    reader.client.app.state.notebook.shelf.now = lambda: NOW  # type: ignore[attr-defined]
    return reader


def _tested(run: Run, book: str) -> None:
    """Three tests of the same morning: no other test would change what is to be done."""
    for hour in ("06", "07", "08"):
        words = ("add", "test", "calcium", "415 mg/L", "--when", f"2026-03-10T{hour}:00")
        assert run("--book", book, *words).status == 0


def _accepted(reader: Reader) -> tuple[str, str]:
    """A correction, accepted: the plan's id and the page that it leads to."""
    asked = "dosing/plan/correct?quantity=calcium&to=445+mg/L"
    page = reader.get(asked)
    after = reader.post("dosing/plan/correct", fields_of(page))
    found = _KEPT.search(after)
    assert found is not None
    return found[1], after


def test_the_daily_doses_are_those_of_the_command_line(still: Reader, book: str, run: Run) -> None:
    told = _plan(run, book, "dose")
    page = _text(still.get("dosing/plan/dose"))
    assert told["headline"] in page
    assert all(one["what"] in page for one in told["chances"])
    assert all(note in page for note in told["notes"])


def test_the_page_leads_to_the_daily_doses_without_a_script(reader: Reader) -> None:
    page = reader.get("dosing")
    assert f'href="{reader.url("dosing/plan/dose")}"' in page
    assert f'hx-get="{reader.url("dosing/plan/dose")}"' in page
    part = reader.client.get(reader.url("dosing/plan/dose"), headers={"HX-Request": "true"}).text
    assert "<html" not in part
    assert "<h2>" in part


def test_a_correction_says_steps_chances_and_course_as_on_the_command_line(
    still: Reader, book: str, run: Run
) -> None:
    told = _plan(run, book, "correct", "calcium", "--to", "445 mg/L")
    assert told["steps"]
    page = still.get("dosing/plan/correct?quantity=calcium&to=445+mg/L")
    text = _text(page)
    assert told["headline"] in text
    assert all(step["text"][1:] in text for step in told["steps"])
    assert all(caution["text"] in text for caution in told["cautions"])
    assert 'value="445 mg/L"' in page
    drawn = [one for one in told["courses"] if len(one["points"]) > 1]
    assert page.count('<svg class="course"') == len(drawn) > 0


def test_a_plan_stands_in_dosing_within_the_very_second_of_its_answer(
    still: Reader, book: str, run: Run
) -> None:
    # Answers are as of the next whole second, which the clock hasn't reached yet.
    still.client.app.state.notebook.shelf.now = lambda: NOW + timedelta(seconds=0.4)  # type: ignore[attr-defined]
    _tested(run, book)
    plan, _ = _accepted(still)
    page = still.get("dosing")
    assert "Plans that you accepted" in page
    assert still.url(f"dosing/kept/{plan}") in page


def test_an_accepted_plan_stands_in_today_becomes_a_fact_once_and_is_over(
    reader: Reader, book: str, run: Run
) -> None:
    _tested(run, book)
    before = len(_doses(book))
    plan, page = _accepted(reader)
    assert f"{reader.url(f'dosing/kept/{plan}')}#step-1" in reader.get("today")
    assert "Plans that you accepted" in reader.get("dosing")
    fields = {"token": fields_of(page)["token"], "amount": ""}
    for _ in range(2):
        after = reader.post(f"dosing/kept/{plan}/done/1", fields)
    assert len(_doses(book)) == before + 1
    assert "Done," in _text(after)
    again = reader.post(f"dosing/kept/{plan}/drop", fields)
    assert "Given up." in again
    assert plan not in reader.get("today")


def test_a_plan_asked_for_again_says_what_was_accepted_and_takes_its_place(
    reader: Reader, book: str, run: Run
) -> None:
    _tested(run, book)
    first, _ = _accepted(reader)
    page = reader.get("dosing/plan/correct?quantity=calcium&to=440+mg/L")
    assert "You accepted a correction for this already" in _text(page)
    reader.post("dosing/plan/correct", fields_of(page))
    assert "Given up." in reader.get(f"dosing/kept/{first}")
    assert first not in reader.get("today")


def test_today_leads_from_what_is_low_to_the_plan_that_works_it_out(
    reader: Reader, book: str, run: Run
) -> None:
    for hour in ("06", "07", "08"):
        words = ("add", "test", "calcium", "390 mg/L", "--when", f"2026-03-10T{hour}:00")
        assert run("--book", book, *words).status == 0
    page = reader.get("today")
    path = "dosing/plan/correct?ask=1&amp;quantity=calcium"
    assert f'href="{reader.url(path)}"' in page
    assert "brinebook plan" not in page
    told = reader.get(html.unescape(path))
    assert "calcium" in told
    assert 'role="alert"' not in told


def test_limits_stand_with_their_origin_and_lead_to_where_they_are_set(reader: Reader) -> None:
    text = _text(reader.get("dosing/limits"))
    # The description sets 1 dKH a day; of magnesium it says nothing. Common practice, no source.
    assert "alkalinity 1 dKH (yours) 7.5 to 9 dKH (yours)" in text.lower().replace("dkh", "dKH")
    assert "75 mg/L (common practice, no source; others use 50 to 100 mg/L a day)" in text
    assert "Aragonite saturation in a pour, at most 5 (common practice, no source)" in text
    page = reader.get("dosing/limits")
    assert f'href="{reader.url("system/bands")}?suggest=1"' in page
    assert f'href="{reader.url("dosing/limits")}"' in reader.get("dosing")


def test_every_other_number_of_plans_is_edited_in_a_form_with_what_is_taken_without_it(
    reader: Reader, book: str, run: Run
) -> None:
    page = reader.get("system/planning")
    assert "left empty, 5 (common practice, no source)" in _text(page)
    # Common practice, no source: 420 to 1000 ppm, 2 to 24 hours.
    assert "420 to 1000 ppm" in _text(page)
    assert "2 to 24 h" in _text(page)
    fields = fields_of(page) | {
        "saturation": "4,5", "change_share": "20 %", "air_co2.value": "650 ppm",
        "air_co2.sd": "80 ppm", "pours_per_day": "3",
    }  # fmt: skip
    kept = _text(reader.post("system/planning", fields))
    assert "Aragonite saturation in a pour, at most 4.5 (yours)" in kept
    assert "Water changed at once, at most 20 % (yours)" in kept
    told = run("--book", book, "plan", "limits", "--json").json
    assert (told["saturation"]["value"], told["saturation"]["own"]) == (4.5, True)
    assert told["change_share"]["value"] == pytest.approx(20.0)
    assert (told["air_co2"]["value"], told["air_co2"]["unit"]) == (650.0, "ppm")
    assert (told["pour_gap"]["value"], told["pour_gap"]["own"]) == (3.0, False)
    again = reader.get("system/planning")
    assert fields_of(again)["saturation"] == "4.5"
    # What others use is filled in only where the keeper asks for it, and never over their own.
    filled = fields_of(reader.get("system/planning?suggest=1"))
    assert (filled["pour_gap"], filled["saturation"], filled["air_hours"]) == ("3", "4.5", "")
    reader.post("system/planning", filled)
    told = run("--book", book, "plan", "limits", "--json").json
    assert (told["pour_gap"]["own"], told["mixing_share"]["value"]) == (True, 100.0)
    again = reader.get("system/planning")
    # Emptied, what others use holds again; what can't be is refused beside the form.
    back = reader.post("system/planning", fields_of(again) | {"saturation": ""})
    assert "Aragonite saturation in a pour, at most 5 (common practice, no source)" in _text(back)
    wrong = fields_of(reader.get("system/planning")) | {"saturation": "400"}
    assert "400" in _text(reader.post("system/planning", wrong, status=422))
    assert run("--book", book, "plan", "limits", "--json").json["saturation"]["own"] is False


def test_a_planned_test_asks_for_its_reading_beside_the_step(
    reader: Reader, book: str, run: Run
) -> None:
    _tested(run, book)
    plan, page = _accepted(reader)
    number = _STEPS.findall(page)[-1]  # a correction ends with a test
    fields = {"token": fields_of(page)["token"], "amount": ""}
    asked = reader.post(f"dosing/kept/{plan}/done/{number}", fields, status=400)
    assert "Write down what it read" in asked
    after = reader.post(f"dosing/kept/{plan}/done/{number}", fields | {"amount": "441 mg/L"})
    assert "the fact" in after


def test_a_plan_that_the_book_has_gone_past_is_shown_anew_and_not_accepted(
    reader: Reader, run: Run, book: str
) -> None:
    fields = fields_of(reader.get("dosing/plan/correct?quantity=calcium&to=445+mg/L"))
    assert run("--book", book, "add", "test", "calcium", "405 mg/L", "--when",
               "2026-03-10T09:00").status == 0  # fmt: skip
    page = reader.post("dosing/plan/correct", fields, status=409)
    assert "it was not accepted" in page
    assert "Plans that you accepted" not in reader.get("dosing")


def test_no_amount_is_told_from_an_answer_that_the_book_has_gone_past(
    reader: Reader, run: Run, book: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = "dosing/plan/correct?quantity=calcium&to=445+mg/L"
    fields = fields_of(reader.get(asked))
    ready = threading.Event()

    def held_back(*words: Any, **more: Any) -> Any:
        assert ready.wait(timeout=300)
        return assess(*words, **more)

    monkeypatch.setattr("brinebook.desk.shelf.assess", held_back)
    monkeypatch.setattr("brinebook.desk.shelf.WAIT_SECONDS", 0.0)
    _tested(run, book)
    try:
        for page in (
            reader.get(asked),
            reader.client.get(reader.url("dosing/plan/dose"), headers={"HX-Request": "true"}).text,
            reader.post("dosing/plan/correct", fields),
        ):
            assert "this is being worked out anew" in page
            assert "What to do" not in page
        assert "Plans that you accepted" not in reader.get("dosing")
    finally:
        ready.set()
    monkeypatch.setattr("brinebook.desk.shelf.WAIT_SECONDS", 300.0)
    assert "What to do" in reader.get(asked)


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("correct?quantity=cheese&to=1", "cheese"),
        ("correct?to=8+dKH", "needs the field"),
        ("correct?quantity=calcium&days=lots", "from 1 to 14"),
        ("change?quantity=nitrate&amount=so+much", "so much"),
    ],
)
def test_what_cannot_be_planned_is_said_beside_the_form_as_it_was_filled(
    reader: Reader, path: str, says: str
) -> None:
    answer = reader.client.get(reader.url(f"dosing/plan/{path}"))
    assert answer.status_code in {400, 422}
    assert says in _text(answer.text)
    assert "<form" in answer.text


def test_a_page_names_its_own_fields_and_no_option_of_the_command_line(
    empty_book: str, open_at: Open
) -> None:
    reader = open_at(empty_book)
    page = _text(reader.client.get(reader.url("dosing/plan/dose")).text)
    assert "Nothing is known of alkalinity here" in page
    assert "“Where the level stands” and “Net volume”" in page
    assert "Not written down yet" not in page
    for kind in FORMS:
        assert "--" not in _text(reader.client.get(reader.url(f"dosing/plan/{kind}?ask=1")).text)


def test_a_water_change_answers_where_the_habit_leads(still: Reader, book: str, run: Run) -> None:
    told = _plan(run, book, "change", "nitrate", "--amount", "10 %", "--every", "7")
    page = still.get("dosing/plan/change?quantity=nitrate&amount=10+%25&every=7")
    assert told["headline"] in _text(page)


def test_a_guest_who_only_reads_sees_plans_and_can_accept_none(book: str, open_at: Open) -> None:
    reader = open_at(book, read_only=True)
    page = reader.get("dosing/plan/correct?quantity=calcium&to=445+mg/L")
    assert "What to do" in page
    assert 'method="post"' not in page
    sent = reader.client.post(reader.url("dosing/plan/correct"), data={"plan": "00000000"})
    assert sent.status_code == 403


def test_a_plan_or_step_that_is_none_is_said_so(reader: Reader) -> None:
    assert reader.client.get(reader.url("dosing/plan/tea")).status_code == 404
    assert reader.client.get(reader.url("dosing/kept/00000000")).status_code == 404


def test_what_came_a_week_later_stands_against_what_was_expected(
    reader: Reader, book: str, run: Run
) -> None:
    _tested(run, book)
    plan, page = _accepted(reader)
    numbers = _STEPS.findall(page)
    token = {"token": fields_of(page)["token"]}
    for number in numbers[:-1]:
        reader.post(f"dosing/kept/{plan}/done/{number}", token | {"amount": ""})
    assert "To come" in reader.get("dosing")  # the test that ends it
    later = NOW + timedelta(days=len(numbers))
    reader.client.app.state.notebook.shelf.now = lambda: later  # type: ignore[attr-defined]
    reader.post(f"dosing/kept/{plan}/done/{numbers[-1]}", token | {"amount": "443 mg/L"})
    week = NOW + timedelta(days=8)
    reader.client.app.state.notebook.shelf.now = lambda: week  # type: ignore[attr-defined]
    text = _text(reader.get(f"dosing/kept/{plan}"))
    came = text.partition("Expected, and what came")[2]
    assert "calcium" in came.lower()
    assert "mg/L" in came
    told = run("--book", book, "plan", "show", plan, "--at", week.isoformat(), "--json").json
    assert told["came"]
    assert not told["open"]
    assert plan not in reader.get("today")
