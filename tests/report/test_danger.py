"""Danger: lines that are published or usual, the newest sound reading, words first."""

from __future__ import annotations

import pytest

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.water_signs import ACUTE_NH3, CHRONIC_NH3, unionised_ammonia
from brinebook.balance.season import days_since_epoch
from brinebook.report.danger import Danger, dangers
from brinebook.report.shown import shown_units
from brinebook.report.speech import Speech
from tests.report import books
from tests.report.test_today import LONDON


def found(story: books.Story) -> list[Danger]:
    told = story.told()
    case = Case(story.system, story.facts, told, days_since_epoch(story.now))
    return dangers(case, Speech(told.at, LONDON, shown_units(story.system, story.facts)))


def reef(**tests: tuple[float, str]) -> books.Story:
    """A quiet reef with one more reading each, made twice: hours ago, and the amount."""
    story = books.quiet()
    for name, (hours, amount) in tests.items():
        for again in ("1", "2"):
            story.add(hours / 24, "test", name, amount, replicate=again)
    return story


def test_a_quiet_reef_is_in_no_danger() -> None:
    assert found(books.quiet()) == []


def test_the_criteria_for_ammonia_are_those_of_the_agency() -> None:
    # US EPA 1989, EPA 440/5-88-004 (from memory): 0.233 and 0.035 mg/L of un-ionised NH3.
    assert (ACUTE_NH3, CHRONIC_NH3) == (0.233, 0.035)


def test_toxic_ammonia_is_the_agencys_total_at_its_conditions() -> None:
    # The agency's table at 25 C, salinity 30, pH 8.2 gives 0.49 mg/L of total NH3 for the criterion
    # of 0.035; it reckons with an older constant, and pH on another scale, worth up to a third.
    story = books.Story()
    story.add(1.0, "test", "ph", "8.2 NBS")
    story.add(1.0, "test", "salinity", "30 PSU")
    story.add(1.0, "test", "temperature", "25 C")
    case = Case(story.system, story.facts, story.told(), days_since_epoch(story.now))
    toxic, ph, measured = unionised_ammonia(case, 0.49 * 14.007 / 17.031, case.at)
    assert toxic == pytest.approx(0.035, rel=0.35)
    assert (ph, measured) == (8.2, True)


def test_without_a_pH_the_careful_one_is_taken_and_said() -> None:
    story = books.Story()
    story.add(1.0, "test", "salinity", "35 PSU")
    case = Case(story.system, story.facts, story.told(), days_since_epoch(story.now))
    _, ph, measured = unionised_ammonia(case, 1.0, case.at)
    assert (ph, measured) == (8.3, False)


@pytest.mark.parametrize(
    ("name", "amount", "words"),
    [
        ("temperature", "30.4 C", "Cool the water now"),
        ("temperature", "20.5 C", "Warm the water now"),
        ("oxygen", "3.1 mg/L", "Move the water's surface now"),
        ("ph", "9.1 NBS", "Stop everything alkaline"),
        ("ph", "7.2 NBS", "open a window"),
    ],
)
def test_each_danger_says_what_to_do_first(name: str, amount: str, words: str) -> None:
    danger = found(reef(**{name: (2.0, amount)}))[0]
    assert words in danger.text or danger.kind == "retest"
    assert "Look at the animals first" in danger.why


def test_mains_come_before_hands_where_a_heater_is_touched() -> None:
    for book in (reef(temperature=(1.0, "30.4 C")), reef(temperature=(1.0, "20.5 C"))):
        danger = found(book)[0]
        assert danger.kind == "retest" or "Switch off at the socket" in danger.why


def test_a_reading_of_days_ago_is_no_danger_now() -> None:
    assert found(reef(temperature=(70.0, "30.4 C"))) == []


def test_a_band_wider_than_the_usual_lines_is_the_keepers_own_business() -> None:
    story = reef(temperature=(1.0, "28.9 C"))
    story.facts = [f for f in story.facts if f.what != "temperature"] + story.facts[-2:]
    assert found(story) != []
