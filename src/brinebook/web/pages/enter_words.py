"""Entries of words: a chore done, an event, a note."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.entering import Typed
from brinebook.desk.usual import usual_names
from brinebook.errors import BrinebookError
from brinebook.web.entry import details, new_key, take
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, Visit

router = system_router()
_TEMPLATES = {"done": "enter_chore.html", "event": "enter_event.html", "note": "enter_note.html"}


@router.get("/enter/chore")
def ask_chore(visit: AtSystem) -> Response:
    """Which chore was done: one touch for those done before."""
    return _page(visit, "done", Form({}))


@router.get("/enter/event")
def ask_event(visit: AtSystem) -> Response:
    """What happened, in free words."""
    return _page(visit, "event", Form({}))


@router.get("/enter/note")
def ask_note(visit: AtSystem) -> Response:
    """A note."""
    return _page(visit, "note", Form({}))


@router.post("/enter/chore")
def store_chore(visit: Writer, form: Sent) -> Response:
    """Write the chore down."""
    return _store(visit, form, Typed("done", form["chore"] or form["what"], detail=details(form)))


@router.post("/enter/event")
def store_event(visit: Writer, form: Sent) -> Response:
    """Write the event down."""
    typed = Typed("event", form["what"], form["value"], form["unit"], details(form))
    return _store(visit, form, typed)


@router.post("/enter/note")
def store_note(visit: Writer, form: Sent) -> Response:
    """Write the note down."""
    return _store(visit, form, Typed("note", detail=details(form)))


def _store(visit: Visit, form: Form, typed: Typed) -> Response:
    entries = [("value", typed)]
    return take(visit, form, entries, lambda sent, problem: _page(visit, typed.kind, sent, problem))


def _page(visit: Visit, kind: str, form: Form, problem: BrinebookError | None = None) -> Response:
    return visit.page(
        _TEMPLATES[kind],
        status=problem.http_status if problem else 200,
        here="",
        form=form,
        key=new_key(form),
        names=usual_names(kind, visit.loaded.facts),
        problem=problem,
        caution=visit.caution(kind),
    )
