"""A test: the quantity tested last stands ready, digits, save."""

from __future__ import annotations

import secrets

from starlette.responses import Response

from brinebook.desk.entering import Typed, fact_of, form_moment, save
from brinebook.desk.usual import UsualTest, usual_tests
from brinebook.errors import BrinebookError
from brinebook.report.dates import ago_text
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()


@router.get("/enter/test")
def ask(visit: AtSystem, what: str = "") -> Response:
    """The form for one test."""
    return _page(visit, Form({"what": what}))


@router.post("/enter/test")
def take(visit: Writer, form: Sent) -> Response:
    """Write the test down, or say what is wrong with it."""
    usual = _chosen(visit, form["what"])
    way = next((one for one in usual.ways if one.method == form["method"]), usual.ways[0])
    sign = form["sign"] if form["sign"] in ("<", ">") else ""
    detail = {"method": form["method"] or way.method, "lot": form["lot"], "by": form["by"],
              "replicate": form["replicate"], "of": form["of"], "text": form["text"],
              "temperature": form["temperature"]}  # fmt: skip
    typed = Typed("test", usual.quantity, sign + form["value"], way.unit, detail)
    try:
        when = form_moment(form["at"] or form["when"], opened=visit.opened, now=visit.now)
        fact = fact_of(typed, when=when)
        saved = save(visit.opened, [fact], key=form["key"], now=visit.now, by=form["by"])
    except BrinebookError as problem:
        return _page(visit, form, problem=problem)
    return visit.redirect(visit.url("saved", facts=",".join(one.id for one in saved.facts)))


def _chosen(visit: Visit, what: str) -> UsualTest:
    found = usual_tests(visit.opened.system, visit.loaded.facts)
    for one in found:
        if one.quantity == what or not what:
            return one
    raise PageMissing(what)


def _page(visit: Visit, form: Form, problem: BrinebookError | None = None) -> Response:
    every = usual_tests(visit.opened.system, visit.loaded.facts)
    usual = _chosen(visit, form["what"])
    last = usual.last
    ago = ago_text(last.when, max(visit.now, last.when), visit.opened.zone) if last else ""
    return visit.page(
        "enter_test.html",
        status=problem.http_status if problem else 200,
        here="",
        form=form,
        key=form["key"] or secrets.token_urlsafe(12),
        usual=usual,
        every=every,
        ago=ago,
        problem=problem,
    )
