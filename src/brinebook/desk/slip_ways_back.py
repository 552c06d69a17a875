"""The ways back to a salinity: fresh water in, system water out, salt water in place of top-off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_words import amount_text, measurable, typed
from brinebook.measure import Measure
from brinebook.plan import Expected, Step
from brinebook.planning import slips
from brinebook.planning.spread import Floats
from brinebook.report.numbers import plain_text
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import convert_amount

#: Over so many days the falling marks of the top-off container tell what evaporates.
_MARKS = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Shift:
    """Salinity before and after, and the goal; ``missing`` and ``extra`` are litres of water."""

    before: Measure
    after: Measure
    drawn: Floats
    goal: float
    per_day: float
    origin: str
    text: str
    equation: str
    missing: float = 0.0
    extra: float = 0.0


def _marks(shift: Shift) -> list[float]:
    """Salinity at the end of each day of the way back, none of them a longer step than allowed."""
    away = shift.goal - shift.after.value
    days = max(1, math.ceil(abs(away) / shift.per_day - 1e-6))
    return [shift.after.value + away * (k + 1) / days for k in range(days)]


def way_back(now: WaterNow, shift: Shift) -> tuple[Step, ...]:
    """The steps back to the goal, no day longer than the limit allows."""
    if shift.missing:
        return _refill(now, shift)
    if shift.after.value > shift.goal:
        return _by_swaps(now, shift)
    return _by_salt(now, shift)


def _expected(shift: Shift, value: float, when: datetime) -> tuple[Expected, ...]:
    spread = shift.after.sd + 0.05
    return (Expected("salinity", when, value, value - 2 * spread, value + 2 * spread),)


def _refill(now: WaterNow, shift: Shift) -> tuple[Step, ...]:
    """Fresh water back in, a part a day."""
    volume = now.litres.value
    have, steps = volume - shift.missing, []
    for day, mark in enumerate(_marks(shift)):
        # S V stays: the water that makes it so salty holds before * V / mark litres.
        wanted = min(shift.before.value * volume / mark, volume)
        litres = measurable(wanted - have, "L")
        have = wanted
        when = now.at + timedelta(days=day)
        steps.append(
            Step(
                when,
                when + timedelta(hours=18),
                "top_off",
                "",
                typed(litres),
                "L",
                say(
                    "Put in {litres} of fresh water, slowly, over an hour or more.",
                    litres=amount_text(litres, "L"),
                ),
                expects=_expected(shift, mark, when + timedelta(hours=12)),
            )
        )
    return (*steps, _test(steps[-1].when))


def _by_swaps(now: WaterNow, shift: Shift) -> tuple[Step, ...]:
    steps, have = [], shift.after.value
    for day, mark in enumerate(_marks(shift)):
        litres = measurable(slips.fresh_swap(have, mark, now.litres.value), "L")
        have = mark
        when = now.at + timedelta(days=day)
        steps.append(
            Step(
                when,
                when + timedelta(hours=18),
                "removed",
                "",
                typed(litres),
                "L",
                say(
                    "Take out {litres} of system water and let fresh top-off take "
                    "its place, over an hour or more.",
                    litres=amount_text(litres, "L"),
                ),
                expects=_expected(shift, mark, when + timedelta(hours=12)),
            )
        )
    return (*steps, _test(steps[-1].when))


def _by_salt(now: WaterNow, shift: Shift) -> tuple[Step, ...]:
    steps = []
    if shift.extra:
        litres = measurable(shift.extra, "L")
        steps.append(
            Step(
                now.at,
                now.at + timedelta(hours=12),
                "removed",
                "",
                typed(litres),
                "L",
                say(
                    "Take out {litres} to be back at the usual level, and see why it ran in.",
                    litres=amount_text(litres, "L"),
                ),
            )
        )
    days = salt_top_off_days(now, shift)
    slow = math.ceil(abs(shift.goal - shift.after.value) / shift.per_day - 1e-6)
    count = max(slow, math.ceil(days) if math.isfinite(days) else slow)
    if not math.isfinite(days):
        return (*steps, *_by_strong_changes(now, shift), _test(now.at + timedelta(days=slow)))
    litres = measurable(evaporation_of(now) * days / count, "L")
    salinity = plain_text(round(shift.goal, 1))
    for day in range(count):
        when = now.at + timedelta(days=day)
        mark = shift.after.value + (shift.goal - shift.after.value) * (day + 1) / count
        steps.append(
            Step(
                when,
                when + timedelta(hours=20),
                "event",
                "salt_top_off",
                typed(litres),
                "L",
                say(
                    "Top off with {litres} of salt water of {salinity} PSU instead of fresh.",
                    litres=amount_text(litres, "L"),
                    salinity=salinity,
                ),
                detail={"salinity": typed(shift.goal)},
                expects=_expected(shift, mark, when + timedelta(days=1)),
            )
        )
    return (*steps, _test(steps[-1].when))


def _by_strong_changes(now: WaterNow, shift: Shift) -> tuple[Step, ...]:
    """Changes with somewhat saltier water, where nothing tells what evaporates."""
    have, steps = shift.after.value, []
    mix = now.system.mixes[0].name if now.system.mixes else ""
    for day, mark in enumerate(_marks(shift)):
        share = min(0.3, max(0.1, (mark - have) / 6.0))
        salinity = slips.change_salinity_for(have, mark, share)
        litres = measurable(share * now.litres.value, "L")
        have = mark
        when = now.at + timedelta(days=day)
        steps.append(
            Step(
                when,
                when + timedelta(hours=18),
                "water_change",
                mix,
                typed(litres),
                "L",
                say(
                    "Change {litres} with new water of {salinity:.1f} PSU, slowly, warmed.",
                    litres=amount_text(litres, "L"),
                    salinity=salinity,
                ),
                detail={"salinity": typed(round(salinity, 1))},
                expects=_expected(shift, mark, when + timedelta(hours=12)),
            )
        )
    return tuple(steps)


def _test(last: datetime) -> Step:
    when = last + timedelta(hours=20)
    return Step(
        when,
        when + timedelta(days=1),
        "test",
        "salinity",
        "",
        "",
        say("Test salinity, at the temperature that the meter wants."),
    )


def salt_top_off_days(now: WaterNow, shift: Shift) -> float:
    """Days of salt water as top-off to the goal; infinite where nothing tells what evaporates."""
    evaporation = evaporation_of(now)
    if not evaporation:
        return math.inf
    return slips.salt_top_off_days(
        shift.after.value,
        shift.goal,
        now.litres.value,
        evaporation=evaporation,
        poured_salinity=shift.goal,
    )


def evaporation_by_marks(facts: tuple[Fact, ...], at: datetime) -> float | None:
    """Litres a day that left the top-off container over its last two weeks of marks, if any.

    A mark above the one before means that it was filled in between, and starts anew.
    """
    marks = sorted(
        (fact.when, convert_amount(float(fact.value), fact.unit, "L"))
        for fact in facts
        if fact.kind == "level" and fact.what == "top-off" and at - _MARKS <= fact.when <= at
    )
    fallen = days = 0.0
    for (earlier, had), (later, has) in pairwise(marks):
        if has <= had:
            fallen += had - has
            days += (later - earlier) / timedelta(days=1)
    return fallen / days if days >= 2.0 and fallen > 0.0 else None


def evaporation_of(now: WaterNow) -> float:
    """L/day: as said, else by the marks; 0 where nothing tells."""
    return now.evaporation or evaporation_by_marks(now.facts, now.at) or 0.0
