"""Access: tokens for machines, links for helpers, and how a phone at home gets here."""

from __future__ import annotations

import secrets
from datetime import timedelta

from starlette.responses import RedirectResponse, Response

from brinebook.desk import passes
from brinebook.desk.passes import LOOK, SCOPES, Pass
from brinebook.errors import BrinebookError
from brinebook.report.dates import instant_text
from brinebook.web.doors.sessions import Session
from brinebook.web.forms import Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import Anyone, AtSystem, PageMissing, Visit

router = system_router()
DAYS = (1, 7, 14, 30)


@router.get("/access")
def access(visit: AtSystem) -> Response:
    """The list of tokens and links, and the forms that make them."""
    if not visit.can_write:
        raise PageMissing(visit.request.url.path)
    return _page(visit)


@router.post("/access/token")
def make_token(visit: Writer, form: Sent) -> Response:
    """A new token, shown this once."""
    scopes = [one for one in SCOPES if form[f"scope.{one}"]]
    try:
        secret, made = passes.make_token(visit.opened, form["name"], scopes, now=visit.now)
    except BrinebookError as problem:
        return _page(visit, problem=problem)
    return _page(visit, secret=secret, made=made)


@router.post("/access/link")
def make_link(visit: Writer, form: Sent) -> Response:
    """A new link for a helper, shown this once."""
    days = int(form["days"]) if form["days"] in {str(one) for one in DAYS} else 0
    try:
        secret, made = passes.make_link(
            visit.opened, form["name"], lasts=timedelta(days=days), now=visit.now
        )
    except BrinebookError as problem:
        return _page(visit, problem=problem)
    link = str(visit.request.base_url) + f"look/{secret}"
    return _page(visit, secret=link, made=made)


@router.post("/access/end")
def end(visit: Writer, form: Sent) -> Response:
    """Let one of them open nothing any more."""
    passes.end_pass(visit.opened, form["id"], now=visit.now)
    return visit.redirect(visit.url("access"))


def _page(
    visit: Visit,
    *,
    secret: str = "",
    made: Pass | None = None,
    problem: BrinebookError | None = None,
) -> Response:
    zone = visit.opened.zone
    rows = [
        (one, one.counts(visit.now),
         instant_text(one.expires, visit.now, zone) if one.expires else "")
        for one in passes.all_passes(visit.opened)
    ]  # fmt: skip
    options = visit.notebook.options
    return visit.page(
        "access.html",
        status=problem.http_status if problem else 200,
        here="system",
        rows=rows,
        secret=secret,
        made=made,
        scopes=SCOPES,
        days=DAYS,
        look=LOOK,
        problem=problem,
        loopback=options.loopback,
        has_password=visit.notebook.password.hash() is not None,
        port=options.port,
    )


def follow(visit: Anyone, secret: str) -> Response:
    """A helper's link: from here on this browser may read the one system, until it expires."""
    found = passes.find_pass(visit.notebook.shelf.book, secret, now=visit.now)
    if found is None or LOOK not in found.scopes:
        raise PageMissing("look")
    visit.session = Session(secrets.token_urlsafe(18), share=found.id, system=found.system_id)
    return visit.remembered(RedirectResponse(f"/s/{found.system_id}/today", status_code=303))
