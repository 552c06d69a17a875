"""The bibliography: what every number rests on, searched."""

from __future__ import annotations

from functools import lru_cache

from starlette.responses import Response

from brinebook.sources import Source, load_sources
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/sources")
def sources(visit: AtSystem, find: str = "") -> Response:
    """All publications, or those with these words."""
    words = find.casefold().split()
    found = [one for one, text in _bibliography() if all(word in text for word in words)]
    return visit.page("sources.html", here="help", found=found, find=find)


@lru_cache(maxsize=1)
def _bibliography() -> tuple[tuple[Source, str], ...]:
    """Every publication by author and year, with what a search looks through."""
    known = sorted(load_sources().values(), key=lambda one: (one.authors, one.year))
    return tuple((one, f"{one.key} {one} {one.verified}".casefold()) for one in known)
