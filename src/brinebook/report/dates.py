"""Instants as a keeper reads them: in the system's own zone, by the calendar, in plain words.

All instants are aware. “Now” is always handed in: no clock is read here.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from brinebook.texts import Spoken, SpokenLine, date_order, phrase, say, say_count

# Not strftime's: those change with the locale of whoever runs the program.
_DAYS = SpokenLine(
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"
)  # fmt: skip
_SHORT_DAYS = SpokenLine("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = SpokenLine(
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
#: A date with its year and without, in each order that a description may ask for.
_DATES = {
    "day first": (
        phrase("{weekday} {day} {month}"),
        phrase("{weekday} {day} {month} {year}"),
    ),
    "month first": (
        phrase("{weekday} {month} {day}"),
        phrase("{weekday} {month} {day}, {year}"),
    ),
    "year first": (
        phrase("{weekday} {month} {day}"),
        phrase("{weekday} {year} {month} {day}"),
    ),
}
_NAMED = Spoken({-1: "yesterday", 0: "today", 1: "tomorrow"})


def age_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """How old something is, by the calendar: “today”, “yesterday”, “9 days”, “11 weeks”.

    For a column headed by what it is the age of. Raises ValueError for an instant after now.
    """
    if when > now:
        raise ValueError(f"{when.isoformat()} has not happened by {now.isoformat()}: it has no age")
    days = calendar_days(when, now, zone)
    if days < 2:
        return say("today") if days == 0 else say("yesterday")
    if days < 60:
        return say_count(days, "{count} day", "{count} days")
    if days < 26 * 7:
        return say_count(days // 7, "{count} week", "{count} weeks")
    if days < 2 * 365:
        return say_count(round(days / 30.44), "{count} month", "{count} months")
    return say_count(days // 365, "{count} year", "{count} years")


def ago_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The same inside a sentence: “today”, “yesterday”, “9 days ago”."""
    age = age_text(when, now, zone)
    return age if calendar_days(when, now, zone) < 2 else say("{age} ago", age=age)


def day_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """A day as one would say it: “today”, “tomorrow”, “Thursday” within six days, else a date."""
    ahead = calendar_days(now, when, zone)
    if ahead in _NAMED:
        return _NAMED[ahead]
    if 1 < ahead <= 6:
        return _DAYS[when.astimezone(zone).weekday()]
    return date_text(when, now, zone)


def weekday(when: datetime, zone: ZoneInfo) -> str:
    """“Thursday”."""
    return _DAYS[when.astimezone(zone).weekday()]


def date_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """“Tue 3 March”, with the year where it is not the present one."""
    local = when.astimezone(zone)
    other_year = local.year != now.astimezone(zone).year
    return say(
        _DATES[date_order()][other_year],
        weekday=_SHORT_DAYS[local.weekday()],
        day=local.day,
        month=_MONTHS[local.month - 1],
        year=local.year,
    )


def instant_text(when: datetime, now: datetime, zone: ZoneInfo) -> str:
    """“Tue 3 March, 07:40”, in the system's zone."""
    return f"{date_text(when, now, zone)}, {when.astimezone(zone):%H:%M}"


def calendar_days(start: datetime, end: datetime, zone: ZoneInfo) -> int:
    """Midnights of the zone between two instants; negative where the end comes first."""
    return (end.astimezone(zone).date() - start.astimezone(zone).date()) // timedelta(days=1)
