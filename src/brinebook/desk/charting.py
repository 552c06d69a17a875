"""The chart of one quantity, from what a program that stays open keeps at hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.book import state
from brinebook.desk.shelf import Shelf, SystemRow, Told
from brinebook.report.chart import Chart, chart

#: Spans that a chart may have, in days; 0 is all there is.
SPANS = (1, 7, 30, 90, 365, 0)
USUAL_SPAN = 90


@dataclass(frozen=True, slots=True)
class Charted:
    """A chart, and whether its line is still being worked out."""

    chart: Chart
    coming: bool


def quantity_chart(
    shelf: Shelf, row: SystemRow, told: Told, quantity: str, *, days: int, wait: float = 0.0
) -> Charted:
    """The chart of a quantity of the answer over the last ``days`` (0: all of them)."""
    facts = told.assessed.loaded.facts
    begins = _begins(told, quantity, days)
    whole = max((told.at - begins).days, 1)
    course = shelf.course(row, whole, wait=wait)
    with shelf.book.read() as connection:
        before = state.superseded_tests(connection, row.system_id, quantity)
    found = chart(
        told.assessed.answer,
        facts,
        quantity,
        unit=told.units[quantity],
        begins=begins,
        line=(course or {}).get(quantity, ()),
        superseded=before,
    )
    return Charted(found, coming=course is None)


def _begins(told: Told, quantity: str, days: int) -> datetime:
    if days:
        return told.at - timedelta(days=days)
    tests = (fact.when for fact in told.assessed.loaded.facts
             if fact.kind == "test" and fact.what == quantity)  # fmt: skip
    first = min(tests, default=told.at)
    # A whole number of days: the same span is asked for once.
    return told.at - timedelta(days=max((told.at - first).days + 1, 1))
