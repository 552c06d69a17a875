"""The sheet of a quantity for a program that stays open: any period, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.sheet import Sheet, sheet
from brinebook.desk.assess import SheetImpossible
from brinebook.desk.opening import Loaded
from brinebook.desk.remembering import recall
from brinebook.texts import say

USUAL_DAYS = 30
_LONGEST = timedelta(days=400)


@dataclass(frozen=True, slots=True)
class Period:
    """From when to when a sheet is wanted; both aware."""

    begins: datetime
    ends: datetime


def period(
    loaded: Loaded, quantity: str, *, begins: datetime | None, ends: datetime | None
) -> Period:
    """The period that is meant: by default the last 30 days, within the tests there are.

    Raises SheetImpossible where it is empty, longer than 400 days, or nothing was tested.
    """
    tests = [fact.when for fact in loaded.facts
             if fact.kind == "test" and fact.what == quantity and not fact.detail.get("of")
             and fact.when <= loaded.at]  # fmt: skip
    if not tests:
        raise SheetImpossible(
            quantity, say("the book holds no test of it"), say("Add one, then ask again.")
        )
    end = min(ends or loaded.at, loaded.at)
    start = max(begins or end - timedelta(days=USUAL_DAYS), tests[0])
    if start >= end:
        raise SheetImpossible(
            quantity,
            say("the period is empty"),
            say("Choose a day after the first test and before the last."),
        )
    if end - start > _LONGEST:
        raise SheetImpossible(
            quantity, say("the period is longer than 400 days"), say("Choose a year or less.")
        )
    return Period(start, end)


def period_sheet(loaded: Loaded, quantity: str, wanted: Period) -> Sheet:
    """The sheet of a quantity over a period. Raises SheetImpossible."""
    found, _ = sheet(
        loaded.system,
        loaded.facts,
        quantity,
        begins=wanted.begins,
        ends=wanted.ends,
        at=loaded.at,
        remembered=recall(loaded),
    )
    if found is None:
        raise SheetImpossible(
            quantity,
            say("it has no mass of its own"),
            say("Ask for alkalinity, calcium and the like."),
        )
    return found
