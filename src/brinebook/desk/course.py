"""The course of a quantity with hindsight: the levels of the past as all facts now tell them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.estimate import estimate
from brinebook.balance.season import instant
from brinebook.desk.opening import Loaded
from brinebook.measure import Measure
from brinebook.timeline import Fact

#: Points of the line: more can't be told apart on a phone.
POINTS = 120
#: So long before the span the facts are read, so that its beginning rests on something.
#: Points closer than this show the day's own swing; wider ones are put at one hour of the day.
_FINEST_DAILY = timedelta(hours=8)
_LEAD = timedelta(days=180)
#: And so long after it, for what is known by hindsight.
_TRAIL = timedelta(days=60)
#: A book of no more than so long is read as a whole.
_SHORT_BOOK = timedelta(days=800)
#: These go on from when they were written down, however long ago.
_LASTING = {"dosing", "water_change", "top_off"}

Course = Mapping[str, tuple[tuple[datetime, Measure], ...]]


@dataclass(frozen=True, slots=True)
class Span:
    """From when to when a course is wanted; both aware."""

    begins: datetime
    ends: datetime

    def times(self, hour: timedelta) -> list[datetime]:
        """The points, evenly apart, and the end.

        Where they lie a day or more apart they all lie at the same hour (a time since midnight,
        UTC): levels swing by the day, with the dosing, and the line would swing with the gaps.
        """
        step = (self.ends - self.begins) / POINTS
        if step < _FINEST_DAILY:
            return [self.begins + step * k for k in range(1, POINTS + 1)]
        days = max(-(-(self.ends - self.begins) // timedelta(days=POINTS)), 1)
        midnight = self.ends.replace(hour=0, minute=0, second=0, microsecond=0)
        found = [self.ends]
        when = midnight + hour
        while when > self.begins:
            if when < self.ends:
                found.append(when)
                when -= timedelta(days=days)
            else:
                when -= timedelta(days=1)
        return sorted(found)


def course(loaded: Loaded, span: Span) -> Course:
    """The levels of every quantity over a span, in canonical units.

    In a long book it rests on the facts of the span and half a year before it.
    """
    facts = facts_for(loaded, span.begins, span.ends)
    found: dict[str, list[tuple[datetime, Measure]]] = {}
    for season in estimate(loaded.system, facts, span.ends, course=span.times(_usual_hour(facts))):
        for position, name in enumerate(season.season.quantities):
            first = min((test.t for test in season.season.tests if test.quantity == name),
                        default=None)  # fmt: skip
            if first is None:
                continue
            found[name] = [
                (instant(point.t),
                 Measure(float(point.level[position]), float(point.level_sd[position]), ""))
                for point in season.course if point.t >= first
            ]  # fmt: skip
    return {name: tuple(points) for name, points in found.items()}


def _usual_hour(facts: Sequence[Fact]) -> timedelta:
    """The hour at which half of the tests are earlier in the day: noon without any."""
    hours = sorted(
        timedelta(hours=fact.when.hour, minutes=fact.when.minute)
        for fact in facts[-1000:]
        if fact.kind == "test"
    )
    return hours[len(hours) // 2] if hours else timedelta(hours=12)


def facts_for(loaded: Loaded, begins: datetime, ends: datetime) -> list[Fact]:
    """The facts that a look at a period rests on: all of a short book, else those of the period
    with half a year before it and two months after, and what goes on from earlier."""
    known = [fact for fact in loaded.facts if fact.when <= loaded.at]
    if not known or known[-1].when - known[0].when <= _SHORT_BOOK:
        return known
    return [fact for fact in known if _counts(fact, begins, ends)]


def _counts(fact: Fact, begins: datetime, ends: datetime) -> bool:
    if fact.when > ends + _TRAIL:
        return False
    if fact.when >= begins - _LEAD or fact.kind == "media":
        return True
    return fact.kind in _LASTING and "/" in fact.unit
