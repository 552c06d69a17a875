"""An accepted plan: its steps, each done, left out or to come; what came; and giving it up."""

from __future__ import annotations

from collections.abc import Callable

from starlette.responses import Response

from brinebook.desk.entering import BROWSER, form_moment
from brinebook.desk.opening import Loaded
from brinebook.desk.plan_keep import do_step, drop, kept_plan, skip_step, what_came
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.plan import KeptStep
from brinebook.report.page_plan import shown_kept
from brinebook.report.shown import shown_units
from brinebook.texts import say
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, Visit

router = system_router()


class ReadingMissing(UsageProblem):
    """A planned test was said to be done without what it read."""

    code = "E-PLAN-READING"

    def __init__(self) -> None:
        super().__init__(
            say("The test isn't written down yet."),
            say("Write down what it read, with its unit: 8.2 dKH."),
        )


@router.get("/dosing/kept/{plan}")
def show(visit: AtSystem, plan: str) -> Response:
    """The plan with what became of each step."""
    return _page(visit, plan)


@router.post("/dosing/kept/{plan}/done/{step}")
def done(visit: Writer, form: Sent, plan: str, step: int) -> Response:
    """Write the step down as done; sent twice, it is written once."""

    def write(loaded: Loaded, one: KeptStep) -> None:
        if one.step.kind == "test" and not form["amount"]:
            raise ReadingMissing
        when = form_moment(form["when"], opened=visit.opened, now=visit.now)
        do_step(
            loaded, plan, step, amount=form["amount"] or None, when=when, now=visit.now,
            by=visit.session.by, through=BROWSER,
        )  # fmt: skip

    return _once(visit, form, plan, step, write)


@router.post("/dosing/kept/{plan}/skip/{step}")
def skip(visit: Writer, form: Sent, plan: str, step: int) -> Response:
    """Leave the step out."""

    def write(loaded: Loaded, _: KeptStep) -> None:
        skip_step(loaded, plan, step, now=visit.now, by=visit.session.by, through=BROWSER)

    return _once(visit, form, plan, step, write)


@router.post("/dosing/kept/{plan}/drop")
def give_up(visit: Writer, plan: str) -> Response:
    """Nothing of it is due any more."""
    drop(visit.until_now, plan, now=visit.now, by=visit.session.by, through=BROWSER)
    return visit.redirect(visit.url(f"dosing/kept/{plan}"))


def _once(
    visit: Visit, form: Form, plan: str, step: int, write: Callable[[Loaded, KeptStep], None]
) -> Response:
    loaded = visit.until_now
    found = kept_plan(loaded, plan)
    open_steps = [
        one for one in found.steps if one.number == step and one.state not in ("done", "skipped")
    ]
    try:
        for one in open_steps:
            write(loaded, one)
    except BrinebookError as problem:
        return _page(visit, plan, form=form, step=step, problem=problem)
    return visit.redirect(visit.url(f"dosing/kept/{found.plan.id}"))


def _page(
    visit: Visit,
    plan: str,
    *,
    form: Form | None = None,
    step: int = 0,
    problem: BrinebookError | None = None,
) -> Response:
    loaded = visit.until_now
    found = kept_plan(loaded, plan)
    units = shown_units(loaded.system, loaded.facts)
    return visit.page(
        "dosing_kept.html",
        status=problem.http_status if problem else 200,
        here="dosing",
        kept=shown_kept(found, loaded.zone, came=what_came(loaded, found), units=units),
        stops=found.plan.stops,
        cautions=found.plan.cautions,
        form=form or Form({}),
        step=step,
        problem=problem,
    )
