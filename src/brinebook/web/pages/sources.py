"""The bibliography: what every number rests on, searched."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.sources import load_sources
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/sources")
def sources(visit: AtSystem, find: str = "") -> Response:
    """All publications, or those with these words."""
    words = find.casefold().split()
    found = [
        one
        for one in sorted(load_sources().values(), key=lambda one: (one.authors, one.year))
        if all(word in f"{one.key} {one} {one.verified}".casefold() for word in words)
    ]
    return visit.page("sources.html", here="help", found=found, find=find)
