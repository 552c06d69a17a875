"""Accepted plans are only ever added to, on both engines."""

from __future__ import annotations

import pytest

from brinebook.book import plans, store
from brinebook.book.systems import Entered, one_system


def _system(book: store.Book) -> str:
    with book.read() as connection:
        return one_system(connection, None).system_id


def test_what_is_said_of_a_plan_is_appended_in_order(book: store.Book) -> None:
    system = _system(book)
    with book.write() as connection:
        assert plans.accept(connection, system, "aaaa1111", content="{}", entered=Entered(1, "M"))
        assert not plans.accept(connection, system, "aaaa1111", content="{}", entered=Entered(2))
        plans.mark(
            connection, system, "aaaa1111", action="skipped", step=2, fact="", entered=Entered(3)
        )
    with book.read() as connection:
        rows = plans.rows_of(connection, system, "aaaa1111")
        early = plans.all_rows(connection, system, known_us=1)
    assert [(row.revision, row.action, row.step) for row in rows] == [
        (1, "accepted", 0),
        (2, "skipped", 2),
    ]
    assert rows[0].entered.by == "M"
    assert [row.action for row in early] == ["accepted"]


def test_a_plan_that_was_given_up_can_be_accepted_again(book: store.Book) -> None:
    system = _system(book)
    with book.write() as connection:
        plans.accept(connection, system, "aaaa1111", content="{}", entered=Entered(1))
        plans.mark(
            connection, system, "aaaa1111", action="dropped", step=0, fact="", entered=Entered(2)
        )
        assert plans.accept(connection, system, "aaaa1111", content="{}", entered=Entered(3))
        assert len(plans.rows_of(connection, system, "aaaa1111")) == 3


def test_the_beginning_of_an_id_is_enough_where_it_means_one(book: store.Book) -> None:
    system = _system(book)
    with book.write() as connection:
        for name in ("aaaa1111", "aabb2222"):
            plans.accept(connection, system, name, content="{}", entered=Entered(1))
        assert plans.find_id(connection, system, "aab") == "aabb2222"
        for wrong in ("aa", "zz", ""):
            with pytest.raises(plans.PlanUnknownHere):
                plans.find_id(connection, system, wrong)
