"""Everything that can be written down, the usual first."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()
PAGES = (
    "test", "sitting", "dose", "level", "water-change", "top-off", "feed", "chore", "media",
    "harvest", "dosing", "removed", "event", "note",
)  # fmt: skip


@router.get("/enter")
def choose(visit: AtSystem) -> Response:
    """The list of entry pages."""
    return visit.page("enter.html", here="", entries=PAGES)
