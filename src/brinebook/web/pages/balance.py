"""Balance: the sheet of a quantity over a period, ruled like a ledger; and what is doubted."""

from __future__ import annotations

from datetime import datetime, timedelta

from starlette.responses import Response

from brinebook.desk.opening import aware
from brinebook.desk.sheets import period
from brinebook.desk.shelf import Told
from brinebook.errors import BrinebookError, UsageProblem
from brinebook.report.dates import date_text, instant_text
from brinebook.report.numbers import measure_and_range_text
from brinebook.report.page_doubts import (
    doubtful_tests,
    method_rows,
    unexplained,
    verdicts_on,
)
from brinebook.report.page_sheet import sheet_rows
from brinebook.report.sentences import is_of_volume
from brinebook.texts import say
from brinebook.texts.names import quantity_label
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()
_WAIT = 3.0


class DayUnreadable(UsageProblem):
    """A day of a period can't be read."""

    code = "E-DAY"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("{text!r} isn't a day.", text=text[:40]), say("Write it as 2026-03-01.")
        )


@router.get("/balance")
def balance(visit: AtSystem, *, what: str = "", since: str = "", until: str = "") -> Response:
    """The sheet of one quantity: alkalinity and the last month unless others are chosen."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("balance")
    told = standing.told
    answer, zone = told.assessed.answer, told.assessed.loaded.zone
    names = [name for name, one in answer.quantities.items() if one.consumption is not None]
    chosen = what or (names[0] if names else "")
    if chosen and chosen not in names:
        raise PageMissing(visit.request.url.path)
    shown = _sheet(visit, told, chosen, since, until) if chosen else {"problem": None}
    said = told.derived("verdicts", lambda: verdicts_on(told.assessed.loaded.facts))
    return visit.page(
        "balance.html",
        here="balance",
        standing=standing,
        told=told,
        as_of=instant_text(told.at, told.at, zone),
        names=names,
        what=chosen,
        label=quantity_label(chosen),
        doubts=doubtful_tests(answer, zone, told.units, said),
        changes=unexplained(answer, zone, told.units, said),
        methods=method_rows(answer, told.units),
        **({"sheet": None, "rows": [], "begins": "", "ends": "", "since": since, "until": until,
            "problem": None} | shown),
    )  # fmt: skip


@router.get("/volume")
def volume(visit: AtSystem) -> Response:
    """What the facts say of the net volume, beside what the keeper believes."""
    standing = visit.notebook.shelf.standing(visit.at)
    if standing.told is None:
        return visit.reckoning("balance")
    told = standing.told
    answer = told.assessed.answer
    return visit.page(
        "volume.html",
        here="balance",
        standing=standing,
        told=told,
        as_of=instant_text(told.at, told.at, told.assessed.loaded.zone),
        found=measure_and_range_text(answer.volume),
        belief=measure_and_range_text(answer.volume_belief),
        given=answer.volume_given,
        notes=[note for note in answer.notes if is_of_volume(note)],
    )


def _sheet(visit: Visit, told: Told, what: str, since: str, until: str) -> dict[str, object]:
    zone = told.assessed.loaded.zone
    try:
        begins, ends = _day(since, visit), _day(until, visit)
        # A day counts to its end.
        wanted = period(
            told.assessed.loaded,
            what,
            begins=begins,
            ends=ends + timedelta(days=1) if ends else None,
        )
        found = visit.notebook.shelf.sheet(visit.at, told, what, wanted, wait=_WAIT)
    except BrinebookError as problem:
        return {"problem": problem}
    return {
        "sheet": found,
        "rows": sheet_rows(found, told.units[what]) if found else [],
        "begins": date_text(wanted.begins, told.at, zone),
        "ends": date_text(wanted.ends, told.at, zone),
        "since": since or f"{wanted.begins.astimezone(zone):%Y-%m-%d}",
        "until": until or f"{wanted.ends.astimezone(zone):%Y-%m-%d}",
    }


def _day(text: str, visit: Visit) -> datetime | None:
    if not text:
        return None
    try:
        return aware(datetime.strptime(text, "%Y-%m-%d"), visit.opened.zone)  # noqa: DTZ007
    except ValueError:
        raise DayUnreadable(text) from None
