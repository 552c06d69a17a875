"""Writing things down by forms alone: every page, the questions, and never twice."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from brinebook.desk.looking import Chosen, history
from brinebook.desk.opening import open_system
from brinebook.timeline import Fact
from tests.web.conftest import Open, Reader, fields_of


def _facts(address: str, kind: str = "") -> list[Fact]:
    opened = open_system(address)
    kinds = (kind,) if kind else ()
    return [one.fact for one in history(opened, Chosen(kinds=kinds))]


def _last(address: str, kind: str) -> Fact:
    return _facts(address, kind)[-1]


def test_a_test_is_written_down_with_its_usual_method_and_unit(reader: Reader, book: str) -> None:
    page = reader.enter("test", query="?what=alkalinity", value="8.1")
    fact = _last(book, "test")
    assert "Written down" in page
    assert (fact.what, fact.value, fact.unit) == ("alkalinity", "8.1", "dKH")
    assert dict(fact.detail) == {"method": "drop count", "lot": "A1"}
    assert abs((fact.when - datetime(2026, 3, 10, 9, 30, tzinfo=UTC)).total_seconds()) < 60


def test_the_quantity_tested_last_stands_ready_with_its_last_value_in_grey(reader: Reader) -> None:
    page = reader.get("enter/test?what=calcium")
    assert 'placeholder="430"' in page
    assert "Last: 430 mg/L" in page


@pytest.mark.parametrize(("typed", "kept"), [("8,1", "8.1"), ("8.1", "8.1"), (" 8,10 ", "8.10")])
def test_a_comma_is_as_good_as_a_point(reader: Reader, book: str, typed: str, kept: str) -> None:
    reader.enter("test", query="?what=alkalinity", value=typed)
    assert _last(book, "test").value == kept


def test_a_reading_off_the_scale_stays_one(reader: Reader, book: str) -> None:
    reader.enter("test", query="?what=nitrate", value="2", sign="<")
    assert _last(book, "test").value == "<2"


def test_what_cannot_be_a_number_comes_back_with_what_was_typed(reader: Reader, book: str) -> None:
    before = len(_facts(book))
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "eight"}
    page = reader.post("enter/test", fields, status=400)
    assert 'value="eight"' in page
    assert "Not written down yet." in page
    assert len(_facts(book)) == before


@pytest.mark.parametrize("page", ["test?what=alkalinity", "dose?what=carbonate+solution", "feed"])
def test_a_save_without_a_number_says_so(reader: Reader, book: str, page: str) -> None:
    before = len(_facts(book))
    fields = reader.fields(f"enter/{page}")
    told = reader.post(f"enter/{page.partition('?')[0]}", fields, status=400)
    assert "No number was typed." in told
    assert len(_facts(book)) == before


def test_what_is_refused_names_no_command_to_type(reader: Reader) -> None:
    fields = reader.fields("enter/test?what=alkalinity")
    pages = [reader.post("enter/test", fields | {"value": typed}, status=400)
             for typed in ("", "eight", "82", "8.1 \x01")]  # fmt: skip
    pages.append(reader.get("fact/nothing", status=404))
    assert not [page for page in pages if "brinebook " in page.partition("<main")[2]]


def test_a_value_outside_the_physical_range_is_refused(reader: Reader, book: str) -> None:
    before = len(_facts(book))
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "820"}
    reader.post("enter/test", fields, status=400)
    assert len(_facts(book)) == before


def test_the_same_form_sent_twice_is_written_once(reader: Reader, book: str) -> None:
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "8.1"}
    reader.post("enter/test", fields)
    before = len(_facts(book))
    page = reader.post("enter/test", fields | {"value": "8.4"})
    assert "written down before" in page
    assert len(_facts(book)) == before


def test_this_morning_is_now_before_its_hour_has_come(book: str, open_at: Open) -> None:
    early = open_at(book, at=datetime(2026, 3, 10, 6, 10, tzinfo=UTC))
    early.enter("test", query="?what=alkalinity", value="8.1", when="this morning")
    assert _last(book, "test").when.hour == 6


def test_last_evening_is_one_touch(reader: Reader, book: str) -> None:
    reader.enter("test", query="?what=nitrate", value="9", when="yesterday evening")
    # Eight in the evening of the day before, in Lisbon, which keeps UTC in March (tz database).
    assert datetime(2026, 3, 9, 20, tzinfo=UTC) in {one.when for one in _facts(book, "test")}


def test_past_midnight_the_evening_before_is_offered_once_it_is_saved(
    book: str, open_at: Open
) -> None:
    late = open_at(book, at=datetime(2026, 3, 10, 1, 10, tzinfo=UTC))
    page = late.enter("test", query="?what=nitrate", value="9")
    assert "past midnight" in page
    path = re.search(r'action="(/s/[^"]+/last-evening)"', page)
    assert path is not None
    late.client.post(path[1], data=fields_of(page))
    assert datetime(2026, 3, 9, 20, tzinfo=UTC) in {one.when for one in _facts(book, "test")}


def test_a_sitting_is_saved_as_a_whole_or_not_at_all(reader: Reader, book: str) -> None:
    before = len(_facts(book))
    fields = reader.fields("enter/sitting")
    typed = {"value.alkalinity": "8,1", "value.calcium": "x", "value.nitrate": "9"}
    page = reader.post("enter/sitting", fields | typed, status=400)
    assert 'value="8,1"' in page
    assert len(_facts(book)) == before
    reader.post("enter/sitting", fields | typed | {"value.calcium": "425"})
    assert len(_facts(book)) == before + 3


def test_an_empty_sitting_says_so(reader: Reader) -> None:
    page = reader.post("enter/sitting", reader.fields("enter/sitting"), status=400)
    assert "No number was typed." in page


@pytest.mark.parametrize(
    ("page", "typed", "fact"),
    [
        ("dose?what=carbonate+solution", {"value": "30"},
         ("dose", "carbonate solution", "30", "mL")),
        ("dose", {"value": "12,5 g", "other": "NaHCO3"}, ("dose", "NaHCO3", "12.5", "g")),
        ("dosing?what=carbonate+solution", {"value": "65"},
         ("dosing", "carbonate solution", "65", "mL/day")),
        ("level?what=carbonate+solution", {"value": "420"},
         ("level", "carbonate solution", "420", "mL")),
        ("water-change", {"value": "40", "unit": "L"},
         ("water_change", "house mix", "40", "L")),
        ("water-change", {"value": "12", "unit": "%"},
         ("water_change", "house mix", "12", "%")),
        ("top-off", {"value": "3,5"}, ("top_off", "", "3.5", "L")),
        ("removed", {"value": "2"}, ("removed", "", "2", "L")),
        ("feed", {"value": "1,2"}, ("feed", "flakes", "1.2", "g")),
        ("feed", {"portion": "flakes|1.5|g"}, ("feed", "flakes", "1.5", "g")),
        ("media?what=ferric", {"value": "100", "flow": "60"}, ("media", "ferric", "100", "g")),
        ("harvest", {"value": "80", "other": "chaetomorpha"},
         ("harvest", "chaetomorpha", "80", "g")),
        ("chore", {"chore": "rinse the filter socks"},
         ("done", "rinse the filter socks", "", "")),
        ("chore", {"what": "brush the pane"}, ("done", "brush the pane", "", "")),
        ("event", {"what": "livestock", "text": "two snails"}, ("event", "livestock", "", "")),
        ("note", {"text": "the corals look pale"}, ("note", "", "", "")),
    ],
)  # fmt: skip
def test_every_entry_page_writes_its_fact(
    reader: Reader,
    book: str,
    page: str,
    typed: dict[str, str],
    fact: tuple[str, str, str, str],
) -> None:
    name, _, what = page.partition("?")
    assert "Written down" in reader.enter(name, query=f"?{what}", **typed)
    found = _last(book, fact[0])
    assert (found.kind, found.what, found.value, found.unit) == fact


def test_a_water_change_shows_litres_and_share_of_the_volume(reader: Reader) -> None:
    page = reader.enter("water-change", value="30", unit="L")
    share = re.search(r"30 L is ([\d.]+) % of the net volume", page)
    assert share is not None
    assert 8 < float(share[1]) < 12  # of 310 ± 25 L


def test_what_was_measured_of_new_water_is_kept_in_the_canonical_unit(
    reader: Reader, book: str
) -> None:
    reader.enter("water-change", value="30", unit="L", alkalinity="8,4", salinity="35")
    detail = _last(book, "water_change").detail
    # 1 meq/L is 2.80385 dKH, as docs/contract.md fixes it.
    assert float(detail["alkalinity"]) == pytest.approx(8.4 / 2.80385, rel=1e-5)
    assert float(detail["salinity"]) == 35.0


def _far(reader: Reader, value: str, **more: str) -> str:
    fields = reader.fields("enter/test?what=alkalinity") | {"value": value} | more
    return reader.post("enter/test", fields)


def test_a_slip_of_the_decimal_point_is_offered_as_a_button(reader: Reader, book: str) -> None:
    reader.get("today")  # the answer that says what to expect
    before = len(_facts(book))
    page = _far(reader, "0.82")
    assert "One question" in page
    assert "I meant 8.2 dKH" in page
    assert len(_facts(book)) == before
    sent = fields_of(page) | {"meant": "8.2 dKH"}
    assert "Written down" in reader.post("enter/test", sent)
    assert (_last(book, "test").value, _last(book, "test").unit) == ("8.2", "dKH")


def test_a_reading_that_can_not_be_comes_back_with_what_was_probably_meant(
    reader: Reader, book: str
) -> None:
    reader.get("today")
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "82"}
    page = reader.post("enter/test", fields, status=400)
    assert "I meant 8.2 dKH" in page
    reader.post("enter/test", fields_of(page) | {"meant": "8.2 dKH"})
    assert (_last(book, "test").value, _last(book, "test").unit) == ("8.2", "dKH")


def test_what_was_typed_can_be_kept_as_typed(reader: Reader, book: str) -> None:
    reader.get("today")
    page = _far(reader, "0.82")
    reader.post("enter/test", fields_of(page) | {"asked": "yes"})
    assert _last(book, "test").value == "0.82"


def test_ten_entries_pass_before_the_next_question(reader: Reader, book: str) -> None:
    reader.get("today")
    assert "One question" in _far(reader, "0.82")
    assert "Written down" in _far(reader, "0.83")
    for number in range(9):
        reader.enter("note", text=f"note {number}")
    assert "One question" in _far(reader, "0.84")


def test_what_was_dismissed_twice_is_not_asked_again_for_a_month(reader: Reader, book: str) -> None:
    reader.get("today")
    for value in ("0.82", "0.83"):
        page = _far(reader, value)
        assert "One question" in page
        reader.post("enter/test", fields_of(page) | {"asked": "yes"})
        for number in range(10):
            reader.enter("note", text=f"{value} {number}")
    assert "Written down" in _far(reader, "0.84")


def test_the_same_dose_minutes_apart_is_asked_about(reader: Reader, book: str) -> None:
    typed = {"value": "30"}
    reader.enter("dose", query="?what=carbonate+solution", **typed)
    for number in range(9):
        reader.enter("note", text=f"note {number}")
    before = len(_facts(book, "dose"))
    page = reader.enter("dose", query="?what=carbonate+solution", **typed)
    assert "was written down for" in page
    reader.post("enter/dose", fields_of(page) | {"asked": "same"})
    assert len(_facts(book, "dose")) == before
    reader.post("enter/dose", fields_of(page) | {"asked": "yes"})
    assert len(_facts(book, "dose")) == before + 1


def test_what_was_fed_today_shows_when_and_by_whom(reader: Reader) -> None:
    page = reader.get("enter/feed")
    assert "flakes, 1.5 g</button>" in page
    reader.enter("feed", value="2", by="Ada")
    page = reader.get("enter/feed")
    assert "flakes, 2 g (09:30 by Ada)</button>" in page
    assert "Last: 2 g, today, 09:30 by Ada." in page


def test_exchanged_calcium_and_magnesium_are_put_right_with_one_touch(
    reader: Reader, book: str
) -> None:
    reader.get("today")
    fields = reader.fields("enter/sitting")
    typed = {"value.calcium": "1320", "value.magnesium": "420"}
    page = reader.post("enter/sitting", fields | typed)
    assert "are exchanged" in page
    swap = re.search(r'name="swap" value="([^"]+)"', page)
    assert swap is not None
    reader.post("enter/sitting", fields_of(page) | {"swap": swap[1]})
    lately = {fact.what: fact.value for fact in _facts(book, "test")[-2:]}
    assert lately == {"calcium": "420", "magnesium": "1320"}


def test_a_form_of_somebody_else_writes_nothing(reader: Reader, book: str) -> None:
    before = len(_facts(book))
    fields = reader.fields("enter/test?what=alkalinity") | {"value": "8.1", "token": "0" * 64}
    page = reader.post("enter/test", fields, status=403)
    assert "doesn&#39;t belong to this visit" in page
    assert len(_facts(book)) == before


def test_an_empty_book_takes_its_first_test(empty_book: str, open_at: Open) -> None:
    reader = open_at(empty_book)
    assert "nothing is known" in reader.get("today").lower()
    reader.enter("test", query="?what=alkalinity", value="8,1")
    assert [fact.value for fact in _facts(empty_book, "test")] == ["8.1"]
