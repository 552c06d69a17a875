"""What plans are held to: each limit with its origin, and where to set one's own."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.plan_limits import limits_told
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/dosing/limits")
def limits(visit: AtSystem) -> Response:
    """The limits in force: the keeper's, and what was taken for want of them."""
    told = limits_told(visit.notebook.shelf.address, visit.at.name)
    return visit.page(
        "dosing_limits.html",
        here="dosing",
        lines=told.lines,
        numbers=told.numbers,
    )
