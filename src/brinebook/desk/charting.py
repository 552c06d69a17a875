"""The chart of one quantity, from what a program that stays open keeps at hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.book import state
from brinebook.desk.course import Course
from brinebook.desk.shelf import Shelf, SystemRow, Told
from brinebook.report.chart import Chart, chart
from brinebook.timeline import Fact

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
    begins = told.derived(("begins", quantity, days), lambda: _begins(told, quantity, days))
    whole = max((told.at - begins).days, 1)
    course = shelf.course(row, whole, wait=wait)
    before = told.derived(("superseded", quantity), lambda: _superseded(shelf, row, quantity))
    if course is not None:
        return told.derived(
            ("chart", quantity, days),
            lambda: Charted(_chart(told, quantity, begins, course, before), coming=False),
        )
    return Charted(_chart(told, quantity, begins, {}, before), coming=True)


def _superseded(shelf: Shelf, row: SystemRow, quantity: str) -> Sequence[Fact]:
    with shelf.book.read() as connection:
        return state.superseded_tests(connection, row.system_id, quantity)


def _chart(
    told: Told, quantity: str, begins: datetime, course: Course, before: Sequence[Fact]
) -> Chart:
    facts = told.assessed.loaded.facts
    return chart(
        told.assessed.answer,
        facts,
        quantity,
        unit=told.units[quantity],
        begins=begins,
        line=course.get(quantity, ()),
        superseded=before,
    )


def _begins(told: Told, quantity: str, days: int) -> datetime:
    """Where the figure begins: so many days ago, but no earlier than the day of the first test."""
    tests = (fact.when for fact in told.assessed.loaded.facts
             if fact.kind == "test" and fact.what == quantity)  # fmt: skip
    first = min(tests, default=told.at)
    # A whole number of days: the same span is asked for once.
    whole = max((told.at - first).days + 1, 1)
    return told.at - timedelta(days=min(days, whole) if days else whole)
