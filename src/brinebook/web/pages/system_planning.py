"""What plans are held to, besides limits and bands: each number with what is taken without it."""

from __future__ import annotations

from starlette.responses import Response

from brinebook.desk.description_edit import (
    Change,
    DescriptionMovedOn,
    changed_text,
    plain_table,
    shown,
)
from brinebook.desk.plan_numbers import plan_numbers
from brinebook.errors import BrinebookError
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.pages.system import conflict_page, keep, seen_mark
from brinebook.web.visit import AtSystem, Visit

router = system_router()
#: The key that may be a bare amount in the file, or one with its standard deviation.
_MEASURED = "air_co2"


@router.get("/system/planning")
def planning(visit: AtSystem, suggest: str = "") -> Response:
    """Each number as it stands, with what is taken where its field is left empty."""
    return _page(visit, suggest=bool(suggest))


@router.post("/system/planning")
def save(visit: Writer, form: Sent) -> Response:
    """Keep them: an empty field takes its key out."""
    keys = [each for number in plan_numbers(visit.opened.system.planning)
            for each in _fields(number.key)]  # fmt: skip
    values = {key: form[key] for key in keys}
    if isinstance(plain_table(visit.opened.text, "planning").get(_MEASURED), str):
        values = {_MEASURED: ""} | values
    try:
        keep(visit, form, changed_text(visit.opened.text, Change("planning", values)))
    except DescriptionMovedOn as problem:
        return conflict_page(visit, problem)
    except BrinebookError as problem:
        return _page(visit, form, problem)
    return visit.redirect(visit.url("dosing/limits"))


def _fields(key: str) -> tuple[str, ...]:
    return (f"{key}.value", f"{key}.sd") if key == _MEASURED else (key,)


def _page(
    visit: Visit,
    form: Form | None = None,
    problem: BrinebookError | None = None,
    *,
    suggest: bool = False,
) -> Response:
    table = plain_table(visit.opened.text, "planning")
    bare = table.get(_MEASURED)
    rows = []
    for number in plan_numbers(visit.opened.system.planning):
        for key in _fields(number.key):
            typed = form[key] if form else shown(table, key)
            if form is None and key == f"{_MEASURED}.value" and isinstance(bare, str):
                typed = bare
            if suggest and not typed and key == number.key:
                typed = number.typed
            rows.append((key, typed, number.taken))
    return visit.page(
        "system_planning.html",
        status=problem.http_status if problem else 200,
        here="system",
        seen=form["seen"] if form else seen_mark(visit),
        problem=problem,
        rows=rows,
    )
