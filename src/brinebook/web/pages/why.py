"""Why the answer says so: a quantity unfolded to its tests, inputs, equation and sources."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.report.laid_out import laid_out
from brinebook.report.why import why_lines
from brinebook.texts.names import quantity_label
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing

router = system_router()


@router.get("/why/{quantity}")
def why(visit: AtSystem, quantity: str) -> Response:
    """The lines that unfold it: a part of Today for a script, else a page."""
    told = visit.notebook.shelf.standing(visit.at).told
    if told is None:
        return visit.page("reckoning.html", here="today")
    answer = told.assessed.answer
    if quantity not in answer.quantities:
        raise PageMissing(visit.request.url.path)
    lines = why_lines(answer, told.page, quantity, told.assessed.loaded.zone, told.units)
    return visit.page(
        "why_part.html" if visit.partial else "why.html",
        here="today",
        quantity=quantity,
        label=quantity_label(quantity),
        parts=laid_out(lines),
    )
