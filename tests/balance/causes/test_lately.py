"""What the balance makes of invented books whose story is known: causes, reasons, verdicts.

The books show that each cause can be told and is told with its reasons; how often that is right in
less tidy lives, `tests/simulated/causes.py` counts.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable

import pytest

from brinebook.balance.causes.explained import Explained, Word
from brinebook.balance.causes.lately import lately
from brinebook.balance.season import days_since_epoch
from tests.report import books
from tests.report.books import Story

#: The contract's list of causes.
CAUSES = {
    "test_wrong", "lot_changed", "method_drifting", "dose_not_arriving", "dose_entered_wrong",
    "unlogged_change", "unlogged_dose", "use_changed", "volume_belief_wrong", "precipitation",
    "media_exhausted", "evaporation_changed", "leak", "room_air", "probe_fault", "equipment",
    "other",
}  # fmt: skip

LEADS: list[tuple[Callable[[], Story], str, str]] = [
    (books.stopped, "alkalinity", "dose_not_arriving"),
    (books.doubtful, "alkalinity", "test_wrong"),
    (books.forgotten, "nitrate", "unlogged_change"),
    (books.tenfold, "alkalinity", "dose_entered_wrong"),
    (books.twice, "alkalinity", "dose_entered_wrong"),
    (books.fallen_out, "alkalinity", "precipitation"),
    (books.leaking, "top-off", "leak"),
    (books.drier, "top-off", "evaporation_changed"),
    (books.stuffy, "ph", "room_air"),
    (books.tired, "phosphate", "media_exhausted"),
    (books.new_bottle, "alkalinity", "lot_changed"),
    (books.off_standard, "alkalinity", "method_drifting"),
]


def told(story: Story, *words: Word) -> tuple[Explained, ...]:
    return lately(story.told(), story.system, story.facts, words)


@functools.cache
def of(book: Callable[[], Story]) -> tuple[Explained, ...]:
    return told(book())


def about(found: tuple[Explained, ...], name: str) -> Explained:
    return next(one for one in found if name in one.about)


@pytest.mark.parametrize(
    ("book", "name", "cause"), LEADS, ids=lambda each: getattr(each, "__name__", each)
)
def test_the_cause_of_an_invented_story_is_named_first(
    book: Callable[[], Story], name: str, cause: str
) -> None:
    assert about(of(book), name).lead.cause == cause


@pytest.mark.parametrize("book", [each[0] for each in LEADS])
def test_causes_are_the_contracts_and_sum_to_one(book: Callable[[], Story]) -> None:
    for one in of(book):
        assert {cause.cause for cause in one.causes} <= CAUSES
        assert "other" in {cause.cause for cause in one.causes}
        assert math.fsum(cause.probability for cause in one.causes) == pytest.approx(1.0, abs=1e-9)
        shares = [cause.probability for cause in one.causes]
        assert shares == sorted(shares, reverse=True)


def test_a_quiet_reef_has_nothing_to_explain() -> None:
    assert of(books.quiet) == ()
    assert of(books.cycling) == ()


def test_facts_in_any_order_explain_the_same() -> None:
    story = books.stopped()
    before = told(story)
    story.facts.reverse()
    assert told(story) == before


def test_a_fall_that_use_allows_speaks_for_dosing_that_fails_and_one_beyond_it_against() -> None:
    stopped = about(of(books.stopped), "alkalinity")
    line = next(cause for cause in stopped.causes if cause.cause == "dose_not_arriving")
    assert line.speaks_for[0] == "size"
    assert "bottle" not in stopped.signs  # nobody marked it, so nothing is said of it
    fallen = about(of(books.fallen_out), "alkalinity")
    assert "beyond" in fallen.lead.speaks_for


def test_a_marked_bottle_that_went_down_speaks_against_a_stopped_line() -> None:
    full = books.stopped()
    full.add(3.1, "level", "carbonate solution", "2000 mL")
    per_day = float(full.per_day(0.5).partition(" ")[0])
    full.add(0.05, "level", "carbonate solution", f"{2000 - 3.05 * per_day:.0f} mL")
    full.add(10.0, "level", "carbonate solution", f"{2000 + 6.9 * per_day:.0f} mL")
    before = about(of(books.stopped), "alkalinity").share("dose_not_arriving")
    after = about(told(full), "alkalinity")
    assert after.share("dose_not_arriving") < 0.2 * before
    assert after.lead.cause != "dose_not_arriving"


def test_more_drink_with_falling_salinity_is_a_leak_and_without_it_dry_air() -> None:
    leak, dry = (about(of(book), "top-off") for book in (books.leaking, books.drier))
    assert leak.share("leak") > 0.9
    assert dry.share("leak") < 0.1
    assert "salinity" in leak.lead.speaks_for


def test_one_story_of_the_salinity_is_told_once() -> None:
    assert [one.about for one in of(books.leaking)] == [("top-off",)]


def test_a_verdict_on_the_newest_test_settles_it_with_who_and_when() -> None:
    story = books.doubtful()
    odd = story.facts[-1]
    story.facts.append(story.add(0.02, "verdict", odd.id, says="wrong"))
    at = days_since_epoch(story.when(0.02))
    found = about(told(story, Word(odd.id, "wrong", at, "Mieke")), "alkalinity")
    assert found.settled == Word(odd.id, "wrong", at, "Mieke")
    assert found.causes[0].cause == "test_wrong"
    assert found.causes[0].probability == 1.0


def test_a_sound_verdict_leaves_no_wrong_test_among_the_causes() -> None:
    story = books.doubtful()
    odd = story.facts[-1]
    story.add(0.02, "verdict", odd.id, says="sound")
    word = Word(odd.id, "sound", days_since_epoch(story.when(0.02)), "")
    found = [one for one in told(story, word) if "alkalinity" in one.about]
    assert found
    assert all(one.share("test_wrong") == 0.0 for one in found)


def test_a_yes_makes_its_cause_sure_and_a_no_takes_it_away() -> None:
    asked = about(of(books.leaking), "top-off").lead.asks
    at = days_since_epoch(books.NOW) - 0.1
    yes = about(told(books.leaking(), Word(asked, "yes", at, "")), "top-off")
    assert yes.lead.probability == 1.0
    assert yes.settled is not None
    no = about(told(books.leaking(), Word(asked, "no", at, "")), "top-off")
    assert no.share("leak") == 0.0
    assert math.fsum(cause.probability for cause in no.causes) == pytest.approx(1.0)


def test_a_settled_matter_is_shown_for_a_week_and_a_word_on_something_slow_holds_a_fortnight() -> (
    None
):
    asked = about(of(books.drier), "top-off").lead.asks
    now = days_since_epoch(books.NOW)

    def said(days_ago: float) -> list[Explained]:
        found = told(books.drier(), Word(asked, "yes", now - days_ago, ""))
        return [one for one in found if one.about == ("top-off",)]

    assert said(3.0)[0].settled is not None
    assert said(10.0) == []
    assert said(20.0)[0].settled is None
