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
from brinebook.plan import NOT_AS_PLANNED, Came, KeptPlan, KeptStep, Mark, Plan
from brinebook.planning.keeping import (
    came_of,
    expectations,
    is_same_matter,
    not_yet,
    share_limits,
    steps_of,
)
from brinebook.report.dates import day_text
from brinebook.report.plan_json import named, plan_from_json, plan_json
from brinebook.texts import Spoken, say
from brinebook.timeline import Fact
from brinebook.units import convert_amount

if TYPE_CHECKING:
    from brinebook.balance.course import CoursePoint

#: A kind of plan as it is called in a sentence.
_KINDS = Spoken(
    {
        "correction": "correction", "dosing": "plan of daily doses", "slip": "way back from a slip",
        "water_change": "plan of water changes", "salinity": "plan of salinity",
        "nutrients": "plan of nutrients", "ferric": "plan of ferric media",
        "carbon": "plan of carbon",
    }
)  # fmt: skip
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
    """A plan as kept; ``new`` is False where the very same stood in the book already.

    ``instead_of``: the plans of the same matter that it took the place of.
    """

    plan: Plan
    new: bool
    instead_of: tuple[str, ...] = ()


def accept(
    opened: OpenSystem, plan: Plan, *, now: datetime, by: str = "", through: str = COMMAND_LINE
) -> Accepted:
    """Keep a plan in the book; an older one of the same matter is given up for it.

    Raises NothingToAccept, and what writing a book raises.
    """
    if not plan.steps:
        raise NothingToAccept(plan.headline)
    plan = named(plan)
    content = json.dumps(plan_json(plan), ensure_ascii=False, sort_keys=True)
    entered = Entered(to_us(now), by, through)
    with opened.book.write() as connection:
        older = [] if stored.is_standing(connection, opened.system_id, plan.id) else [
            other
            for other in _standing(stored.all_rows(connection, opened.system_id), plan.at)
            if other.id != plan.id and is_same_matter(plan, other)
        ]  # fmt: skip
        new = stored.accept(connection, opened.system_id, plan.id, content=content, entered=entered)
        for other in older:
            stored.mark(
                connection, opened.system_id, other.id, action="dropped", step=0, fact="",
                entered=entered,
            )  # fmt: skip
    return Accepted(plan, new, tuple(other.id for other in older))


def _standing(rows: Sequence[PlanRow], at: datetime) -> list[Plan]:
    """The accepted plans that weren't given up and whose last step isn't over."""
    last = {row.plan_id: row for row in rows}
    content = {row.plan_id: row.content for row in rows if row.action == stored.ACCEPTED}
    plans = [
        plan_from_json(json.loads(content[key]))
        for key, row in last.items()
        if row.action != "dropped" and key in content
    ]
    return [plan for plan in plans if any(step.until >= at for step in plan.steps)]


def beside(loaded: Loaded, plan: Plan) -> tuple[str, ...]:
    """What a plan should be read with: accepted ones of the same matter, or that share limits."""
    told = []
    for kept in open_plans(loaded):
        if kept.plan.id == plan.id:
            continue
        what = {
            "id": kept.plan.id,
            "kind": _KINDS.get(kept.plan.kind, kept.plan.kind),
            "day": day_text(kept.plan.at, loaded.at, loaded.zone),
        }
        if plan.steps and is_same_matter(plan, kept.plan):
            told.append(
                say(
                    "You accepted a {kind} for this already ({id}, {day}). This one doesn't know "
                    "of its steps to come; accepted, it takes its place.",
                    **what,
                )
            )
        elif share_limits(plan, kept):
            told.append(
                say(
                    "A {kind} that you accepted ({id}, {day}) still has steps to come, and both "
                    "share the limits of a day: finish it, or give it up, before this one.",
                    **what,
                )
            )
    return tuple(told)


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

    Without a number the first step that is due, or was. Raises PlanUnknownHere, StepUnclear, and
    what writing a fact raises.
    """
    kept = kept_plan(loaded, plan_id)
    step = _step(kept, number)
    value, unit = step.step.value, step.step.unit
    if amount is not None:
        value, typed_unit = split_typed(amount, quantity=step.step.what)
        unit = typed_unit or unit
        if step.step.kind == "dosing" and "/" not in unit:
            unit += "/day"
        if step.step.kind in ("dose", "dosing") and unit != step.step.unit:
            convert_amount(1.0, unit, step.step.unit)  # grams of what is poured by mL are refused
    elif step.step.kind == "test":
        raise StepUnclear(say("A test needs its reading: give it with --amount"), kept.plan.id)
    worded = Worded(step.step.kind, step.step.what, value, unit, dict(step.step.detail))
    moment = (when or now).replace(microsecond=0)
    done = record.add_worded(loaded.opened, worded, when=moment, now=now, by=by, through=through)
    _mark(loaded.opened, kept, "done", step.number, fact=done.fact.id, now=now, by=by,
          through=through)  # fmt: skip
    if step.state != "coming":
        return done
    planned = day_text(step.step.when, now, loaded.zone)
    early = say(
        "That step was meant for {planned}: your limits are kept at the plan's pace only.",
        planned=planned,
    )
    return replace(done, remarks=(*done.remarks, early))


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
        open_steps = [s for state in ("due", "missed") for s in kept.steps if s.state == state]
        if open_steps:
            return open_steps[0]
        coming = next((s for s in kept.steps if s.state == "coming"), None)
        if coming is None:
            raise StepUnclear(say("Nothing of that plan is left to do"), kept.plan.id)
        raise StepUnclear(
            say(
                "Nothing of that plan is due now; to do step {number} early, say its number",
                number=coming.number,
            ),
            kept.plan.id,
        )
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
    wanted = expectations(kept.steps)
    past = [e for e, _ in wanted if e.when <= loaded.at]
    if not past:
        return tuple(not_yet(e) for e, _ in wanted)
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
    for expected, as_planned in wanted:
        day = days_since_epoch(expected.when)
        near = [one for one in levels.get(expected.quantity, []) if abs(one[0] - day) < 1e-6]
        if not near or expected.when > loaded.at:
            found.append(not_yet(expected))
            continue
        _, point, place = near[0]
        came = came_of(expected, value=float(point.level[place]), sd=float(point.level_sd[place]))
        found.append(came if as_planned else replace(came, verdict=NOT_AS_PLANNED))
    return tuple(found)
