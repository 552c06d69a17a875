"""Today over invented books: what comes first, what is never said, ranges and ages."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from brinebook.balance.answer import Answer
from brinebook.report.answer_text import today_lines
from brinebook.report.shown import shown_units
from brinebook.report.today import Today, today
from brinebook.report.today_json import today_json
from tests.report import books
from tests.report.books import Story

LONDON = ZoneInfo("Europe/London")
BOOKS: list[Callable[[], Story]] = [
    books.quiet, books.cycling, books.stopped, books.doubtful, books.leaking, books.drier,
    books.stuffy, books.tired, books.new_bottle, books.tenfold, books.forgotten, books.fallen_out,
    books.hot, books.poisoned, books.off_standard, books.abandoned,
]  # fmt: skip

#: Words that promise, judge, blame or shout, and what the three told screens must not say.
NEVER = re.compile(
    r"\b(optimal|perfect|guaranteed|safe|ideal|must|your corals need|critical|you forgot|score|"
    r"streak|cycle complete|add fish|as an AI)\b|!",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Read:
    """A book read once: the story, the answer, the page and the screen."""

    story: Story
    told: Answer
    page: Today
    lines: list[str]


def read(story: Story) -> Read:
    units = shown_units(story.system, story.facts)
    told = story.told()
    page = today(told, LONDON, units, system=story.system, facts=story.facts)
    return Read(story, told, page, today_lines(told, page, LONDON, units, story.system.name))


@functools.cache
def of(book: Callable[[], Story]) -> Read:
    return read(book())


def page_of(book: Callable[[], Story]) -> Today:
    return of(book).page


def spoken(page: Today) -> str:
    acts = [f"{act.text} {act.why}" for act in page.acts]
    causes = [
        f"{cause.speaks_for} {cause.speaks_against} {cause.tell_apart}"
        for each in page.explanations
        for cause in each.causes
    ]
    return " ".join([page.headline, *acts, *page.sentences, page.next_sentence, *causes])


@pytest.mark.parametrize("book", BOOKS)
def test_nothing_promises_judges_or_shouts(book: Callable[[], Story]) -> None:
    assert NEVER.findall(spoken(page_of(book))) == []


@pytest.mark.parametrize("book", BOOKS)
def test_it_is_one_screen_of_78_columns(book: Callable[[], Story]) -> None:
    lines = of(book).lines
    assert len(lines) <= 40
    assert max(len(line) for line in lines) <= 78


@pytest.mark.parametrize("book", BOOKS)
def test_there_is_one_headline_and_at_most_two_acts_are_tests(book: Callable[[], Story]) -> None:
    page = page_of(book)
    assert page.headline.endswith((".", "?"))
    assert sum(act.kind == "test" for act in page.acts) <= 2
    about = [act.about for act in page.acts]
    assert len(set(about)) == len(about)


@pytest.mark.parametrize("book", BOOKS)
def test_no_dose_is_named_and_none_rests_on_a_doubtful_reading(book: Callable[[], Story]) -> None:
    page = page_of(book)
    suspect = {each.quantity for each in of(book).told.suspects}
    for act in page.acts:
        assert act.kind not in ("dose", "correct") or act.about not in suspect
    raising = [act for act in page.acts if act.text.startswith("Bring")]
    retests = {act.about for act in page.acts if act.kind in ("retest", "check") and act.asks}
    assert not {act.about for act in raising} & retests


@pytest.mark.parametrize("book", BOOKS)
def test_no_text_of_the_json_is_empty(book: Callable[[], Story]) -> None:
    answer = today_json(of(book).told, page_of(book))
    assert answer["headline"]
    for act in answer["acts"]:  # type: ignore[attr-defined]
        assert act["text"]
        assert act["why"]
    for each in answer["explanations"]:  # type: ignore[attr-defined]
        for cause in each["causes"]:
            assert cause["for"]
            assert cause["against"]
            assert cause["tell_apart"]
    for test in answer["next_tests"]:  # type: ignore[attr-defined]
        assert test["why"]


def test_a_calm_page_says_that_nothing_is_needed_and_how_old_that_is() -> None:
    page = page_of(books.quiet)
    assert page.headline == "Nothing needs you today (alkalinity tested yesterday)."
    assert all(act.by > page.at + timedelta(hours=15) for act in page.acts)
    main = page.sentences[0]
    assert re.search(r"Alkalinity is about 8\.\d dKH \(7\.\d to 8\.\d\), steady", main)
    assert "dosing brings the same" in main


def test_a_quantity_long_untested_is_a_range_with_its_age_and_never_one_number() -> None:
    page = page_of(books.quiet)
    said = next(act.why for act in page.acts if "phosphate" in act.text)
    assert re.fullmatch(
        r"Phosphate was last tested 20 days ago: 0\.\d\d to 0\.\d\d mg/L is all I can say\.", said
    )


def test_a_calm_page_is_not_earned_by_old_tests() -> None:
    story = books.quiet()
    story.now = books.NOW + timedelta(days=7)
    page = read(story).page
    assert "Nothing needs you" not in page.headline


def test_a_new_tank_is_told_to_wait_with_the_noise_and_the_nitrate_beside_it() -> None:
    page = page_of(books.cycling)
    assert page.headline == "Wait: don't dose yet."
    why = page.acts[0].why
    assert page.acts[0].kind == "wait"
    assert "0.4 dKH in 12 days" in why
    assert "noise of tests" in why
    assert "nitrate" in why
    said = " ".join(page.sentences)
    assert "below what your kit can see" in said
    assert "not proof" in said
    assert "180 ± 20 L" in said


def test_a_split_line_is_checked_before_anything_is_dosed() -> None:
    page = page_of(books.stopped)
    first = page.acts[0]
    assert first.kind == "check"
    assert page.headline == "Check the line of the carbonate solution before you dose anything."
    assert "fell from 8.4 to 6.8 dKH in 3 days" in first.why
    assert "Likeliest is dosing that doesn't arrive (about" in first.why
    assert re.search(
        r"should have gone down about 1[678]0 mL since Wednesday\. Has it\?", first.why
    )
    assert "don't raise the dose" in first.why
    assert first.asks
    assert not any(act.text.startswith("Bring alkalinity") for act in page.acts)


def test_a_doubtful_newest_test_is_made_again_before_it_is_acted_on() -> None:
    page = page_of(books.doubtful)
    assert page.acts[0].kind == "retest"
    assert page.headline == "Test alkalinity again before you act on 6.9 dKH."
    assert not any(act.text.startswith("Bring") for act in page.acts)


def test_pH_that_fell_with_the_rooms_air_is_not_dosed_for() -> None:
    page = page_of(books.stuffy)
    assert page.headline == "Don't dose for pH."
    assert page.acts[0].kind == "wait"
    assert "ppm of CO2" in page.acts[0].why


def test_dry_air_is_a_sentence_and_a_leak_is_something_to_look_for() -> None:
    dry = page_of(books.drier)
    assert dry.headline.startswith("Nothing needs you today")
    assert any("drinks 1.2 L a day more" in each for each in dry.sentences)
    leak = page_of(books.leaking)
    assert leak.headline.startswith("Look once under the stand")


def test_danger_goes_before_everything_in_words_without_a_table() -> None:
    lines = of(books.hot).lines
    assert lines[2].startswith("Cool the water now: unplug the heater")
    said = " ".join(" ".join(lines).split())
    assert "Switch off at the socket before your hands go in." in said
    assert not any("two months" in line for line in lines)
    assert page_of(books.hot).danger
    assert not page_of(books.quiet).danger


def test_a_dangerous_reading_that_is_doubted_is_made_again_at_once() -> None:
    page = page_of(books.poisoned)
    assert page.danger
    assert page.acts[0].kind == "retest"
    assert "don't feed" in page.acts[0].why


def test_after_fourteen_months_no_number_is_made_up() -> None:
    lines = of(books.abandoned).lines
    page = page_of(books.abandoned)
    assert "14 months ago: I can't say where they are by now" in " ".join(
        act.why for act in page.acts
    )
    row = next(line for line in lines if line.startswith("alkalinity"))
    assert "no telling" in row
    assert not re.search(r"\d ±", row)


def test_tests_that_can_wait_share_a_weekend_and_what_presses_is_named_by_its_day() -> None:
    story = books.quiet()
    story.now = books.NOW + timedelta(days=11)  # a Wednesday: all of it is due
    page = read(story).page
    tests = [act for act in page.acts if act.kind == "test"]
    assert [act.text for act in tests] == [
        "Test temperature and alkalinity today.",
        "Test phosphate this weekend.",
    ]
    assert tests[1].by.astimezone(LONDON).weekday() == 6


def test_the_next_test_is_said_with_its_day() -> None:
    page = page_of(books.quiet)
    assert re.match(r"Next: test \w+ by (\w+day|\w{3} \d+ \w+)\.", page.next_sentence)


def test_what_is_due_this_evening_is_due_today_also_just_after_midnight() -> None:
    story = books.quiet()
    story.now = books.NOW.replace(hour=0, minute=5) + timedelta(days=12)
    assert read(story).page.headline.startswith("Test ")


def test_what_stands_at_an_end_of_its_band_is_said_with_its_range() -> None:
    story = books.quiet()
    story.facts = [each for each in story.facts if each.what != "nitrate"]
    for number, ago in enumerate(range(57, 0, -7)):
        story.test(float(ago), "nitrate", 24.2 + 0.08 * number)
    one = read(story)
    assert one.told.quantities["nitrate"].status == "drifting"
    said = next(each for each in one.page.sentences if each.startswith("Nitrate"))
    assert re.fullmatch(
        r"Nitrate is about 2\d mg/L \(2\d to 2\d\), at the upper end of your band\.", said
    )
