"""“Yesterday evening” and other times as people say them, read in the system's own zone."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from brinebook.book.rows import Problem, read_when
from brinebook.errors import UsageProblem
from brinebook.texts import say

#: When in the day a part of it is taken to be.
PARTS = {
    "morning": time(8), "noon": time(12), "midday": time(12), "afternoon": time(15),
    "evening": time(20), "night": time(22),
}  # fmt: skip
_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.h]([0-5]\d)", re.ASCII)
_AGO = re.compile(r"(\d{1,4}|an?)\s*(min|minute|h|hour|day|week)s?\s+ago", re.ASCII)
_SPANS = {
    "min": timedelta(minutes=1),
    "minute": timedelta(minutes=1),
    "h": timedelta(hours=1),
    "hour": timedelta(hours=1),
    "day": timedelta(days=1),
    "week": timedelta(weeks=1),
}
#: Until this hour “today” may well have been meant as yesterday.
SMALL_HOURS = 4


class WhenUnreadable(UsageProblem):
    """The time of a fact can't be read, or can't be."""

    code = "E-WHEN"

    def __init__(self, text: str, why: str) -> None:
        super().__init__(
            say("{text!r} can't be the time of a fact: {why}.", text=text, why=why),
            say(
                "Write 2026-03-01T09:00, 09:00, “this morning”, “yesterday evening” "
                "or “2 hours ago”."
            ),
        )


def read_moment(text: str | None, *, zone: ZoneInfo, now: datetime) -> datetime:
    """The instant meant, in UTC to the second. ``None`` is now. Raises WhenUnreadable."""
    if text is None:
        return now.replace(microsecond=0)
    words = " ".join(text.lower().split())
    spoken = _spoken(words, now.astimezone(zone))
    if spoken is not None:
        when = spoken.astimezone(UTC)
        if when > now:
            raise WhenUnreadable(text, say("that hasn't come yet"))
        return when.replace(microsecond=0)
    found = read_when(text.strip(), zone=zone, now=now)
    if isinstance(found, Problem):
        raise WhenUnreadable(text, found.reason)
    return found


def is_small_hours(now: datetime, zone: ZoneInfo) -> bool:
    """Whether it is between midnight and four where the system stands."""
    return now.astimezone(zone).hour < SMALL_HOURS


def _spoken(words: str, local: datetime) -> datetime | None:
    if words in {"now", "just now"}:
        return local
    ago = _AGO.fullmatch(words)
    if ago:
        count = 1 if ago[1].startswith("a") else int(ago[1])
        # Hours are real hours, days are days of the calendar at the same clock time.
        span = count * _SPANS[ago[2]]
        if ago[2] in {"day", "week"}:
            return local - span
        return (local.astimezone(UTC) - span).astimezone(local.tzinfo)
    day, rest = _day(words, local)
    if day is None:
        return None
    at = PARTS.get(rest)
    clock = _CLOCK.fullmatch(rest)
    if clock:
        at = time(int(clock[1]), int(clock[2]))
    elif at is None:
        return None
    return datetime.combine(day, at, tzinfo=local.tzinfo)


def _day(words: str, local: datetime) -> tuple[date | None, str]:
    today = local.date()
    yesterday = today - timedelta(days=1)
    for start, day in (("today", today), ("this", today), ("yesterday", yesterday)):
        if words.startswith(f"{start} "):
            return day, words[len(start) + 1 :].removeprefix("at ")
    if words in {"last night", "last evening"}:
        return yesterday, words.removeprefix("last ")
    if words == "tonight":
        return today, "night"
    return (today, words) if _CLOCK.fullmatch(words) else (None, words)
