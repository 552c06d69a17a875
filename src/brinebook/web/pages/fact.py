"""One fact with its history: correct it, take the last thing back, judge a test."""

from __future__ import annotations

import contextlib

from starlette.responses import Response

from brinebook.desk import record
from brinebook.desk.entering import BROWSER, form_moment
from brinebook.desk.logbook import revision_lines
from brinebook.desk.looking import Chosen, Story, history
from brinebook.desk.photos import photo_size
from brinebook.desk.record import FactMovedOn
from brinebook.errors import BookProblem, BrinebookError
from brinebook.report.facts import fact_line, local_minute
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, Visit

router = system_router()


@router.get("/fact/{fact}")
def show(visit: AtSystem, fact: str) -> Response:
    """The fact and everything that was done to it."""
    return _page(visit, _story(visit, fact))


@router.post("/fact/{fact}")
def correct(visit: Writer, form: Sent, fact: str) -> Response:
    """Correct the fact; what it was is kept."""
    story = _story(visit, fact)
    old = story.fact
    detail = {key: form.fields.get(f"detail.{key}", one) for key, one in old.detail.items()}
    detail |= form.starting("detail.")
    try:
        when = None
        if form["at"] and form["at"] != local_minute(old.when, visit.opened.zone):
            when = form_moment(form["at"], opened=visit.opened, now=visit.now).isoformat()
        done = record.edit(
            visit.opened,
            story.newest.chain,
            amount=form["amount"] or None if old.value else None,
            what=form.fields.get("what", old.what),
            when=when,
            detail=detail,
            seen=_seen(form),
            now=visit.now,
            by=visit.session.by,
            through=BROWSER,
        )
    except FactMovedOn as problem:
        return _page(visit, _story(visit, fact), form=form, problem=problem)
    except BrinebookError as problem:
        return _page(visit, story, form=form, problem=problem)
    return visit.redirect(visit.url("saved", facts=done.fact.id))


@router.post("/fact/{fact}/undo")
def undo(visit: Writer, form: Sent, fact: str) -> Response:
    """Take back the last thing done to the fact; a second touch of the same button does nothing."""
    story = _story(visit, fact)
    if not story.newest.withdrawn:
        with contextlib.suppress(FactMovedOn):
            record.undo(
                visit.opened, story.newest.chain, seen=_seen(form), now=visit.now,
                by=visit.session.by, through=BROWSER,
            )  # fmt: skip
    return visit.redirect(visit.url(f"fact/{story.newest.chain}"))


@router.post("/fact/{fact}/last-evening")
def last_evening(visit: Writer, form: Sent, fact: str) -> Response:
    """It was entered past midnight and meant the evening before."""
    story = _story(visit, fact)
    if not story.newest.withdrawn:
        with contextlib.suppress(FactMovedOn):
            record.edit(
                visit.opened, story.newest.chain, when="yesterday evening", seen=_seen(form),
                now=visit.now, by=visit.session.by, through=BROWSER,
            )  # fmt: skip
    return visit.redirect(visit.url("saved", facts=story.newest.chain))


@router.post("/fact/{fact}/restate")
def restate(visit: Writer, fact: str) -> Response:
    """Let a fact that was taken back stand again."""
    from brinebook.desk.entering import save

    story = _story(visit, fact)
    if story.newest.withdrawn:
        save(visit.opened, [story.fact], key="", now=visit.now, by=visit.session.by)
    return visit.redirect(visit.url(f"fact/{story.newest.chain}"))


def _seen(form: Form) -> int:
    """The revision that a form was loaded with; none has the number −1."""
    return int(form["seen"]) if form["seen"].isdecimal() and len(form["seen"]) < 10 else -1


def _story(visit: Visit, fact: str) -> Story:
    return history(visit.opened, Chosen(fact=fact))[0]


def _page(
    visit: Visit, story: Story, *, form: Form | None = None, problem: BrinebookError | None = None
) -> Response:
    zone = visit.opened.zone
    status = problem.http_status if problem and not isinstance(problem, BookProblem) else 200
    return visit.page(
        "fact.html",
        status=status if problem else 200,
        here="log",
        story=story,
        fact=story.fact,
        line=fact_line(story.fact, visit.now, zone),
        at=local_minute(story.fact.when, zone),
        revisions=list(revision_lines(story.revisions, visit.now, zone)),
        form=form,
        problem=problem,
        photo=photo_size(visit.opened, story.newest.chain),
    )
