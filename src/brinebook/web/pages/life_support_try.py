"""Trying: what if one figure of the rig were another, and which pump and pipe a wish asks for."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.description_edit import DescriptionMovedOn
from brinebook.desk.rig_cautions import cautions_for
from brinebook.desk.rig_degrees import shows_fahrenheit
from brinebook.desk.rig_forms import faults_of
from brinebook.desk.rig_places import plain
from brinebook.desk.rig_sizing import MORE, WISHED, sized, wish_fields
from brinebook.desk.rig_whatif import Choice, Tried, choice_of, choices, compared, tried
from brinebook.errors import BrinebookError
from brinebook.web.forms import Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.pages.life_support import WAIT
from brinebook.web.pages.system import conflict_page, keep, seen_mark
from brinebook.web.visit import AtSystem, Visit

router = system_router()


@router.get("/life-support/what-if")
def what_if(visit: AtSystem, key: str = "", value: str = "") -> Response:
    """The form, with the drills of the changed rig below it as soon as they are there."""
    return _what_if(visit, key, value)


@router.get("/life-support/what-if/drills")
def changed_drills(visit: AtSystem, key: str = "", value: str = "") -> Response:
    """Which drills come out otherwise: a part of the page for a script, else a page."""
    try:
        made = _tried(visit, key, value)
    except BrinebookError as problem:
        return _what_if(visit, key, value, problem)
    rigs = visit.notebook.rigs
    before = rigs.drilled(visit.at, wait=WAIT)
    after = rigs.drilled(visit.at, wait=WAIT, system=made.system, text=made.text)
    found = None if before is None or after is None else compared(before, after)
    return visit.page(
        "life_what_if_part.html" if visit.partial else "life_what_if_drills.html",
        here="life-support",
        cautions=cautions_for("drills"),
        asked={"key": key, "value": value},
        found=found,
        choice=_choice(visit, key),
        seen=seen_mark(visit),
    )


@router.post("/life-support/what-if")
def save_what_if(visit: Writer, form: Sent) -> Response:
    """Keep the tried figure in the description."""
    try:
        keep(visit, form, _tried(visit, form["key"], form["value"]).text)
    except DescriptionMovedOn as problem:
        return conflict_page(visit, problem)
    except BrinebookError as problem:
        return _what_if(visit, form["key"], form["value"], problem)
    return visit.redirect(visit.url("life-support") + "#drills")


def _what_if(visit: Visit, key: str, value: str, problem: BrinebookError | None = None) -> Response:
    feet = _feet(visit)
    found = plain(visit.opened.text)
    if problem is None and key and value:
        try:
            _tried(visit, key, value)
        except BrinebookError as refused:
            problem = refused
    return visit.page(
        "life_what_if.html",
        status=problem.http_status if problem else 200,
        here="life-support",
        cautions=cautions_for("form"),
        choices=choices(found, feet=feet),
        choice=_choice(visit, key),
        asked={"key": key, "value": value},
        problem=problem,
        faults=() if problem is None else faults_of(problem),
    )


def _choice(visit: Visit, key: str) -> Choice | None:
    if not key:
        return None
    try:
        return choice_of(plain(visit.opened.text), key, feet=_feet(visit))
    except BrinebookError:
        return None


def _tried(visit: Visit, key: str, value: str) -> Tried:
    text = visit.opened.text
    return tried(text, plain(text), key, value, feet=_feet(visit))


def _feet(visit: Visit) -> bool:
    return shows_fahrenheit(visit.opened.system)


@router.get("/life-support/size")
def size(visit: AtSystem) -> Response:
    """A wish, and the pump, pipe and valves that fit it."""
    asked = visit.request.query_params
    typed = {name: asked[name].strip() for name in (*WISHED, *MORE) if asked.get(name)}
    rig = visit.notebook.rigs.asked(visit.at) if visit.opened.system.rig is not None else None
    fields = wish_fields(rig, typed)
    answer, problem = None, None
    if typed:
        try:
            answer = sized(typed)
        except BrinebookError as refused:
            problem = refused
    return visit.page(
        "life_size.html",
        status=problem.http_status if problem else 200,
        here="life-support",
        cautions=cautions_for("size"),
        wished=[one for one in fields if one.name in WISHED],
        more=[one for one in fields if one.name in MORE],
        answer=answer,
        problem=problem,
    )
