"""A test: the quantity tested last stands ready, digits, save."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.entering import Typed
from brinebook.desk.usual import UsualTest, Way, usual_tests
from brinebook.errors import BrinebookError
from brinebook.report.dates import ago_text
from brinebook.web.entry import NothingTyped, details, new_key, take
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()


@router.get("/enter/test")
def ask(visit: AtSystem, what: str = "") -> Response:
    """The form for one test."""
    return _page(visit, Form({"what": what}))


@router.post("/enter/test")
def store(visit: Writer, form: Sent) -> Response:
    """Write the test down, or say what is wrong with it."""
    usual = _chosen(visit, form["what"])
    way = _way(usual, form["method"])
    sign = form["sign"] if form["sign"] in {"<", ">"} else ""
    typed = Typed(
        "test",
        usual.quantity,
        sign + form["value"],
        way.unit,
        {"method": way.method, **details(form)},
    )
    if not (form["value"] or form["meant"]):
        return _page(visit, form, NothingTyped())
    return take(visit, form, [("value", typed)], lambda sent, problem: _page(visit, sent, problem))


def _way(usual: UsualTest, method: str) -> Way:
    return next((one for one in usual.ways if one.method == method), usual.ways[0])


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
        key=new_key(form),
        usual=usual,
        way=_way(usual, form["method"]),
        every=every,
        ago=ago,
        problem=problem,
    )
