"""Today: is anyone in danger, is anything to be done, what does it rest on, when to look again."""

from __future__ import annotations

from urllib.parse import quote

from starlette.responses import Response

from brinebook.report.dates import calendar_days, day_text, instant_text
from brinebook.report.mentions import mentioned
from brinebook.report.page_rows import page_rows
from brinebook.texts.names import quantity_label
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem

router = system_router()


@router.get("/today")
def today(visit: AtSystem) -> Response:
    """The page, from the newest answer."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("today")
    told = standing.told
    answer, zone = told.assessed.answer, told.assessed.loaded.zone
    later = [test for test in told.page.next_tests if test.by > told.at]
    return visit.page(
        "today.html",
        here="today",
        standing=standing,
        told=told,
        page=told.page,
        as_of=instant_text(told.at, told.at, zone),
        rows=told.derived("rows", lambda: page_rows(answer, zone, told.units)),
        next_tests=[(quantity_label(one.quantity), day_text(one.by, told.at, zone), one.why,
                     calendar_days(told.at, one.by, zone) == 0) for one in later],
        known=set(answer.quantities),
        plan_path=_plan_path,
        mentioned=lambda text: mentioned(text, answer.quantities),
    )  # fmt: skip


def _plan_path(works_out: str) -> str:
    """The page of a plan as an act names it: “correct alkalinity”, “nutrients nitrate”."""
    kind, _, about = works_out.partition(" ")
    field = {"nutrients": "nutrient"}.get(kind, "quantity")
    return f"dosing/plan/{kind}?ask=1" + (f"&{field}={quote(about)}" if about else "")


@router.get("/as-of")
def as_of(visit: AtSystem, *, seen: str = "", page: str = "", behind: str = "") -> Response:
    """Whether there is a newer answer than the one that a page shows: asked by a script."""
    standing = visit.notebook.shelf.standing(visit.at, wait=1.0)
    told = standing.told
    # Two answers may be of one second: one that knows what the page lacked is newer all the same.
    newer = told is not None and (bool(behind) or told.at.isoformat() != seen)
    ready = newer and not standing.behind
    ready_now = ready and bool(behind)
    back = page if page.startswith(visit.url("")) and page.isprintable() else visit.url()
    answer = visit.page("as_of.html", ready=ready, seen=seen, page=back, behind=bool(behind))
    if ready_now:  # facts came since that page: it is shown anew by itself
        answer.headers["HX-Refresh"] = "true"
    return answer
