"""What all entry pages share: when, by whom, one question at most, saved once, shown afterwards."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Sequence
from dataclasses import replace

from starlette.responses import Response

from brinebook.desk import asking
from brinebook.desk.entering import (
    Saved,
    Typed,
    fact_of,
    form_moment,
    once_more,
    save,
    saved_before,
)
from brinebook.desk.looking import Chosen, history
from brinebook.desk.photos import add_photo, photo_size, read_photo
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.report.dates import instant_text
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.web.forms import Form
from brinebook.web.visit import Visit

#: Fields of a form that say something of the entry as a whole, by their detail key.
DETAILS = (
    "method", "lot", "replicate", "of", "temperature", "by", "text", "hours", "flow", "n", "p",
    "salinity", "alkalinity", "calcium",
)  # fmt: skip

_NUMBERS = {"temperature", "flow", "n", "p"}

Again = Callable[[Form, BrinebookError], Response]


class NothingTyped(UsageProblem):
    """A form without any number in it."""

    code = "E-NOTHING-TYPED"

    def __init__(self, hint: str = "") -> None:
        super().__init__(say("No number was typed."), hint)


def new_key(form: Form) -> str:
    """The form's own key: sent twice, it is written once."""
    return form["key"] or secrets.token_urlsafe(12)


def details(form: Form, *, without: Sequence[str] = ()) -> dict[str, str]:
    """The filled details of a form; a decimal comma in a number is a point."""
    found = {key: form[key] for key in DETAILS if form[key] and key not in without}
    return {key: one.replace(",", ".") if key in _NUMBERS else one for key, one in found.items()}


def take(visit: Visit, form: Form, entries: Sequence[tuple[str, Typed]], again: Again) -> Response:
    """Write a form's entries down, each named by the field that holds its amount.

    A question comes first where there is one; ``again`` shows the form with what is wrong.
    """
    before = saved_before(visit.opened, form["key"])
    if before is not None:
        _with_photo(visit, form, before)
        return _to_saved(visit, before)
    settled = form["asked"] or form["meant"] or form["swap"]
    try:
        when = form_moment(form["at"] or form["when"], opened=visit.opened, now=visit.now)
        facts = [fact_of(_answered(form, field, typed, entries), when=when)
                 for field, typed in entries]  # fmt: skip
        if "photo" in form.files:
            read_photo(form.files["photo"])  # refused before anything is written
        asked = None if settled else _question(visit, facts)
        if asked is not None:
            asking.note_asked(visit.opened, now=visit.now)
            return _ask(visit, form, entries[asked.place][0], asked)
        if form["asked"] == "same":
            return visit.redirect(visit.url("today"))
        if form["asked"] and form["pattern"].startswith("again:"):
            facts = [once_more(fact, visit.loaded.facts) for fact in facts]
        if form["asked"] and form["pattern"]:
            asking.note_dismissed(visit.opened, form["pattern"], now=visit.now)
        saved = save(visit.opened, facts, key=form["key"], now=visit.now, by=form["by"])
        _with_photo(visit, form, saved)
    except BrinebookError as problem:
        return again(_with_offer(visit, form, entries), problem)
    visit.session = visit.session.but(by=form["by"] or visit.session.by)
    return _to_saved(visit, saved)


def _with_photo(visit: Visit, form: Form, saved: Saved) -> None:
    """Put the form's photo to its fact, also where it is sent once more because the power went
    between the two."""
    if "photo" not in form.files or not saved.facts:
        return
    chain = history(visit.opened, Chosen(fact=saved.facts[0].id))[0].newest.chain
    if photo_size(visit.opened, chain) is None:
        photo = read_photo(form.files["photo"])
        add_photo(visit.opened, chain, photo, now=visit.now, by=form["by"])


def _to_saved(visit: Visit, saved: Saved) -> Response:
    ids = ",".join(one.id for one in saved.facts)
    return visit.redirect(visit.url("saved", facts=ids, again="1" if saved.again else ""))


def _answered(form: Form, field: str, typed: Typed, entries: Sequence[tuple[str, Typed]]) -> Typed:
    """The entry as the keeper answered the question: another amount, or two exchanged."""
    if form["meant"] and form["field"] == field:
        return replace(typed, amount=form["meant"])
    pair = form["swap"].split(",")
    if len(pair) != 2 or field not in pair:
        return typed
    other = pair[1 - pair.index(field)]
    amounts = {name: one.amount for name, one in entries}
    if other in amounts:
        return replace(typed, amount=amounts[other])
    return replace(typed, what=other.removeprefix("value."))


def _with_offer(visit: Visit, form: Form, entries: Sequence[tuple[str, Typed]]) -> Form:
    """The form, with what was probably meant where a test can't be what was typed."""
    told = visit.notebook.shelf.standing(visit.at, wait=0.0).told
    for field, typed in entries:
        if told is not None and typed.kind == "test":
            meant = asking.probably_meant(typed.what, typed.amount, typed.unit,
                                          answer=told.assessed.answer)  # fmt: skip
            if meant:
                return Form({**form.fields, "offer": meant, "field": field}, form.files)
    return form


def _question(visit: Visit, facts: Sequence[Fact]) -> asking.Question | None:
    if any(fact.kind in {"note", "event", "done"} for fact in facts):
        return None
    answer = None
    if any(fact.kind == "test" for fact in facts):
        told = visit.notebook.shelf.standing(visit.at, wait=0.0).told
        answer = told.assessed.answer if told else None
    return asking.question_about(
        visit.opened, facts, visit.loaded.facts, answer=answer, now=visit.now
    )


def _ask(visit: Visit, form: Form, field: str, asked: asking.Question) -> Response:
    """The question as a page: each answer sends the same form, with that one thing changed."""
    earlier = ""
    if asked.earlier is not None:
        earlier = instant_text(asked.earlier.when, visit.now, visit.opened.zone)
    kept = {name: text for name, text in form.fields.items() if name not in {"token", "asked"}}
    return visit.page(
        "question.html",
        here="",
        asked=asked,
        field=field,
        kept=kept,
        earlier=earlier,
        action=visit.request.url.path,
    )
