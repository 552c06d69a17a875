"""The keeper's word on a test or an unexplained change: it settles what the balance doubted."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.entering import Typed, fact_of, save
from brinebook.web.forms import Sent, Writer
from brinebook.web.pages import system_router

router = system_router()


@router.post("/verdict")
def verdict(visit: Writer, form: Sent) -> Response:
    """Write the verdict down."""
    typed = Typed("verdict", form["what"], detail={"says": form["says"]})
    fact = fact_of(typed, when=visit.now.replace(microsecond=0))
    saved = save(visit.opened, [fact], key=form["key"], now=visit.now, by=visit.session.by)
    return visit.redirect(visit.url("saved", facts=",".join(one.id for one in saved.facts)))
