"""When to test again: where a test would tell something, together, and not too often."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from brinebook.report.advice import NextTest, longest_pause, next_test, sittings
from tests.report import books

LONDON = ZoneInfo("Europe/London")


def test_a_quantity_far_from_its_limits_waits_for_the_usual_pause() -> None:
    told = books.quiet().told()
    quantity = told.quantities["calcium"]
    due = next_test(told, quantity)
    assert quantity.tested is not None
    assert due.by == quantity.tested + longest_pause("calcium")
    assert "Nothing presses" in due.why


def test_after_the_usual_pause_it_is_overdue() -> None:
    told = books.quiet().told()
    due = next_test(told, told.quantities["phosphate"])
    assert due.overdue
    assert due.by == told.at


def test_where_the_interval_reaches_the_band_a_test_is_due_by_then() -> None:
    story = books.Story(litres=420.0, spread=15.0)
    for step in range(16):
        story.test(62.0 - 4.0 * step, "alkalinity", 9.1 - 0.1 * step)
    told = story.told()
    quantity = told.quantities["alkalinity"]
    assert quantity.band is not None
    assert quantity.tested is not None
    due = next_test(told, quantity)
    assert due.by < quantity.tested + longest_pause("alkalinity")
    reached = [when for when, each in quantity.forecast if each.low < quantity.band[0]]
    assert due.by >= min(reached) or quantity.now.low < quantity.band[0]
    assert "low end" in due.why


def test_never_the_day_after_a_test() -> None:
    for book in (books.quiet, books.cycling, books.stopped):
        told = book().told()
        for quantity in told.quantities.values():
            assert quantity.tested is not None
            due = next_test(told, quantity)
            assert due.overdue or due.by >= quantity.tested + timedelta(days=2)


@pytest.mark.parametrize(
    ("day", "weekday"), [(12, "Monday"), (14, "Wednesday"), (16, "Friday"), (17, "Saturday"),
                         (18, "Sunday")],
)  # fmt: skip
def test_what_can_wait_waits_for_sunday_evening(day: int, weekday: str) -> None:
    at = datetime(2026, 1, day, 9, tzinfo=UTC)
    assert f"{at:%A}" == weekday
    found = sittings([NextTest("nitrate", at, ""), NextTest("calcium", at, "")], at, LONDON)
    assert len(found) == 1
    assert [test.quantity for test in found[0].tests] == ["calcium", "nitrate"]
    assert found[0].by == datetime(2026, 1, 18, 20, tzinfo=UTC)


def test_what_presses_is_for_today_and_first() -> None:
    at = datetime(2026, 1, 14, 9, tzinfo=UTC)
    due = [NextTest(name, at, "") for name in ("nitrate", "alkalinity", "ammonia")]
    today, weekend = sittings(due, at, LONDON)
    assert [test.quantity for test in today.tests] == ["ammonia", "alkalinity"]
    assert today.today
    assert [test.quantity for test in weekend.tests] == ["nitrate"]


def test_after_eight_in_the_evening_today_is_now() -> None:
    at = datetime(2026, 1, 14, 22, tzinfo=UTC)
    (today,) = sittings([NextTest("alkalinity", at, "")], at, LONDON)
    assert today.by == at


def test_what_is_not_due_makes_no_sitting() -> None:
    at = datetime(2026, 1, 14, 9, tzinfo=UTC)
    assert sittings([NextTest("nitrate", at + timedelta(days=3), "")], at, LONDON) == ()
