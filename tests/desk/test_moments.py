"""Times as people say them, in the zone where the system stands."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from brinebook.desk.moments import WhenUnreadable, is_small_hours, read_moment

LISBON = ZoneInfo("Europe/Lisbon")
#: A Sunday evening in summer time: 21:30 in Lisbon (UTC+1, tz database).
NOW = datetime(2026, 7, 5, 20, 30, 15, 123, tzinfo=UTC)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (None, "2026-07-05T20:30:15+00:00"),
        ("now", "2026-07-05T20:30:15+00:00"),
        ("this morning", "2026-07-05T07:00:00+00:00"),
        ("Yesterday Evening", "2026-07-04T19:00:00+00:00"),
        ("last night", "2026-07-04T21:00:00+00:00"),
        ("09:15", "2026-07-05T08:15:00+00:00"),
        ("yesterday at 9:15", "2026-07-04T08:15:00+00:00"),
        ("2 hours ago", "2026-07-05T18:30:15+00:00"),
        ("30 min ago", "2026-07-05T20:00:15+00:00"),
        ("a week ago", "2026-06-28T20:30:15+00:00"),
        ("2026-07-01T10:00", "2026-07-01T09:00:00+00:00"),
        ("2026-07-01T10:00Z", "2026-07-01T10:00:00+00:00"),
    ],
)
def test_what_is_said_is_what_is_meant(said: str | None, meant: str) -> None:
    assert read_moment(said, zone=LISBON, now=NOW).isoformat() == meant


@pytest.mark.parametrize("said", ["tonight", "23:00", "soon", "", "2027-01-01", "yesterday"])
def test_what_has_not_come_yet_or_says_nothing_is_refused(said: str) -> None:
    with pytest.raises(WhenUnreadable) as caught:
        read_moment(said, zone=LISBON, now=NOW)
    assert caught.value.exit_status == 2


def test_days_ago_keep_the_clock_time_over_a_change_of_the_clocks() -> None:
    # Summer time began in Portugal on 29 March 2026 at 01:00 UTC (EU directive 2000/84/EC).
    now = datetime(2026, 3, 29, 20, 0, tzinfo=UTC)
    assert read_moment("1 day ago", zone=LISBON, now=now).isoformat() == "2026-03-28T21:00:00+00:00"


def test_the_small_hours_are_those_of_the_systems_clock() -> None:
    assert is_small_hours(datetime(2026, 7, 5, 23, 30, tzinfo=UTC), LISBON)
    assert not is_small_hours(datetime(2026, 7, 5, 3, 30, tzinfo=UTC), LISBON)
