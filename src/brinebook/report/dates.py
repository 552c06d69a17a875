"""Instants as a keeper reads them: in the system's own zone, by the calendar, in plain words.

All instants are aware. “Now” is always handed in: no clock is read here.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

# Not strftime's: those change with the locale of whoever runs the program.
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def age_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """How old something is, by the calendar: “today”, “yesterday”, “9 days”, “11 weeks”.

    For a column headed by what it is the age of. Raises ValueError for an instant after now.
    """
    if when > now:
        raise ValueError(f"{when.isoformat()} has not happened by {now.isoformat()}: it has no age")
    days = calendar_days(when, now, zone)
    if days == 0:
        return "today"
    if days == 1:
        return "yesterday"
    if days < 60:
        return f"{days} days"
    if days < 26 * 7:
        return f"{days // 7} weeks"
    if days < 2 * 365:
        return f"{round(days / 30.44)} months"
    return f"{days // 365} years"


def ago_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The same inside a sentence: “today”, “yesterday”, “9 days ago”."""
    age = age_text(when, now, zone)
    return age if age in {"today", "yesterday"} else f"{age} ago"


def day_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """A day as one would say it: “today”, “tomorrow”, “Thursday” within six days, else a date."""
    ahead = calendar_days(now, when, zone)
    named = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    if ahead in named:
        return named[ahead]
    if 1 < ahead <= 6:
        return _DAYS[when.astimezone(zone).weekday()]
    return date_text(when, now, zone)


def weekday(when: datetime, zone: ZoneInfo) -> str:
    """“Thursday”."""
    return _DAYS[when.astimezone(zone).weekday()]


def date_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """“Tue 3 March”, with the year where it is not the present one."""
    local = when.astimezone(zone)
    year = "" if local.year == now.astimezone(zone).year else f" {local.year}"
    return f"{_DAYS[local.weekday()][:3]} {local.day} {_MONTHS[local.month - 1]}{year}"


def instant_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """“Tue 3 March, 07:40”, in the system's zone."""
    return f"{date_text(when, now, zone)}, {when.astimezone(zone):%H:%M}"


def calendar_days(start: datetime, end: datetime, zone: ZoneInfo) -> int:
    """Midnights of the zone between two instants; negative where the end comes first."""
    return (end.astimezone(zone).date() - start.astimezone(zone).date()) // timedelta(days=1)
