"""/api/v1: what the commands answer with --json, at addresses; and facts and readings taken in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.responses import JSONResponse

from brinebook.desk.assess import SheetImpossible
from brinebook.desk.convert import convert
from brinebook.desk.entering import Typed, fact_of, form_moment, save
from brinebook.desk.looking import Chosen, history
from brinebook.desk.opening import aware
from brinebook.desk.readings import Reading, add_readings
from brinebook.desk.sheets import period
from brinebook.desk.shelf import Told
from brinebook.desk.water import Known, water_state
from brinebook.desk.wording import KIND_WORDS, quantity_name
from brinebook.errors import BookProblem, UsageProblem
from brinebook.report.answer_json import answer_json
from brinebook.report.facts_json import fact_object
from brinebook.report.json_numbers import for_json
from brinebook.report.sheet_text import sheet_json
from brinebook.report.today_json import today_json
from brinebook.texts import say
from brinebook.units import find_quantity
from brinebook.web.api.bodies import NewFacts, NewReadings
from brinebook.web.api.caller import Caller, FactWriter, Reader, ReadingWriter

_FAULT = {
    "description": "What went wrong, in words.",
    "content": {
        "application/json": {
            "schema": {
                "type": "object",
                "required": ["error"],
                "properties": {
                    "error": {
                        "type": "object",
                        "required": ["code", "message", "hint"],
                        "properties": {
                            name: {"type": "string"} for name in ("code", "message", "hint")
                        },
                    }
                },
            }
        }
    },
}
_FAULTS: Any = dict.fromkeys((400, 401, 403, 404, 409, 422, 503), _FAULT)

router = APIRouter(prefix="/api/v1", tags=["v1"], responses=_FAULTS)
_WAIT = 60.0
Optional = Annotated[str | None, Query(max_length=200)]


class NotReady(BookProblem):
    """The answer is still being worked out."""

    code = "E-NOT-READY"

    def __init__(self) -> None:
        super().__init__(
            say("The answer is still being worked out."), say("Ask again in a moment.")
        )


class TimeUnreadable(UsageProblem):
    """A time in a call can't be read."""

    code = "E-API-TIME"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("{text!r} isn't an instant.", text=text[:60]),
            say("Write 2026-03-01T09:00:00+00:00."),
        )


def _answer(found: Mapping[str, object]) -> JSONResponse:
    return JSONResponse(for_json(found))


def _told(caller: Caller) -> Told:
    told = caller.shelf.standing(caller.row, wait=_WAIT).told
    if told is None:
        raise NotReady
    return told


def _when(caller: Caller, text: str | None) -> datetime | None:
    if not text:
        return None
    try:
        return aware(datetime.fromisoformat(text.strip()), caller.opened.zone)
    except (ValueError, OverflowError):
        raise TimeUnreadable(text) from None


@router.get("/today")
def today(caller: Reader) -> JSONResponse:
    """What needs doing today, and why: as ``brinebook today --json``."""
    told = _told(caller)
    return _answer(today_json(told.assessed.answer, told.page))


@router.get("/balance")
def balance(caller: Reader) -> JSONResponse:
    """What is in the water, how fast it is used, where it goes: as ``brinebook balance --json``."""
    return _answer(answer_json(_told(caller).assessed.answer))


@router.get("/balance/{quantity}")
def sheet(
    caller: Reader,
    quantity: str,
    *,
    since: Annotated[str | None, Query(alias="from", max_length=60)] = None,
    until: Annotated[str | None, Query(alias="to", max_length=60)] = None,
) -> JSONResponse:
    """The sheet of one quantity over a period: the last 30 days unless told otherwise."""
    told = _told(caller)
    name = find_quantity(quantity).name
    wanted = period(
        told.assessed.loaded, name, begins=_when(caller, since), ends=_when(caller, until)
    )
    found = caller.shelf.sheet(caller.row, told, name, wanted, wait=_WAIT)
    if found is None:
        raise SheetImpossible(name, "it isn't worked out yet", "Ask again in a moment.")
    return _answer(sheet_json(found))


@router.get("/history")
def facts(
    caller: Reader,
    *,
    kind: Optional = None,
    what: Optional = None,
    since: Annotated[str | None, Query(alias="from", max_length=60)] = None,
    until: Annotated[str | None, Query(alias="to", max_length=60)] = None,
    last: Annotated[int, Query(ge=1, le=5000)] = 200,
) -> JSONResponse:
    """The facts that stand, the newest last."""
    chosen = Chosen(
        kinds=(KIND_WORDS.get(kind, kind),) if kind else (),
        what=quantity_name(what) if what else "",
        since=_when(caller, since),
        until=_when(caller, until),
        last=last,
    )
    found = history(caller.opened, chosen)
    told = [
        fact_object(one.fact)
        | {"entered_at": one.newest.entered_at.isoformat(), "revision": one.newest.number}
        for one in found
    ]
    return _answer({"system": caller.row.name, "facts": told})


@router.get("/water")
def water(
    _caller: Reader,
    *,
    alkalinity: Optional = None,
    ph: Optional = None,
    dic: Optional = None,
    pco2: Optional = None,
    salinity: Optional = None,
    temperature: Optional = None,
    calcium: Optional = None,
    phosphate: Optional = None,
    silicate: Optional = None,
    ammonia: Optional = None,
) -> JSONResponse:
    """The chemistry of a sample from what is known of it: as ``brinebook water --json``."""
    state = water_state(
        Known(alkalinity, ph, dic, pco2, salinity, temperature, calcium, phosphate, silicate,
              ammonia)
    )  # fmt: skip
    figures = {
        name: {"value": figure.value, "unit": figure.unit} for name, figure in state.figures.items()
    }
    return _answer({**figures, "notes": list(state.notes), "assumed": dict(state.assumed)})


@router.get("/convert")
def converted(
    _caller: Reader,
    amount: Annotated[str, Query(max_length=200, examples=["8 dKH"])],
    unit: Annotated[str, Query(max_length=100, examples=["meq/L"])],
    *,
    quantity: Optional = None,
    salinity: Optional = None,
    temperature: Optional = None,
) -> JSONResponse:
    """An amount in another unit: as ``brinebook convert --json``."""
    found = convert(amount, unit, quantity=quantity, salinity=salinity, temperature=temperature)
    return _answer({"value": found.value, "unit": found.unit, "assumed": dict(found.assumed)})


@router.post("/facts", status_code=201)
def add_facts(caller: FactWriter, body: NewFacts) -> JSONResponse:
    """Write facts down, all of them or none."""
    new = []
    for one in body.facts:
        when = form_moment(one.when or "now", opened=caller.opened, now=caller.now)
        kind = KIND_WORDS.get(one.kind, one.kind)
        typed = Typed(kind, quantity_name(one.what) if kind == "test" else one.what,
                      one.value, one.unit, one.detail)  # fmt: skip
        new.append(fact_of(typed, when=when))
    through = f"api, {caller.name}"
    saved = save(caller.opened, new, key=body.key, now=caller.now, through=through)
    found = [fact_object(one.fact) | {"written": one.done} for one in saved.recorded]
    return JSONResponse(for_json({"facts": found}), status_code=201)


@router.post("/readings", status_code=201)
def add_probe_readings(caller: ReadingWriter, body: NewReadings) -> JSONResponse:
    """Keep readings of probes, all of them or none."""
    rows = [Reading(one.when, one.probe, repr(one.value), one.unit) for one in body.readings]
    added = add_readings(caller.opened, rows, now=caller.now)
    answer = {"added": added, "known": len(rows) - added}
    return JSONResponse(for_json(answer), status_code=201)
