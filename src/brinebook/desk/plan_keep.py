"""Accepting a plan, doing its steps, and setting what came against what was expected."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Literal, cast

from brinebook.book import plans as stored
from brinebook.book.identity import from_us, to_us
from brinebook.book.plans import PlanRow
from brinebook.book.systems import Entered
from brinebook.desk import record
from brinebook.desk.opening import Loaded, OpenSystem, aware
from brinebook.desk.record import COMMAND_LINE, Recorded
from brinebook.desk.wording import Worded, split_typed
from brinebook.errors import UsageProblem
from brinebook.plan import Came, KeptPlan, KeptStep, Mark, Plan
from brinebook.planning.keeping import came_of, not_yet, steps_of
from brinebook.report.plan_json import named, plan_from_json, plan_json
from brinebook.texts import say
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from brinebook.balance.course import CoursePoint

#: Plans made longer ago say nothing in Today any more.
_STALE = timedelta(days=100)


class NothingToAccept(UsageProblem):
    """A plan without steps was to be accepted."""

    code = "E-PLAN-NO-STEPS"

    def __init__(self, headline: str) -> None:
        super().__init__(
            say("This plan has no steps that could be done, so there is nothing to accept."),
            headline,
        )


class StepUnclear(UsageProblem):
    """A step was named that the plan doesn't have, or that is done, or none where one is needed."""

    code = "E-PLAN-STEP"

    def __init__(self, why: str, plan_id: str) -> None:
        super().__init__(
            f"{why}.", say("“brinebook plan show {plan_id}” lists its steps.", plan_id=plan_id)
        )


@dataclass(frozen=True, slots=True)
class Accepted:
    """A plan as kept; ``new`` is False where the very same stood in the book already."""

    plan: Plan
    new: bool


def accept(
    opened: OpenSystem, plan: Plan, *, now: datetime, by: str = "", through: str = COMMAND_LINE
) -> Accepted:
    """Keep a plan in the book. Raises NothingToAccept, and what writing a book raises."""
    if not plan.steps:
        raise NothingToAccept(plan.headline)
    plan = named(plan)
    content = json.dumps(plan_json(plan), ensure_ascii=False, sort_keys=True)
    with opened.book.write() as connection:
        new = stored.accept(
            connection,
            opened.system_id,
            plan.id,
            content=content,
            entered=Entered(to_us(now), by, through),
        )
    return Accepted(plan, new)


def as_of(loaded: Loaded, at: datetime) -> Loaded:
    """The same facts without those after ``at``: what is due is told as of then."""
    return replace(loaded, at=at, facts=tuple(fact for fact in loaded.facts if fact.when <= at))


def kept_plans(loaded: Loaded, *, known: datetime | None = None) -> tuple[KeptPlan, ...]:
    """Every accepted plan made by ``loaded.at``, newest first, with the state of its steps."""
    known_us = None if known is None else to_us(aware(known, loaded.zone) or loaded.at)
    with loaded.book.read() as connection:
        rows = stored.all_rows(connection, loaded.opened.system_id, known_us=known_us)
    grouped: dict[str, list[PlanRow]] = {}
    for row in rows:
        grouped.setdefault(row.plan_id, []).append(row)
    found = [_kept(group, loaded.facts, at=loaded.at) for group in grouped.values()]
    past = [one for one in found if one.plan.at <= loaded.at]
    return tuple(sorted(past, key=lambda one: (one.plan.at, one.plan.id), reverse=True))


def _kept(rows: Sequence[PlanRow], facts: Sequence[Fact], *, at: datetime) -> KeptPlan:
    first = max(
        (row for row in rows if row.action == stored.ACCEPTED), key=lambda row: row.revision
    )
    plan = plan_from_json(json.loads(first.content))
    later = [row for row in rows if row.revision > first.revision]
    marks = [
        Mark(
            cast("Literal['done', 'skipped', 'dropped']", row.action), row.step, row.fact,
            from_us(row.entered.at_us), row.entered.by,
        )
        for row in later
    ]  # fmt: skip
    dropped = next((mark.entered for mark in marks if mark.action == "dropped"), None)
    return KeptPlan(
        plan,
        from_us(first.entered.at_us),
        first.entered.by,
        steps_of(plan, marks, facts, at=at),
        dropped,
    )


def kept_plan(loaded: Loaded, plan_id: str) -> KeptPlan:
    """One accepted plan by its id or the beginning of it. Raises PlanUnknownHere."""
    with loaded.book.read() as connection:
        wanted = stored.find_id(connection, loaded.opened.system_id, plan_id)
        rows = stored.rows_of(connection, loaded.opened.system_id, wanted)
    return _kept(rows, loaded.facts, at=loaded.at)


def open_plans(loaded: Loaded) -> tuple[KeptPlan, ...]:
    """The accepted plans of the last months with a step that is due or to come."""
    return tuple(
        kept for kept in kept_plans(loaded) if kept.is_open and kept.plan.at > loaded.at - _STALE
    )


