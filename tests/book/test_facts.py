"""Facts with their revisions: edits, undos, verdicts that follow, and what was known when."""

from __future__ import annotations

from datetime import timedelta

import pytest

from brinebook.book import facts, faults, revise
from brinebook.book.identity import make_fact, to_us
from brinebook.book.store import Book
from brinebook.book.systems import Entered, SystemRow
from brinebook.timeline import Fact
from tests.moments import NOW

T0 = to_us(NOW)


def _test(value: str, *, hours: int = 0) -> Fact:
    return make_fact(
        NOW - timedelta(hours=hours), "test", what="alkalinity", value=value, unit="dKH"
    )


def _add(book: Book, shelf: SystemRow, fact: Fact, at: int = 0) -> revise.Written:
    with book.write() as connection:
        return revise.add_fact(connection, shelf.system_id, fact, entered=Entered(T0 + at))


def _edit(book: Book, shelf: SystemRow, old: Fact, new: Fact, at: int = 0) -> revise.Written:
    with book.write() as connection:
        chain = facts.chain_of(connection, shelf.system_id, old.id)
        return revise.edit_fact(
            connection, shelf.system_id, chain=chain, fact=new, entered=Entered(T0 + at)
        )


def _undo(book: Book, shelf: SystemRow, fact: Fact, at: int = 0) -> revise.Written:
    with book.write() as connection:
        chain = facts.chain_of(connection, shelf.system_id, fact.id)
        return revise.undo_fact(connection, shelf.system_id, chain=chain, entered=Entered(T0 + at))


def _standing(book: Book, shelf: SystemRow, *, known: int | None = None) -> list[Fact]:
    with book.read() as connection:
        known_us = None if known is None else T0 + known
        return facts.current(connection, shelf.system_id, known_us=known_us)


def test_the_same_fact_twice_is_one_fact(book: Book, shelf: SystemRow) -> None:
    assert _add(book, shelf, _test("8.2")).done
    assert not _add(book, shelf, _test("8.2")).done
    assert _standing(book, shelf) == [_test("8.2")]


def test_an_edit_supersedes_and_the_old_id_still_finds_the_fact(
    book: Book, shelf: SystemRow
) -> None:
    _add(book, shelf, _test("8.2"))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    assert _standing(book, shelf) == [_test("8.3")]
    with book.read() as connection:
        old = facts.chain_of(connection, shelf.system_id, _test("8.2").id)
        new = facts.chain_of(connection, shelf.system_id, _test("8.3").id[:6])
        assert old == new
        story = facts.revisions(connection, shelf.system_id, [old])
    assert [(one.number, one.action, one.fact.value) for one in story] == [
        (1, "entered", "8.2"),
        (2, "edited", "8.3"),
    ]


def test_undo_takes_back_the_edit_and_then_the_entry(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    assert _undo(book, shelf, _test("8.3")).fact == _test("8.2")
    assert _standing(book, shelf) == [_test("8.2")]
    assert _undo(book, shelf, _test("8.2")).withdrawn
    assert _standing(book, shelf) == []
    with pytest.raises(faults.FactWithdrawn, match="undone already"):
        _undo(book, shelf, _test("8.2"))


def test_what_was_undone_can_be_added_again(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"))
    _undo(book, shelf, _test("8.2"))
    assert _add(book, shelf, _test("8.2")).done
    assert _standing(book, shelf) == [_test("8.2")]
    assert _undo(book, shelf, _test("8.2")).withdrawn


def test_a_content_belongs_to_one_fact_for_good(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    with pytest.raises(faults.FactTaken):
        _add(book, shelf, _test("8.2"))
    _add(book, shelf, _test("7.9", hours=1))
    with pytest.raises(faults.FactTaken):
        _edit(book, shelf, _test("7.9", hours=1), _test("8.2"))
    with pytest.raises(faults.FactUnknown):
        _edit(book, shelf, _test("5"), _test("8.2"))


def test_as_known_then_the_book_is_as_it_was_then(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"), at=10)
    _edit(book, shelf, _test("8.2"), _test("8.3"), at=20)
    _undo(book, shelf, _test("8.3"), at=30)
    _undo(book, shelf, _test("8.2"), at=40)
    seen = [[one.value for one in _standing(book, shelf, known=at)] for at in (9, 15, 25, 35, 45)]
    assert seen == [[], ["8.2"], ["8.3"], ["8.2"], []]


def test_writes_in_the_same_instant_are_still_told_apart(book: Book, shelf: SystemRow) -> None:
    for value in ("8.1", "8.2", "8.3"):
        _add(book, shelf, _test(value))
    with book.read() as connection:
        entered = [one.entered.at_us for one in facts.all_revisions(connection, shelf.system_id)]
    assert entered == [T0, T0 + 1, T0 + 2]


def _verdict(fact: Fact, says: str = "wrong", minutes: int = 0) -> Fact:
    when = NOW - timedelta(minutes=minutes)
    return make_fact(when, "verdict", what=fact.id, detail={"says": says})


def test_a_verdict_follows_the_fact_that_it_names_through_edit_and_undo(
    book: Book, shelf: SystemRow
) -> None:
    _add(book, shelf, _test("8.2"))
    _add(book, shelf, _verdict(_test("8.2")))
    done = _edit(book, shelf, _test("8.2"), _test("8.3"))
    assert done.followed == (_verdict(_test("8.3")),)
    assert _standing(book, shelf) == [_test("8.3"), _verdict(_test("8.3"))]
    _undo(book, shelf, _test("8.3"))
    assert _standing(book, shelf) == [_test("8.2"), _verdict(_test("8.2"))]


def test_the_last_write_is_found_behind_what_only_followed_it(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"))
    _add(book, shelf, _verdict(_test("8.2")))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    order = []
    for _ in range(3):
        with book.write() as connection:
            (chain,) = revise.latest_chains(connection, shelf.system_id)
            order.append(
                revise.undo_fact(
                    connection, shelf.system_id, chain=chain, entered=Entered(T0)
                ).fact.kind
            )
    assert order == ["test", "verdict", "test"]
    with book.read() as connection:
        assert revise.latest_chains(connection, shelf.system_id) == []
    assert _standing(book, shelf) == []


def test_a_verdict_on_an_earlier_id_is_kept_under_the_id_of_today(
    book: Book, shelf: SystemRow
) -> None:
    _add(book, shelf, _test("8.2"))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    assert _add(book, shelf, _verdict(_test("8.2"))).fact == _verdict(_test("8.3"))


def test_the_same_verdict_on_both_ids_is_one_in_the_end(book: Book, shelf: SystemRow) -> None:
    _add(book, shelf, _test("8.2"))
    _add(book, shelf, _verdict(_test("8.2")))
    _edit(book, shelf, _test("8.2"), _test("8.3"))
    with book.write() as connection:
        stray = _verdict(_test("8.2"), "sound", minutes=1)
        facts.append_new(connection, shelf.system_id, [stray], entered=Entered(T0 + 9))
        named = _verdict(_test("8.4"), "sound", minutes=1)
        facts.append_new(connection, shelf.system_id, [named], entered=Entered(T0 + 9))
    _edit(book, shelf, _test("8.3"), _test("8.4"), at=20)
    verdicts = [one for one in _standing(book, shelf) if one.kind == "verdict"]
    assert sorted(one.detail["says"] for one in verdicts) == ["sound", "wrong"]
    assert {one.what for one in verdicts} == {_test("8.4").id}
