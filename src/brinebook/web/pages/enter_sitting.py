"""A sitting: several tests at once, saved together, each with its usual method."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.entering import Typed
from brinebook.desk.usual import usual_tests
from brinebook.errors import BrinebookError
from brinebook.report.dates import ago_text
from brinebook.texts import say
from brinebook.web.entry import NothingTyped, details, new_key, take
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, Visit

router = system_router()
#: So many stand ready; the rest unfolds.
_READY = 8


@router.get("/enter/sitting")
def ask(visit: AtSystem) -> Response:
    """The form for several tests."""
    return _page(visit, Form({}))


@router.post("/enter/sitting")
def store(visit: Writer, form: Sent) -> Response:
    """Write all of them down, or none and what is wrong."""
    typed = form.starting("value.")
    entries = []
    for usual in usual_tests(visit.opened.system, visit.loaded.facts):
        if usual.quantity not in typed:
            continue
        way = usual.ways[0]
        said = {"method": way.method, "lot": way.lot, **details(form, without=("method", "lot"))}
        entry = Typed("test", usual.quantity, typed[usual.quantity], way.unit, said)
        entries.append((f"value.{usual.quantity}", entry))
    if not entries:
        return _page(visit, form, NothingTyped(say("Fill in those that you tested.")))
    return take(visit, form, entries, lambda sent, problem: _page(visit, sent, problem))


def _page(visit: Visit, form: Form, problem: BrinebookError | None = None) -> Response:
    now, zone = visit.now, visit.opened.zone
    rows = [
        (one, ago_text(one.last.when, max(now, one.last.when), zone) if one.last else "")
        for one in usual_tests(visit.opened.system, visit.loaded.facts)
    ]
    return visit.page(
        "enter_sitting.html",
        status=problem.http_status if problem else 200,
        here="",
        form=form,
        key=new_key(form),
        ready=rows[:_READY],
        others=rows[_READY:],
        problem=problem,
    )
