"""What became of an accepted plan: which steps are due, done or missed, and what came of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from brinebook.errors import BrinebookError
from brinebook.measure import Z95
from brinebook.plan import Came, Expected, KeptPlan, KeptStep, Mark, Plan, Step, StepState
from brinebook.timeline import Fact
from brinebook.units import convert_amount

#: A fact written down by hand counts as the step where it lies this near to it.
_EARLY = timedelta(hours=18)
#: And where its amount is that of the step within this share: common practice, no source.
_ABOUT = 0.25
#: Kinds of steps that change the water, or what goes into it every day.
_MOVES_WATER = ("dose", "dosing", "water_change", "media", "top_off", "removed")
#: What came is told apart from what was expected from so many standard deviations on.
_APART = 2.0


def steps_of(
    plan: Plan, marks: Sequence[Mark], facts: Sequence[Fact], *, at: datetime
) -> tuple[KeptStep, ...]:
    """Every step with its state at ``at``.

    A step is done where a mark names a fact that still stands, or where a fact of the same kind and
    thing, about the same amount, stands near its time; each fact counts for one step only.
    """
    standing = {fact.id: fact for fact in facts}
    used = {mark.fact for mark in marks if mark.action == "done" and mark.fact in standing}
    found = []
    for number, step in enumerate(plan.steps, start=1):
        mine = [mark for mark in marks if mark.step == number]
        fact = next(
            (standing[mark.fact] for mark in mine if mark.fact in standing), None
        ) or _by_hand(step, facts, used, at=at)
        if fact is not None:
            used.add(fact.id)
        skipped = any(mark.action == "skipped" for mark in mine)
        found.append(KeptStep(number, step, _state(step, fact, at=at, skipped=skipped), fact))
    return tuple(found)


def _state(step: Step, fact: Fact | None, *, at: datetime, skipped: bool) -> StepState:
    if fact is not None:
        return "done"
    if skipped:
        return "skipped"
    if at < step.when:
        return "coming"
    return "due" if at <= step.until else "missed"


def _by_hand(step: Step, facts: Sequence[Fact], used: set[str], *, at: datetime) -> Fact | None:
    begins, ends = step.when - _EARLY, min(step.until, at)
    near = [
        fact
        for fact in facts
        if fact.kind == step.kind
        and fact.id not in used
        and begins <= fact.when <= ends
        and (fact.what.casefold() == step.what.casefold() or not step.what)
        and not fact.detail.get("of")
        and _is_about(step, fact)
    ]
    return min(near, key=lambda fact: abs(fact.when - step.when), default=None)


def _is_about(step: Step, fact: Fact) -> bool:
    if step.kind == "test" or not step.value:
        return True
    try:
        planned, done = float(step.value), float(fact.value)
        if fact.unit != step.unit:
            done = convert_amount(done, fact.unit, step.unit)
    except (ValueError, BrinebookError):
        return False
    return abs(done - planned) <= _ABOUT * abs(planned)


def came_of(expected: Expected, *, value: float, sd: float) -> Came:
    """An expectation set against what is known to have been there."""
    spread = (expected.high - expected.low) / (2.0 * Z95)
    apart = (value - expected.value) / max(math.hypot(spread, sd), 1e-12)
    verdict = "as expected"
    if apart <= -_APART:
        verdict = "lower"
    elif apart >= _APART:
        verdict = "higher"
    return Came(expected, value, sd, verdict)


def not_yet(expected: Expected) -> Came:
    """An expectation whose time hasn't come, or that no test can tell of."""
    return Came(expected, None, None, "can't tell yet")


def as_planned(steps: Sequence[KeptStep], *, before: int) -> bool:
    """Whether every step that moves the water, up to that number, is to come or done as planned."""
    mine = [one for one in steps if one.number <= before and one.step.kind in _MOVES_WATER]
    return all(
        one.state in ("coming", "due") or (one.fact is not None and _is_about(one.step, one.fact))
        for one in mine
    )


def expectations(steps: Sequence[KeptStep]) -> tuple[tuple[Expected, bool], ...]:
    """What the steps expect, and whether all that should bring it was done as planned.

    A step that was left out or missed, or done with another amount, spoils what is expected from
    then on. What a skipped step itself expects isn't told.
    """
    return tuple(
        (each, as_planned(steps, before=one.number))
        for one in steps
        if one.state != "skipped"
        for each in one.step.expects
    )


def is_same_matter(plan: Plan, other: Plan) -> bool:
    """Whether the two are answers to the same question, so that only one of them can be done."""
    return bool(plan.about) and plan.kind == other.kind and set(plan.about) == set(other.about)


def share_limits(plan: Plan, other: KeptPlan) -> bool:
    """Whether both would move the same thing, or the whole water, in the days to come."""
    left = any(
        one.state in ("coming", "due") and one.step.kind in _MOVES_WATER for one in other.steps
    )
    mine = any(step.kind in _MOVES_WATER for step in plan.steps)
    alike = plan.kind == other.plan.kind or set(plan.about) & set(other.plan.about)
    return other.is_open and left and mine and bool(alike)
