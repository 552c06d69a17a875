"""When to test again, and what the answer asks of the keeper today. No arithmetic of the water."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.answer import Answer, QuantityAnswer
from brinebook.measure import Measure

#: How long a quantity may go untested when nothing presses, days (common practice, no source).
LONGEST_DAYS = {
    "alkalinity": 10, "calcium": 21, "magnesium": 35, "potassium": 60, "strontium": 90,
    "nitrate": 14, "phosphate": 14, "salinity": 14, "temperature": 3, "ph": 14,
}  # fmt: skip
_DEFAULT_DAYS = 30
#: How many standard deviations of the belief must lie within the band before a test is spared.
_SPARE_SDS = 1.3


@dataclass(frozen=True, slots=True)
class NextTest:
    """By when a quantity is worth testing, and why."""

    quantity: str
    by: datetime
    why: str


def next_test(answer: Answer, quantity: QuantityAnswer) -> NextTest:
    """The day on which the 95 % interval reaches the keeper's band, or the usual longest pause."""
    longest = timedelta(days=LONGEST_DAYS.get(quantity.name, _DEFAULT_DAYS))
    tested = quantity.tested or answer.at
    latest = max(tested + longest, answer.at)
    earliest = max(tested + timedelta(days=1), answer.at)
    if tested + longest <= answer.at:
        why = f"The last test is {(answer.at - tested).days} days old: longer than the usual pause."
        return NextTest(quantity.name, answer.at, why)
    if quantity.band is None:
        return NextTest(quantity.name, latest, "No band is set; this is the usual pause.")
    if quantity.status == "stale":
        return NextTest(quantity.name, answer.at, "The last test is too old to say where it is.")
    if _side(quantity, quantity.now):
        why = f"It may already be past the {_side(quantity, quantity.now)} end of your band."
        return NextTest(quantity.name, min(latest, max(earliest, answer.at)), why)
    for when, each in quantity.forecast:
        side = _side(quantity, each)
        if side:
            why = f"By then it may be past the {side} end of your band."
            return NextTest(quantity.name, min(latest, max(when, earliest)), why)
    return NextTest(quantity.name, latest, "The band holds for a week; this is the usual pause.")


def _side(quantity: QuantityAnswer, measure: Measure) -> str:
    """The end of the band that the belief reaches past, or nothing."""
    if quantity.band is None:
        return ""
    if measure.value - _SPARE_SDS * measure.sd < quantity.band[0]:
        return "low"
    return "high" if measure.value + _SPARE_SDS * measure.sd > quantity.band[1] else ""
