"""Dosing: the plan of the daily doses, what was accepted, and every other plan as a form."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from starlette.responses import Response

from brinebook.desk.entering import BROWSER
from brinebook.desk.plan_asked import FORMS, Answered, asked_plan
from brinebook.desk.plan_asked_fields import Asked, FieldMissing
from brinebook.desk.plan_keep import accept as keep_plan
from brinebook.desk.plan_keep import beside, kept_plans
from brinebook.desk.plan_now import BookOrAnswer
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.report.dates import instant_text
from brinebook.report.page_plan import ShownKept, ShownPlan, shown_kept, shown_plan
from brinebook.texts import say
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()
#: Plans that are over or were given up are told of so far back, by number.
_OVER_AT_ONCE = 8
_OPTION = re.compile(r"--([a-z][a-z-]*)")
#: Options whose field has another name.
_OPTIONS = {"from": ("water_level",), "volume": ("water_volume",)}


class PlanMovedOn(UsageProblem):
    """The plan that was to be accepted isn't what the book would say now."""

    code = "E-PLAN-MOVED-ON"
    http_status = 409

    def __init__(self) -> None:
        super().__init__(
            say("Something was written since this plan was made, so it was not accepted."),
            say("The plan below knows of it: accept that one, if you like it."),
        )


class InstantUnreadable(UsageProblem):
    """The instant of a plan can't be read."""

    code = "E-PLAN-INSTANT"

    def __init__(self) -> None:
        super().__init__(
            say("The form doesn't say of when its plan is."), say("Load the page anew.")
        )


@router.get("/dosing")
def dosing(visit: AtSystem) -> Response:
    """What to set the pumps to, the accepted plans, and the forms of the others."""
    kept = _kept(visit)
    return visit.page(
        "dosing.html",
        here="dosing",
        open_plans=[one for one in kept if one.standing == "open"],
        over=[one for one in kept if one.standing != "open"][:_OVER_AT_ONCE],
        forms=[name for name, form in FORMS.items() if name != "dose" and not form.slip],
        slips=[name for name, form in FORMS.items() if form.slip],
    )


@router.get("/dosing/plan/{kind}")
def plan(visit: AtSystem, kind: str) -> Response:
    """One plan: its form, and the answer where the form was sent or needs nothing."""
    form = FORMS.get(kind)
    if form is None:
        raise PageMissing(visit.request.url.path)
    asked = visit.request.query_params
    typed = {name: asked[name].strip() for name in form.every_field if asked.get(name)}
    if not typed and (form.needed or "ask" not in asked) and form.fields:
        return _page(visit, kind, typed)
    return _answered(visit, kind, typed)


@router.post("/dosing/plan/{kind}")
def accept(visit: Writer, form: Sent, kind: str) -> Response:
    """Keep the plan that was shown: made anew from the same words, as of the same instant."""
    if kind not in FORMS:
        raise PageMissing(visit.request.url.path)
    typed = {name: form[name] for name in FORMS[kind].every_field if form[name]}
    try:
        found = asked_plan(kind, _asked(visit, typed, *_of(visit, _instant(form))))
        if not found.of_book or found.plan.id != form["plan"]:
            return _answered(visit, kind, typed, PlanMovedOn())
        done = keep_plan(
            visit.opened, found.plan, now=visit.now, by=visit.session.by, through=BROWSER
        )
    except BrinebookError as problem:
        return _page(visit, kind, typed, problem=problem)
    return visit.redirect(visit.url(f"dosing/kept/{done.plan.id}"))


def _answered(
    visit: Visit, kind: str, typed: Mapping[str, str], remark: BrinebookError | None = None
) -> Response:
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None or standing.behind:
        # Amounts aren't told from an answer that doesn't know the newest facts.
        return visit.reckoning("dosing", anew=standing.told is not None)
    told = standing.told
    asked = _asked(visit, typed, told.assessed, told.at)
    try:
        words = tuple(sorted(typed.items()))
        found = told.derived(("plan", kind, words), lambda: asked_plan(kind, asked))
    except FieldMissing as problem:
        label = visit.t(f"dosing.field.{problem.field.replace(' ', '_')}")
        return _page(visit, kind, typed, problem=FieldMissing(label))
    except BrinebookError as problem:
        return _page(visit, kind, typed, problem=problem)
    return _page(visit, kind, typed, found=found, problem=remark)


def _page(
    visit: Visit,
    kind: str,
    typed: Mapping[str, str],
    *,
    found: Answered | None = None,
    problem: BrinebookError | None = None,
) -> Response:
    return visit.page(
        "dosing_plan_part.html" if visit.partial else "dosing_plan.html",
        status=200 if problem is None or visit.partial else problem.http_status,
        here="dosing",
        kind=kind,
        form=FORMS[kind],
        typed=typed,
        of_book=found is not None and found.of_book,
        shown=None if found is None else _shown(visit, found),
        as_of="" if found is None else instant_text(found.plan.at, visit.now, found.zone),
        problem=None if problem is None else _said(visit, problem),
    )


def _said(visit: Visit, problem: BrinebookError) -> tuple[str, str]:
    """What is wrong and what to do, with the form's fields where the command line has options."""

    def field(found: re.Match[str]) -> str:
        name = found[1].replace("-", "_")
        for key in _OPTIONS.get(name, (name, f"water_{name}")):
            if visit.notebook.texts.has(f"dosing.field.{key}"):
                return f"“{visit.t(f'dosing.field.{key}')}”"
        return found[1]

    return _OPTION.sub(field, problem.message), _OPTION.sub(field, problem.hint)


def _shown(visit: Visit, found: Answered) -> ShownPlan:
    """The plan as text, and what it should be read with first among its notes."""
    plan = found.plan
    if found.of_book and plan.steps:
        loaded = visit.until_now
        plan = replace(plan, notes=(*beside(loaded, plan), *plan.notes))
    return shown_plan(plan, found.zone, found.units)


def _asked(visit: Visit, typed: Mapping[str, str], source: BookOrAnswer, at: datetime) -> Asked:
    return Asked(source, visit.at.name, visit.opened.zone, at, typed)


def _of(visit: Visit, at: datetime) -> tuple[BookOrAnswer, datetime]:
    """The answer at hand, where it is of that instant and knows every fact; else the book."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is not None and standing.told.at == at and not standing.behind:
        return standing.told.assessed, at
    return visit.notebook.shelf.address, at


def _instant(form: Form) -> datetime:
    try:
        found = datetime.fromisoformat(form["at"])
    except ValueError:
        raise InstantUnreadable from None
    if found.tzinfo is None:
        raise InstantUnreadable
    return found


def _kept(visit: Visit) -> list[ShownKept]:
    loaded = visit.until_now
    return [shown_kept(one, loaded.zone) for one in kept_plans(loaded)]
