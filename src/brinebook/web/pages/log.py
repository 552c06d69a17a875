"""The Log: everything that happened, newest first, with filters and search."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.logbook import Wanted, log_page
from brinebook.report.facts import fact_line
from brinebook.timeline import KINDS
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/log")
def log(
    visit: AtSystem, *, kind: str = "", what: str = "", find: str = "", before: str = "",
    undone: str = "",
) -> Response:  # fmt: skip
    """One page of the log."""
    wanted = Wanted(kind=kind, what=what, find=find, before=before, undone=bool(undone))
    shelf = visit.notebook.shelf
    page = log_page(visit.opened, visit.loaded.facts, wanted, texts=lambda: shelf.texts(visit.at))
    zone = visit.opened.zone
    lines = [(fact_line(one.fact, visit.now, zone), one) for one in page.entries]
    return visit.page(
        "log.html", here="log", wanted=wanted, page=page, lines=lines, kinds=KINDS, whats=page.whats
    )
