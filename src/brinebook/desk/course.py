"""The course of a quantity with hindsight: the levels of the past as all facts now tell them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.estimate import estimate
from brinebook.balance.season import instant
from brinebook.desk.opening import Loaded
from brinebook.desk.remembering import recall
from brinebook.measure import Measure
from brinebook.timeline import Fact

#: Points of the line: more can't be told apart on a phone.
POINTS = 120
#: Points closer than this show the day's own swing; wider ones are put at one hour of the day.
_FINEST_DAILY = timedelta(hours=8)

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
    """The levels of every quantity over a span, in canonical units."""
    seasons = estimate(
        loaded.system,
        loaded.facts,
        loaded.at,
        course=span.times(_usual_hour(loaded.facts)),
        remembered=recall(loaded),
    )
    found: dict[str, list[tuple[datetime, Measure]]] = {}
    for season in seasons:
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
