from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from brinebook.report import dates

LISBON = ZoneInfo("Europe/Lisbon")
APIA = ZoneInfo("Pacific/Apia")
NOW = datetime(2026, 3, 3, 7, 40, tzinfo=UTC)


@pytest.mark.parametrize(
    ("back", "text"),
    [
        (timedelta(hours=1), "today"),
        (timedelta(hours=8), "yesterday"),
        (timedelta(days=9), "9 days"),
        (timedelta(days=59), "59 days"),
        (timedelta(days=77), "11 weeks"),
        (timedelta(days=365), "12 months"),
        (timedelta(days=800), "2 years"),
    ],
)
def test_an_age_goes_by_the_calendar_and_grows_coarser(back: timedelta, text: str) -> None:
    assert dates.age_text(NOW - back, NOW, LISBON) == text


def test_the_same_instant_is_yesterday_in_one_zone_and_today_in_another() -> None:
    late_evening = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    assert dates.age_text(late_evening, NOW, LISBON) == "yesterday"
    assert dates.age_text(late_evening, NOW, APIA) == "today"


def test_a_night_with_a_clock_change_still_counts_as_one_day() -> None:
    # Clocks in Lisbon went forward on 29 March 2026 at 01:00 UTC (tz database, EU rules).
    before = datetime(2026, 3, 28, 20, 0, tzinfo=LISBON)
    after = datetime(2026, 3, 29, 19, 0, tzinfo=LISBON)
    assert dates.calendar_days(before, after, LISBON) == 1
    assert dates.age_text(before, after, LISBON) == "yesterday"


def test_the_future_has_no_age() -> None:
    with pytest.raises(ValueError, match="has not happened"):
        dates.age_text(NOW + timedelta(minutes=1), NOW, LISBON)


@pytest.mark.parametrize(
    ("ahead", "text"),
    [(-1, "yesterday"), (0, "today"), (1, "tomorrow"), (2, "Thursday"), (6, "Monday"),
     (7, "Tue 10 March"), (-3, "Sat 28 February"), (400, "Wed 7 April 2027")],
)  # fmt: skip
def test_a_day_near_by_is_called_by_its_name(ahead: int, text: str) -> None:
    assert dates.day_text(NOW + timedelta(days=ahead), NOW, LISBON) == text


def test_an_instant_is_shown_in_the_zone_of_the_system() -> None:
    assert dates.instant_text(NOW, NOW, LISBON) == "Tue 3 March, 07:40"
    assert dates.instant_text(NOW, NOW, APIA) == "Tue 3 March, 20:40"


def test_ago_reads_well_in_a_sentence() -> None:
    assert dates.ago_text(NOW - timedelta(days=16), NOW, LISBON) == "16 days ago"
    assert dates.ago_text(NOW, NOW, LISBON) == "today"
