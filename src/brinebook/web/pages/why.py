"""Why the answer says so: a quantity unfolded to its tests, inputs, equation and sources."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.report.dates import instant_text
from brinebook.report.laid_out import laid_out
from brinebook.report.why import why_lines
from brinebook.texts.names import quantity_label
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing

router = system_router()


@router.get("/why/{quantity}")
def why(visit: AtSystem, quantity: str) -> Response:
    """The lines that unfold it: a part of Today for a script, else a page."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("today")
    told = standing.told
    answer = told.assessed.answer
    if quantity not in answer.quantities:
        raise PageMissing(visit.request.url.path)
    lines = why_lines(answer, told.page, quantity, told.assessed.loaded.zone, told.units)
    return visit.page(
        "why_part.html" if visit.partial else "why.html",
        here="today",
        standing=standing,
        told=told,
        as_of=instant_text(told.at, told.at, told.assessed.loaded.zone),
        quantity=quantity,
        label=quantity_label(quantity),
        lines=laid_out(lines),
    )
