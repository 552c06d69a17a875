"""Describing the rig: the first twenty figures, every part as a form, the keeper's own chances."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from starlette.responses import Response

from brinebook.desk.description_edit import DescriptionMovedOn
from brinebook.desk.rig_cautions import cautions_for
from brinebook.desk.rig_degrees import shows_fahrenheit
from brinebook.desk.rig_edit import with_values, without
from brinebook.desk.rig_first import FIRST, MORE, first_description, first_fields
from brinebook.desk.rig_forms import RigForm, faults_of, form, sections, typed_values, with_assumed
from brinebook.desk.rig_places import NEW, Place, plain
from brinebook.desk.rig_values import with_unit
from brinebook.errors import BrinebookError
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.pages.system import conflict_page, keep, seen_mark
from brinebook.web.visit import AtSystem, Visit

router = system_router()
#: What a first form is measured in, where the keeper chose otherwise than the description does.
_MEASURES = ("metres", "feet")


@router.get("/life-support/first")
def first(visit: AtSystem, measures: str = "") -> Response:
    """The figures that give the first drills."""
    if visit.opened.system.rig is not None:
        return visit.redirect(visit.url("life-support/describe"))
    return _first(visit, measures)


@router.post("/life-support/first")
def save_first(visit: Writer, form: Sent) -> Response:
    """Keep them, and show the drills."""
    measures = form["measures"]
    feet = _feet(visit, measures)
    typed = {one.name: form[one.name] for one in first_fields()}
    try:
        text = first_description(visit.opened.text, typed, feet=feet)
        keep(visit, form, text)
    except DescriptionMovedOn as problem:
        return conflict_page(visit, problem)
    except BrinebookError as problem:
        return _first(visit, measures, form, problem)
    return visit.redirect(visit.url("life-support") + "#drills")


def _first(
    visit: Visit, measures: str, sent: Form | None = None, problem: BrinebookError | None = None
) -> Response:
    feet = _feet(visit, measures)
    return visit.page(
        "life_first.html",
        status=problem.http_status if problem else 200,
        here="life-support",
        cautions=cautions_for("overview"),
        groups=FIRST,
        more=MORE,
        feet=feet,
        measures=_MEASURES[feet],
        other=_MEASURES[not feet],
        values={one.name: sent[one.name] if sent else "" for one in first_fields()},
        seen=sent["seen"] if sent else seen_mark(visit),
        problem=problem,
        faults=() if problem is None else faults_of(problem),
    )


def _feet(visit: Visit, measures: str = "") -> bool:
    if measures in _MEASURES:
        return measures == "feet"
    return shows_fahrenheit(visit.opened.system)


@router.get("/life-support/describe")
def describe(visit: AtSystem) -> Response:
    """Every part that is described, and where one more goes."""
    return visit.page(
        "life_describe.html",
        here="life-support",
        cautions=cautions_for("overview"),
        sections=sections(plain(visit.opened.text)),
        described=visit.opened.system.rig is not None,
    )


@router.get("/life-support/describe/{path:path}")
def part(visit: AtSystem, path: str) -> Response:
    """The form of one part."""
    return _part(visit, _form(visit, tuple(path.split("/"))))


@router.post("/life-support/describe/{path:path}")
def save_part(visit: Writer, form_sent: Sent, path: str) -> Response:
    """Keep the part, or take it out."""
    place, text = tuple(path.split("/")), visit.opened.text
    found = plain(text)
    made = _form(visit, place)
    typed = {one.path: form_sent[f"v.{one.path}"] for one in made.fields}

    def changed() -> str:
        if form_sent["remove"]:
            return without(text, place)
        return with_values(text, place, typed_values(found, place, typed, feet=_feet(visit)))

    return _saved(
        visit,
        form_sent,
        changed,
        lambda problem: _part(visit, made, typed, form_sent["seen"], problem),
        after=_above(place),
    )


def _form(visit: Visit, place: Place) -> RigForm:
    opened = visit.opened
    found, rig = plain(opened.text), opened.system.rig
    made = form(found, place, feet=_feet(visit))
    return made if rig is None else with_assumed(made, found, rig.assumed)


def _above(place: Place) -> str:
    """Where one lands after saving: at the part that holds this one, else at the list."""
    holder = place[:-2] if place[-1].isdigit() or place[-1] == NEW else place[:-1]
    inner = len(holder) > 1
    return f"life-support/describe/{'/'.join(holder)}" if inner else "life-support/describe"


def _part(
    visit: Visit,
    made: RigForm,
    typed: Mapping[str, str] | None = None,
    seen: str = "",
    problem: BrinebookError | None = None,
) -> Response:
    return visit.page(
        "life_form.html",
        status=problem.http_status if problem else 200,
        here="life-support",
        cautions=cautions_for(*_touched(made.place)),
        form=made,
        path="/".join(made.place),
        section=_section(made.place),
        values=typed or {one.path: one.value for one in made.fields},
        seen=seen or seen_mark(visit),
        problem=problem,
        faults=() if problem is None else faults_of(problem),
    )


def _section(place: Place) -> str:
    """``plumbing.pipes`` as the catalogue of texts has it."""
    return "_".join(one for one in place if not (one.isdigit() or one == NEW))


def _touched(place: Place) -> tuple[str, ...]:
    """Which cautions belong beside a form, by what it describes."""
    return {
        "power": ("power",),
        "floor": ("floor",),
        "heat": ("heat",),
        "animals": (),
        "drills": (),
    }.get(place[0], ("form",))


@router.post("/life-support/chance")
def save_chance(visit: Writer, form: Sent) -> Response:
    """How likely the keeper thinks a failure is in a year."""
    drill, text = form["drill"], visit.opened.text
    found = plain(text).get("drills", {})
    known = dict(found.get("chances", {})) if isinstance(found, dict) else {}
    known.pop(drill, None)
    if form["chance"]:
        known[drill] = with_unit(form["chance"], "%")

    def changed() -> str:
        return with_values(text, ("drills",), {"chances": known or None})

    def again(problem: BrinebookError) -> Response:
        return visit.page(
            "life_refused.html",
            status=problem.http_status,
            here="life-support",
            problem=problem,
            faults=faults_of(problem),
            back=visit.url(f"life-support/drill/{drill}"),
        )

    return _saved(visit, form, changed, again, after="life-support")


def _saved(
    visit: Visit,
    form: Form,
    change: Callable[[], str],
    again: Callable[[BrinebookError], Response],
    *,
    after: str,
) -> Response:
    try:
        keep(visit, form, change())
    except DescriptionMovedOn as problem:
        return conflict_page(visit, problem)
    except BrinebookError as problem:
        return again(problem)
    return visit.redirect(visit.url(after))
