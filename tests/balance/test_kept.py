"""Chapters that were decided before: remembered, they change no bit of any answer."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from hashlib import blake2b

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brinebook.balance.answer import Answer, answer
from brinebook.balance.decided import NOTHING, Decided
from brinebook.balance.keeping import decode, encode
from brinebook.balance.sheet import sheet
from brinebook.report.answer_json import answer_json
from brinebook.timeline import Fact
from tests.balance.eight_months import AT, BOOK, DAYS, REEF, START, fact


class Shelf:
    """What an answer leaves behind, as bytes, and what the next one finds of it."""

    def __init__(self) -> None:
        self.rows: dict[str, bytes] = {}
        self.found = 0

    def get(self, key: str, /) -> Decided | None:
        content = self.rows.get(key)
        self.found += content is not None
        return None if content is None else decode(key, content)

    def keep(self, told: Answer) -> None:
        for season in told.seasons:
            self.rows |= {key: encode(key, each) for key, each in season.fresh.items()}


def as_bytes(told: Answer) -> str:
    return json.dumps(answer_json(told))


def chapters(told: Answer) -> tuple[str, ...]:
    return told.seasons[0].chapters


def ask(facts: Iterable[Fact], shelf: Shelf | None = None, *, at: datetime = AT) -> Answer:
    told = answer(REEF, list(facts), at, remembered=NOTHING if shelf is None else shelf)
    if shelf is not None:
        shelf.keep(told)
    return told


@pytest.fixture(scope="module")
def shelf() -> Shelf:
    filled = Shelf()
    ask(BOOK, filled)
    return filled


def test_a_second_answer_reads_no_decided_chapter_again(shelf: Shelf) -> None:
    told = ask(BOOK, shelf)
    assert len(chapters(told)) >= 3
    assert all(not season.fresh for season in told.seasons)
    assert as_bytes(told) == as_bytes(ask(BOOK))


def test_time_that_goes_by_leaves_the_chapters_decided(shelf: Shelf) -> None:
    later = AT + timedelta(days=19)
    told = ask(BOOK, shelf, at=later)
    assert all(not season.fresh for season in told.seasons)
    assert as_bytes(told) == as_bytes(ask(BOOK, at=later))


NEW_TODAY = [
    fact(DAYS, "test", "alkalinity", "2.85", "meq/L", method="drops"),
    fact(DAYS, "test", "alkalinity", "2.20", "meq/L", method="another kit", lot="new"),
    fact(DAYS, "test", "potassium", "398", "mg/L"),
    fact(DAYS, "test", "ph", "8.2", "NBS"),
    fact(DAYS, "test", "alkalinity", "2.91", "meq/L", of="salt"),
    fact(DAYS, "dose", "NaHCO3", "12", "g"),
    fact(DAYS, "dose", "nobody knows this", "12", "mL"),
    fact(DAYS, "dosing", "carbonate", "75", "mL/day", hours="22-06"),
    fact(DAYS, "dosing", "lime", "100", "mL/day"),
    fact(DAYS, "top_off", "lime", "3", "L/day"),
    fact(DAYS, "top_off", "", "5", "L"),
    fact(DAYS, "water_change", "salt", "10", "%"),
    fact(DAYS, "water_change", "salt", "2", "L/day"),
    fact(DAYS, "level", "carbonate", "1900", "mL"),
    fact(DAYS, "level", "lime", "25000", "mL"),
    fact(DAYS, "media", "ferric", "150", "g"),
    fact(DAYS, "feed", "flakes", "3", "g"),
    fact(DAYS, "removed", "", "4", "L"),
    fact(DAYS, "note", "looked fine"),
]


@pytest.mark.parametrize("new", NEW_TODAY, ids=lambda new: f"{new.kind} {new.what} {new.unit}")
def test_any_fact_of_today_costs_the_last_chapters_only(shelf: Shelf, new: Fact) -> None:
    told = ask([*BOOK, new], shelf)
    joint = told.seasons[0]
    assert len(joint.fresh) <= 1
    assert as_bytes(told) == as_bytes(ask([*BOOK, new]))


def test_a_verdict_given_today_on_a_late_test_costs_the_last_chapters_only(shelf: Shelf) -> None:
    last = next(each for each in reversed(BOOK) if each.what == "alkalinity")
    said = fact(DAYS + 0.2, "verdict", last.id, says="wrong")
    assert not ask([*BOOK, said], shelf).seasons[0].fresh


def test_a_verdict_on_a_change_counts_from_the_change_on(shelf: Shelf) -> None:
    begins = (AT - datetime(2000, 1, 1, tzinfo=UTC)) / timedelta(days=1) - 3.0
    name = f"jump-alkalinity-{begins:.3f}-{begins + 2:.3f}"
    said = fact(DAYS + 0.2, "verdict", name, says="no")
    assert not ask([*BOOK, said], shelf).seasons[0].fresh


def test_a_fact_of_the_past_settles_anew_what_comes_after_and_nothing_before(
    shelf: Shelf,
) -> None:
    before = chapters(ask(BOOK, shelf))
    new = fact(150.1, "dose", "NaHCO3", "8", "g")
    told = ask([*BOOK, new], shelf)
    same = [one == other for one, other in zip(before, chapters(told), strict=True)]
    assert any(same)
    assert not all(same)
    assert same == sorted(same, reverse=True)
    assert as_bytes(told) == as_bytes(ask([*BOOK, new]))


def test_an_undone_fact_finds_the_old_chapters_again(shelf: Shelf) -> None:
    new = fact(60.1, "dose", "NaHCO3", "8", "g")
    ask([*BOOK, new], shelf)
    assert not ask(BOOK, shelf).seasons[0].fresh


def test_what_the_system_says_of_a_bottle_is_part_of_what_chapters_rest_on(shelf: Shelf) -> None:
    before = chapters(ask(BOOK, shelf))
    stronger = replace(REEF.additives[0], grams_per_litre=84.0)
    other = replace(REEF, additives=(stronger, *REEF.additives[1:]))
    told = answer(other, BOOK, AT, remembered=shelf)
    assert not set(before) & set(chapters(told))
    assert as_bytes(told) == as_bytes(answer(other, BOOK, AT))


def test_a_band_moves_no_chapter(shelf: Shelf) -> None:
    before = chapters(ask(BOOK, shelf))
    other = replace(REEF, bands={"alkalinity": (2.0, 3.0)})
    assert chapters(answer(other, BOOK, AT, remembered=shelf)) == before


def test_the_sheet_is_the_same_with_and_without_memory(shelf: Shelf) -> None:
    begins = START + timedelta(days=40)
    fresh, told = sheet(REEF, BOOK, "alkalinity", begins=begins, ends=AT, at=AT)
    again, _ = sheet(REEF, BOOK, "alkalinity", begins=begins, ends=AT, at=AT, remembered=shelf)
    assert again == fresh
    assert fresh is not None
    assert as_bytes(told) == as_bytes(ask(BOOK))


# ---- any change at any time

DAY = st.floats(0.0, float(DAYS))
NUMBER = st.floats(0.5, 9.5)
NEW = st.one_of(
    st.builds(lambda d, x: fact(d, "test", "alkalinity", f"{2 + x / 5:.2f}", "meq/L"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "test", "calcium", f"{400 + x:.0f}", "mg/L"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "dose", "carbonate", f"{30 * x:.0f}", "mL"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "dosing", "carbonate", f"{9 * x:.0f}", "mL/day"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "top_off", "", f"{x:.1f}", "L"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "water_change", "salt", f"{2 * x:.0f}", "%"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "level", "carbonate", f"{200 * x:.0f}", "mL"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "feed", "flakes", f"{x:.1f}", "g"), DAY, NUMBER),
    st.builds(lambda d, x: fact(d, "media", "ferric", f"{30 * x:.0f}", "g"), DAY, NUMBER),
)
TESTS = [each for each in BOOK if each.kind == "test"]
VERDICT = st.builds(
    lambda d, test, says: fact(d, "verdict", test.id, says=says),
    DAY, st.sampled_from(TESTS), st.sampled_from(["wrong", "sound"]),
)  # fmt: skip
EDIT = st.one_of(
    st.tuples(st.just("add"), NEW),
    st.tuples(st.just("add"), VERDICT),
    st.tuples(st.just("undo"), st.sampled_from(BOOK)),
    st.tuples(st.just("edit"), st.sampled_from(TESTS)),
)


def edited(facts: list[Fact], how: str, what: Fact) -> list[Fact]:
    if how == "add":
        return [*facts, what]
    rest = [each for each in facts if each.id != what.id]
    if how == "edit":
        changed = f"{float(what.value) + 0.1:.2f}"
        rest.append(replace(what, id=f"{what.id} edited", value=changed))
    return rest


@given(edits=st.lists(EDIT, min_size=1, max_size=3), ahead=st.floats(0.0, 30.0))
@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_is_written_down_whenever_the_answer_is_the_same_with_memory(
    shelf: Shelf, edits: list[tuple[str, Fact]], ahead: float
) -> None:
    facts = list(BOOK)
    for how, what in edits:
        facts = edited(facts, how, what)
        told = ask(facts, shelf, at=AT + timedelta(days=ahead))
    assert as_bytes(told) == as_bytes(ask(facts, at=AT + timedelta(days=ahead)))


# ---- bytes


def one_row(shelf: Shelf) -> tuple[str, bytes]:
    return next(iter(shelf.rows.items()))


def test_a_chapter_reads_back_to_the_last_bit(shelf: Shelf) -> None:
    told = ask([*BOOK, fact(77.7, "test", "alkalinity", "1.8", "meq/L")])
    for key, chapter in told.seasons[0].fresh.items():
        back = decode(key, encode(key, chapter))
        assert back is not None
        assert (back.suspects, back.changes) == (chapter.suspects, chapter.changes)
        assert back.carried.noise == chapter.carried.noise
        one, other = back.carried.belief, chapter.carried.belief
        assert one is not None
        assert other is not None
        assert (one.t, one.names) == (other.t, other.names)
        assert np.array_equal(one.mean, other.mean)
        assert np.array_equal(one.covariance, other.covariance)
    assert any(chapter.suspects for chapter in told.seasons[0].fresh.values())


@given(st.data())
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_a_damaged_chapter_is_no_chapter(shelf: Shelf, data: st.DataObject) -> None:
    key, content = one_row(shelf)
    place = data.draw(st.integers(0, len(content) - 1))
    bit = 1 << data.draw(st.integers(0, 7))
    flipped = content[:place] + bytes([content[place] ^ bit]) + content[place + 1 :]
    assert decode(key, flipped) is None
    assert decode(key, content[:place]) is None
    assert decode(key, content + b"x") is None


def test_a_chapter_of_another_key_or_another_form_is_no_chapter(shelf: Shelf) -> None:
    key, content = one_row(shelf)
    assert decode(key, content) is not None
    assert decode("0" * len(key), content) is None
    assert decode(key, b"") is None
    assert decode(key, b"\x80\x04K\x01.") is None  # a pickled 1


@pytest.mark.parametrize("place", ["suspects", "changes", "noise", "names"])
def test_a_whole_row_of_other_things_is_no_chapter(shelf: Shelf, place: str) -> None:
    key, content = one_row(shelf)
    length = int.from_bytes(content[8:12], "little")
    head = json.loads(content[12 : 12 + length])
    head[place] = [*head[place], [1, "two", None]]
    text = json.dumps(head).encode()
    whole = content[:8] + len(text).to_bytes(4, "little") + text + content[12 + length : -16]
    assert decode(key, whole + blake2b(whole, digest_size=16).digest()) is None


def test_a_damaged_chapter_is_reckoned_again_and_the_ones_after_it_still_count() -> None:
    shelf = Shelf()
    first, *rest = chapters(ask(BOOK, shelf))
    shelf.rows[first] = shelf.rows[first][:-20] + b"?" * 20
    told = ask(BOOK, shelf)
    assert set(told.seasons[0].fresh) == {first}
    assert rest
    assert as_bytes(told) == as_bytes(ask(BOOK))
