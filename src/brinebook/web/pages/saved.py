"""After saving: what was written down, what there is to say of it, one touch to take it back."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.looking import Chosen, history
from brinebook.report.facts import fact_line
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()
_MOST = 40


@router.get("/saved")
def saved(visit: AtSystem, facts: str = "") -> Response:
    """The facts just written."""
    ids = [one for one in facts.split(",") if one][:_MOST]
    found = [history(visit.opened, Chosen(fact=one))[0] for one in ids]
    lines = [fact_line(one.fact, visit.now, visit.opened.zone) for one in found]
    return visit.page("saved.html", here="", lines=lines, stories=found)
