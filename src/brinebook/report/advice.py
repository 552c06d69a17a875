"""When to test again: where a test would change what one does, and no sooner.

A test is due when the 95 % interval has reached the keeper's band and one more test would narrow it
enough to matter; else at the end of a usual pause. What presses is named by its day; the rest waits
for the weekend, together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer, QuantityAnswer
from brinebook.balance.worth import narrowing
from brinebook.measure import Measure
from brinebook.texts import say

#: How long a quantity may go untested when nothing presses, days (common practice, no source).
LONGEST_DAYS = {
    "alkalinity": 10, "calcium": 21, "magnesium": 35, "potassium": 60, "strontium": 90,
    "nitrate": 14, "phosphate": 14, "salinity": 14, "temperature": 7, "ph": 30, "ammonia": 30,
    "nitrite": 30,
}  # fmt: skip
_DEFAULT_DAYS = 30
#: What may go wrong within days; everything else can wait for a weekend (common practice).
URGENT = ("ammonia", "nitrite", "temperature", "alkalinity", "salinity")
#: A test is worth its reagent where it narrows the range by this share (common practice).
WORTH = 0.2
#: A test sooner than so many days after the last tells little new: of what may go wrong within
#: days, of the rest, and where the water is surely outside (common practice).
_PAUSE_DAYS, _PAUSE_SLOW_DAYS, _PAUSE_OUTSIDE_DAYS = 2, 5, 3
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class NextTest:
    """By when a quantity is worth testing, and why; ``overdue`` where the usual pause is over."""

    quantity: str
    by: datetime
    why: str
    overdue: bool = False


def longest_pause(quantity: str) -> timedelta:
    """How long a quantity may go untested when nothing presses."""
    return timedelta(days=LONGEST_DAYS.get(quantity, _DEFAULT_DAYS))


def next_test(answer: Answer, quantity: QuantityAnswer) -> NextTest:
    """The day on which one more test would tell something, or the end of the usual pause."""
    tested = quantity.tested or answer.at
    pause_over = tested + longest_pause(quantity.name)
    if pause_over <= answer.at:
        age = (answer.at - tested).days
        why = say("The last test is {age} days old: longer than the usual pause.", age=age)
        return NextTest(quantity.name, answer.at, why, overdue=True)
    latest = max(pause_over, answer.at)
    if quantity.band is None:
        return NextTest(quantity.name, latest, say("No band is set; this is the usual pause."))
    if _is_surely_outside(quantity):
        by = min(max(tested + _PAUSE_OUTSIDE_DAYS * _DAY, answer.at), latest)
        return NextTest(
            quantity.name, by, say("It is outside your band: a test shows where it goes.")
        )
    for when, each in ((answer.at, quantity.now), *quantity.forecast):
        side = reached_side(quantity, each)
        if side and _tells(answer, quantity, each):
            by = min(max(when, tested + _least_pause(quantity.name)), latest)
            tense = say("may already") if when == answer.at else say("may by then")
            why = say(
                "It {tense} be past the {side} end of your band, and a test would tell.",
                tense=tense,
                side=say("low") if side == "low" else say("high"),
            )
            return NextTest(quantity.name, by, why)
    return NextTest(quantity.name, latest, say("Nothing presses; this is the usual pause."))


def _least_pause(quantity: str) -> timedelta:
    return (_PAUSE_DAYS if quantity in URGENT else _PAUSE_SLOW_DAYS) * _DAY


def reached_side(quantity: QuantityAnswer, measure: Measure) -> str:
    """The end of the band that the 95 % interval reaches past, the farther one; or nothing."""
    if quantity.band is None:
        return ""
    under, over = quantity.band[0] - measure.low, measure.high - quantity.band[1]
    if max(under, over) <= 0.0:
        return ""
    return "low" if under >= over else "high"


def _is_surely_outside(quantity: QuantityAnswer) -> bool:
    if quantity.band is None:
        return False
    return quantity.now.high < quantity.band[0] or quantity.now.low > quantity.band[1]


def _tells(answer: Answer, quantity: QuantityAnswer, belief: Measure) -> bool:
    """Whether one more test by the usual method would narrow a belief enough to matter."""
    methods = [each for each in answer.methods if each.quantity == quantity.name]
    if not methods:
        return True
    best = min(methods, key=lambda each: (each.sd, each.method, each.lot))
    return narrowing(belief.sd, best.sd, bias_sd=best.bias.sd) >= WORTH


@dataclass(frozen=True, slots=True)
class Sitting:
    """Tests that go together: which, by when, and whether that is today."""

    tests: tuple[NextTest, ...]
    by: datetime
    today: bool


def sittings(tests: Sequence[NextTest], at: datetime, zone: ZoneInfo) -> tuple[Sitting, ...]:
    """The tests due now: at most one sitting today and one at the weekend.

    What presses is due today. The rest of what is due waits for Saturday and Sunday, and comes
    along where somebody sits down to test today at a weekend.
    """
    due = [test for test in tests if test.by <= at + _DAY / 2]
    rank = {name: place for place, name in enumerate(URGENT)}
    due.sort(key=lambda test: (rank.get(test.quantity, 99), test.quantity))
    pressing = [test for test in due if test.quantity in URGENT]
    waiting = [test for test in due if test.quantity not in URGENT]
    found = []
    evening = _evening(at, zone, 0)
    sunday = _evening(at, zone, 6 - at.astimezone(zone).weekday())
    if pressing:
        found.append(Sitting(tuple(pressing), evening, today=True))
    if waiting:
        found.append(Sitting(tuple(waiting), sunday, today=False))
    return tuple(found)


def _evening(at: datetime, zone: ZoneInfo, days: int) -> datetime:
    """Eight in the evening so many days on, by the calendar; never before now."""
    day = at.astimezone(zone).date() + timedelta(days=days)
    evening = datetime.combine(day, time(20), tzinfo=zone).astimezone(at.tzinfo)
    return max(evening, at)
