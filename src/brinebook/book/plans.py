"""Accepted plans: append-only, each row one thing said of a plan. Nothing is changed or removed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select

from brinebook.book.facts import ids_today
from brinebook.book.schema import plans
from brinebook.book.systems import Entered, hold
from brinebook.errors import UsageProblem
from brinebook.texts import say

if TYPE_CHECKING:
    from sqlalchemy import Connection

ACCEPTED = "accepted"


class PlanUnknownHere(UsageProblem):
    """The book holds no accepted plan of that id, or several."""

    code = "E-PLAN-ID"
    http_status = 404

    def __init__(self, text: str, known: tuple[str, ...]) -> None:
        listed = ", ".join(known[:6]) or say("none yet")
        super().__init__(
            say("The book holds no single accepted plan “{text}”.", text=text),
            say("Accepted are: {listed}. “brinebook plan kept” lists them.", listed=listed),
        )


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row: the plan as accepted (``content`` is its JSON), or what was said of it later."""

    plan_id: str
    revision: int
    action: str
    step: int
    fact: str
    content: str
    entered: Entered


def accept(
    connection: Connection, system_id: str, plan_id: str, *, content: str, entered: Entered
) -> bool:
    """Keep a plan; False where the very same stands already and wasn't dropped."""
    hold(connection, system_id)
    if is_standing(connection, system_id, plan_id):
        return False
    _append(connection, system_id, plan_id, ACCEPTED, entered=entered, content=content)
    return True


def is_standing(connection: Connection, system_id: str, plan_id: str) -> bool:
    """Whether that plan was accepted and not given up since."""
    rows = rows_of(connection, system_id, plan_id)
    return bool(rows) and rows[-1].action != "dropped"


def mark(
    connection: Connection,
    system_id: str,
    plan_id: str,
    *,
    action: str,
    step: int,
    fact: str,
    entered: Entered,
) -> None:
    """Say that a step was done (as a fact) or skipped, or that the plan is dropped."""
    hold(connection, system_id)
    _append(connection, system_id, plan_id, action, entered=entered, step=step, fact=fact)


def rows_of(connection: Connection, system_id: str, plan_id: str) -> list[PlanRow]:
    """Everything that was said of a plan, oldest first."""
    return [row for row in all_rows(connection, system_id) if row.plan_id == plan_id]


def all_rows(
    connection: Connection, system_id: str, *, known_us: int | None = None
) -> list[PlanRow]:
    """Every row of a system in the order of plan and revision; facts by the ids they have today."""
    query = select(plans).where(plans.c.system_id == system_id)
    if known_us is not None:
        query = query.where(plans.c.entered_us <= known_us)
    ordered = query.order_by(plans.c.plan_id, plans.c.revision)
    rows = [row._mapping for row in connection.execute(ordered)]
    named = ids_today(
        connection, system_id, sorted({row["fact"] for row in rows if row["fact"]}), known_us
    )
    return [
        PlanRow(
            row["plan_id"],
            row["revision"],
            row["action"],
            row["step"],
            named.get(row["fact"], row["fact"]),
            row["content"],
            Entered(row["entered_us"], row["entered_by"], row["entered_through"]),
        )
        for row in rows
    ]


def find_id(connection: Connection, system_id: str, text: str) -> str:
    """The plan that an id or the beginning of one means. Raises PlanUnknownHere."""
    known = list(
        connection.execute(
            select(plans.c.plan_id)
            .where(plans.c.system_id == system_id)
            .group_by(plans.c.plan_id)
            .order_by(func.max(plans.c.entered_us).desc(), plans.c.plan_id)
        ).scalars()
    )
    wanted = text.strip().lower()
    found = [one for one in known if one == wanted] or [
        one for one in known if wanted and one.startswith(wanted)
    ]
    if len(found) != 1:
        raise PlanUnknownHere(text, tuple(known))
    return str(found[0])


def _append(
    connection: Connection,
    system_id: str,
    plan_id: str,
    action: str,
    *,
    entered: Entered,
    step: int = 0,
    fact: str = "",
    content: str = "",
) -> None:
    last = connection.execute(
        select(func.max(plans.c.revision)).where(
            plans.c.system_id == system_id, plans.c.plan_id == plan_id
        )
    ).scalar()
    connection.execute(
        insert(plans).values(
            system_id=system_id,
            plan_id=plan_id,
            revision=(last or 0) + 1,
            action=action,
            step=step,
            fact=fact,
            content=content,
            entered_us=entered.at_us,
            entered_by=entered.by,
            entered_through=entered.through,
        )
    )
