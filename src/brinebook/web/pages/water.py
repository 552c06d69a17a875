"""Water: a section a quantity, with its chart, the same numbers as a table, and what follows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar
from zoneinfo import ZoneInfo

from starlette.responses import JSONResponse, Response

from brinebook.desk.carbonate_now import carbonate_now
from brinebook.desk.charting import SPANS, USUAL_SPAN, Charted, quantity_chart
from brinebook.desk.shelf import Told
from brinebook.report.chart import Chart, chart_json
from brinebook.report.chart_words import chart_sentence, chart_table, line_table
from brinebook.report.dates import instant_text
from brinebook.report.numbers import measure_text, range_text, value_text
from brinebook.report.page_rows import Row, page_rows
from brinebook.report.why import hour_text
from brinebook.texts.names import quantity_label
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()
Made = TypeVar("Made")
#: A page waits so long for its line before it is shown without.
_WAIT = 1.5


@router.get("/water")
def water(visit: AtSystem) -> Response:
    """Every quantity in a row, and the carbonate state that follows from them."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("water")
    told = standing.told
    answer, zone = told.assessed.answer, told.assessed.loaded.zone
    return visit.page(
        "water.html",
        here="water",
        standing=standing,
        told=told,
        as_of=instant_text(told.at, told.at, zone),
        rows=_rows(told),
        carbonate=told.derived("carbonate", lambda: carbonate_now(answer)),
        measure_text=measure_text,
        value_text=value_text,
        range_text=range_text,
    )


@router.get("/water/{quantity}")
def one(visit: AtSystem, quantity: str, *, days: str = "", beside: str = "") -> Response:
    """The section of one quantity."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("water")
    told = standing.told
    chosen = _days(days)
    charted = _charted(visit, told, quantity, chosen, wait=_WAIT)
    zone = told.assessed.loaded.zone
    others = [name for name in told.assessed.answer.quantities if name != quantity]
    return visit.page(
        "water_one.html",
        here="water",
        standing=standing,
        told=told,
        as_of=instant_text(told.at, told.at, zone),
        quantity=quantity,
        label=quantity_label(quantity),
        charted=charted,
        sentence=_made(told, charted, chosen, "sentence", chart_sentence),
        table=_made(told, charted, chosen, "table", chart_table),
        line=_made(told, charted, chosen, "line", line_table),
        row=next(row for row in _rows(told) if row.name == quantity),
        hour=told.derived(
            ("hour", quantity),
            lambda: hour_text(told.assessed.answer, quantity, zone, told.units),
        ),
        days=chosen,
        spans=SPANS,
        others=others,
        names=list(told.assessed.answer.quantities),
        beside=beside if beside in others else "",
        zone=zone.key,
    )  # fmt: skip


@router.get("/chart/{quantity}")
def data(visit: AtSystem, quantity: str, *, days: str = "") -> Response:
    """What a script draws."""
    told = visit.notebook.shelf.standing(visit.at).told
    if told is None:
        return JSONResponse({"coming": True}, status_code=202)
    chosen = _days(days)
    charted = _charted(visit, told, quantity, chosen, wait=_WAIT)
    found = _made(told, charted, chosen, "json", lambda chart, _zone: chart_json(chart))
    return JSONResponse(found | {"coming": charted.coming})


def _rows(told: Told) -> Sequence[Row]:
    loaded = told.assessed.loaded
    return told.derived("rows", lambda: page_rows(told.assessed.answer, loaded.zone, told.units))


def _made(
    told: Told, charted: Charted, days: int, what: str, make: Callable[[Chart, ZoneInfo], Made]
) -> Made:
    """What follows from a chart, made once where the chart is whole."""
    zone = told.assessed.loaded.zone
    if charted.coming:
        return make(charted.chart, zone)
    key = (what, charted.chart.quantity, days)
    return told.derived(key, lambda: make(charted.chart, zone))


def _charted(visit: Visit, told: Told, quantity: str, days: int, *, wait: float) -> Charted:
    if quantity not in told.assessed.answer.quantities:
        raise PageMissing(visit.request.url.path)
    return quantity_chart(visit.notebook.shelf, visit.at, told, quantity, days=days, wait=wait)


def _days(text: str) -> int:
    return (
        int(text) if text.isascii() and text.isdigit() and int(text[:9]) in SPANS else (USUAL_SPAN)
    )
