"""Sentences by their English templates: forms, facts, tables, and numbers by the manner in use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import ClassVar

import pytest

from brinebook.report.dates import date_text
from brinebook.report.numbers import number_text
from brinebook.texts import (
    Language,
    Manner,
    Spoken,
    SpokenLine,
    named,
    say,
    say_count,
    speaking,
    typed_as_marked,
    worded,
)
from tests.moments import LISBON

DUTCH = Language(
    "nl",
    sentences={
        "{name} falls by {rate} a day.": "Per dag daalt {name} met {rate}.",
        "alkalinity": "alkaliniteit",
        "set {name}": "{name} ingesteld",
        "{name} fed": "{name} gevoerd",
        "a leak": "een lek",
        "Tue": "di",
        "March": "maart",
    },
    counted={"{count} tests": ("{count} test", "{count} tests gedaan")},
)
COMMA = Manner(DUTCH, "comma", "day first")


def test_english_is_the_template_itself() -> None:
    assert say("{name} falls by {rate} a day.", name="it", rate="0.3") == "it falls by 0.3 a day."


def test_a_translation_orders_the_facts_in_its_own_way_and_names_them() -> None:
    with speaking(COMMA):
        told = say("{name} falls by {rate} a day.", name="alkalinity", rate="0,3 dKH")
    assert told == "Per dag daalt alkaliniteit met 0,3 dKH."


def test_what_a_language_lacks_is_said_in_english() -> None:
    with speaking(COMMA):
        assert say("Nothing to do until {day}.", day="di") == "Nothing to do until di."


def test_a_count_chooses_its_form() -> None:
    assert say_count(1, "{count} test", "{count} tests") == "1 test"
    assert say_count(3, "{count} test", "{count} tests", count="three") == "three tests"
    with speaking(COMMA):
        assert say_count(3, "{count} test", "{count} tests") == "3 tests gedaan"


def test_tables_are_said_when_they_are_read() -> None:
    causes, days = Spoken({"leak": "a leak"}), SpokenLine("Mon", "Tue")
    with speaking(COMMA):
        assert causes["leak"] == "een lek"
        assert causes.get("flood", "iets") == "iets"
        assert list(days) == ["Mon", "di"]
        assert days[1:] == ["di"]
    assert causes["leak"] == "a leak"


def test_an_identifier_before_a_name_of_the_keepers_is_said_with_the_name_in_it() -> None:
    with speaking(COMMA):
        assert named("set_carbonate solution") == "carbonate solution ingesteld"
        assert named("phosphorus_fed") == "phosphorus gevoerd"
        assert named("box_area") == "box area"


@dataclass(frozen=True)
class _Caution:
    SAID: ClassVar[tuple[str, ...]] = ("text", "ask")

    id: str
    text: str
    ask: tuple[str, ...] = ()


def test_a_noun_says_its_texts_and_keeps_its_key() -> None:
    with speaking(COMMA):
        assert worded(_Caution("alkalinity", "a leak", ("a leak", "x"))) == _Caution(
            "alkalinity", "een lek", ("een lek", "x")
        )


def test_numbers_have_the_decimal_mark_of_the_system() -> None:
    with speaking(COMMA):
        assert number_text(-0.25, 2) == "−0,25"
        assert say("about {share:.1f} %", share=12.34) == "about 12,3 %"
    assert number_text(-0.25, 2) == "−0.25"


def test_what_was_typed_has_it_too_and_a_formula_keeps_its_point() -> None:
    with speaking(COMMA):
        assert typed_as_marked("24.3 C") == "24,3 C"
        assert typed_as_marked("CaCl2.2H2O") == "CaCl2.2H2O"
    assert typed_as_marked("24.3 C") == "24.3 C"


@pytest.mark.parametrize(
    ("order", "this_year", "another"),
    [
        ("day first", "Tue 3 March", "Tue 3 March 2026"),
        ("month first", "Tue March 3", "Tue March 3, 2026"),
        ("year first", "Tue March 3", "Tue 2026 March 3"),
    ],
)
def test_dates_have_the_order_of_the_system(order: str, this_year: str, another: str) -> None:
    when = datetime(2026, 3, 3, 7, 40, tzinfo=UTC)
    with speaking(Manner(date_order=order)):
        assert date_text(when, when, LISBON) == this_year
        assert date_text(when, when + timedelta(days=365), LISBON) == another
