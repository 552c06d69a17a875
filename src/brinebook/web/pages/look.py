"""The door for a helper with a link."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from brinebook.web.pages.access import follow
from brinebook.web.visit import Anyone

router = APIRouter(include_in_schema=False)


@router.get("/look/{secret}")
def look(visit: Anyone, secret: str) -> Response:
    """Let the helper in."""
    return follow(visit, secret)