def due_steps(plans: Sequence[KeptPlan]) -> tuple[tuple[KeptPlan, KeptStep], ...]:
    """The steps of these plans that are due, soonest first."""
    found = [(kept, step) for kept in plans for step in kept.steps if step.state == "due"]
    found.sort(key=lambda pair: (pair[1].step.when, pair[0].plan.id, pair[1].number))
    return tuple(found)


# ---- doing --------------------------------------------------------------------------------------


def do_step(
    loaded: Loaded,
    plan_id: str,
    number: int | None = None,
    *,
    amount: str | None = None,
    when: datetime | None = None,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
) -> Recorded:
    """Write a step down as the fact that it is, as planned or with another amount.

    Without a number the first step that is due, else the next to come. Raises PlanUnknownHere,
    StepUnclear, and what writing a fact raises.
    """
    kept = kept_plan(loaded, plan_id)
    step = _step(kept, number)
    value, unit = step.step.value, step.step.unit
    if amount is not None:
        value, typed_unit = split_typed(amount, quantity=step.step.what)
        unit = typed_unit or unit
    elif step.step.kind == "test":
        raise StepUnclear(say("A test needs its reading: give it with --amount"), kept.plan.id)
    worded = Worded(step.step.kind, step.step.what, value, unit, dict(step.step.detail))
    moment = (when or now).replace(microsecond=0)
    done = record.add_worded(loaded.opened, worded, when=moment, now=now, by=by, through=through)
    _mark(loaded.opened, kept, "done", step.number, fact=done.fact.id, now=now, by=by,
          through=through)  # fmt: skip
    return done


def skip_step(
    loaded: Loaded,
    plan_id: str,
    number: int | None,
    *,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
) -> KeptPlan:
    """Leave a step out. Raises PlanUnknownHere and StepUnclear."""
    kept = kept_plan(loaded, plan_id)
    step = _step(kept, number)
    _mark(loaded.opened, kept, "skipped", step.number, fact="", now=now, by=by, through=through)
    return kept_plan(loaded, kept.plan.id)


def drop(
    loaded: Loaded, plan_id: str, *, now: datetime, by: str = "", through: str = COMMAND_LINE
) -> KeptPlan:
    """Give a plan up: nothing of it is due any more. Raises PlanUnknownHere."""
    kept = kept_plan(loaded, plan_id)
    if kept.dropped is None:
        _mark(loaded.opened, kept, "dropped", 0, fact="", now=now, by=by, through=through)
    return kept_plan(loaded, kept.plan.id)


def _mark(
    opened: OpenSystem,
    kept: KeptPlan,
    action: str,
    step: int,
    *,
    fact: str,
    now: datetime,
    by: str,
    through: str,
) -> None:
    with opened.book.write() as connection:
        stored.mark(
            connection, opened.system_id, kept.plan.id, action=action, step=step, fact=fact,
            entered=Entered(to_us(now), by, through),
        )  # fmt: skip


def _step(kept: KeptPlan, number: int | None) -> KeptStep:
    if kept.dropped is not None:
        raise StepUnclear(say("That plan was given up"), kept.plan.id)
    if number is None:
        open_steps = [s for state in ("due", "missed", "coming") for s in kept.steps
                      if s.state == state]  # fmt: skip
        if not open_steps:
            raise StepUnclear(say("Nothing of that plan is left to do"), kept.plan.id)
        return open_steps[0]
    found = next((step for step in kept.steps if step.number == number), None)
    if found is None:
        raise StepUnclear(say("The plan has no step {number}", number=number), kept.plan.id)
    if found.state == "done":
        raise StepUnclear(say("Step {number} is done already", number=number), kept.plan.id)
    return found


# ---- what came ----------------------------------------------------------------------------------


def what_came(loaded: Loaded, kept: KeptPlan) -> tuple[Came, ...]:
    """Every expectation of the steps that were done, against what the book says was there.

    The levels are those of the balance with hindsight, as of ``loaded.at``.
    """
    wanted = [e for step in kept.steps for e in step.step.expects if step.state != "skipped"]
    past = [e for e in wanted if e.when <= loaded.at]
    if not past:
        return tuple(not_yet(e) for e in wanted)
    from brinebook.balance.estimate import estimate

    seasons = estimate(
        loaded.system, loaded.facts, loaded.at, course=sorted({e.when for e in past})
    )
    levels: dict[str, list[tuple[float, CoursePoint, int]]] = {}
    for season in seasons:
        for point in season.course:
            for place, name in enumerate(season.season.quantities):
                levels.setdefault(name, []).append((point.t, point, place))
    from brinebook.balance.season import days_since_epoch

    found = []
    for expected in wanted:
        day = days_since_epoch(expected.when)
        near = [one for one in levels.get(expected.quantity, []) if abs(one[0] - day) < 1e-6]
        if not near or expected.when > loaded.at:
            found.append(not_yet(expected))
            continue
        _, point, place = near[0]
        found.append(
            came_of(expected, value=float(point.level[place]), sd=float(point.level_sd[place]))
        )
    return tuple(found)
