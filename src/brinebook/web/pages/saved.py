"""After saving: what was written down, what there is to say of it, one touch to take it back."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.responses import Response

from brinebook.desk.looking import Chosen, Story, history
from brinebook.desk.remarks import Remark, remarks_on, share_of_volume
from brinebook.errors import BrinebookError
from brinebook.report.facts import FactLine, fact_line
from brinebook.report.numbers import plain_text
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, Visit

router = system_router()
_MOST = 40


@dataclass(frozen=True, slots=True)
class Shown:
    """A fact just written, as the page shows it."""

    story: Story
    line: FactLine
    remarks: list[Remark]
    other: FactLine | None
    share: str


@router.get("/saved")
def saved(visit: AtSystem, facts: str = "", again: str = "") -> Response:
    """The facts just written."""
    ids = [one for one in facts.split(",") if one][:_MOST]
    shown = [_shown(visit, history(visit.opened, Chosen(fact=one))[0]) for one in ids]
    return visit.page("saved.html", here="", shown=shown, again=bool(again))


def _shown(visit: Visit, story: Story) -> Shown:
    zone = visit.opened.zone
    remarks = [] if story.newest.withdrawn else remarks_on(story.fact, visit.loaded.facts, zone)
    other = next((one.other for one in remarks if one.other is not None), None)
    return Shown(
        story,
        fact_line(story.fact, visit.now, zone),
        remarks,
        None if other is None else fact_line(other, visit.now, zone),
        _share(visit, story),
    )


def _share(visit: Visit, story: Story) -> str:
    """A water change as litres and as a share, so that a mistaken unit meets the eye."""
    if story.fact.kind != "water_change" or "/" in story.fact.unit:
        return ""
    told = visit.notebook.shelf.standing(visit.at, wait=0.0).told
    volume = told.assessed.answer.volume if told else None
    try:
        found = share_of_volume(visit.opened, story.fact.value, story.fact.unit, volume=volume)
    except BrinebookError:
        return ""
    if found is None:
        return ""
    litres, part = found
    return visit.t(
        "enter.share", litres=plain_text(round(litres, 1)), percent=plain_text(round(100 * part, 1))
    )
