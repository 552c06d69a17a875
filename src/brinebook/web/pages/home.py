"""The way in: the address alone leads to Today of the system looked at last. And the files."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from brinebook.web.visit import Known, PageMissing

router = APIRouter(include_in_schema=False)


@router.get("/")
def home(visit: Known) -> Response:
    """Today, of the system looked at last or the first by name."""
    systems = visit.notebook.shelf.systems()
    known = {one.system_id for one in systems}
    chosen = visit.session.system if visit.session.system in known else systems[0].system_id
    return RedirectResponse(f"/s/{chosen}/today", status_code=303)


@router.get("/go")
def go(visit: Known, system: str = "") -> Response:
    """Today of another system of the book."""
    row = visit.notebook.shelf.row(system)
    if row is None:
        raise PageMissing("go")
    return RedirectResponse(f"/s/{row.system_id}/today", status_code=303)


@router.get("/static/{_digest}/{name:path}")
def static(request: Request, _digest: str, name: str) -> Response:
    """A file that pages load; the digest in its address only says which version is meant."""
    answer: Response = request.app.state.notebook.statics.answer(request, name)
    return answer
