"""Entries of an amount: a dose, a level, a water change and their like, each a page of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from starlette.responses import Response

from brinebook.desk.entering import Typed, new_water
from brinebook.desk.remarks import share_of_volume
from brinebook.desk.usual import UsualAmount, usual_amounts
from brinebook.errors import BrinebookError
from brinebook.report.dates import ago_text, calendar_days
from brinebook.report.numbers import plain_text
from brinebook.system import System
from brinebook.timeline import Fact
from brinebook.web.entry import NothingTyped, details, new_key, take
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of entry: its unit unless the last one had another, and what else may be said.

    ``units`` are those that it may be typed in; ``nameless`` kinds may be about nothing.
    """

    kind: str
    unit: str
    units: tuple[str, ...]
    more: tuple[str, ...] = ()
    nameless: bool = False
    named: bool = True

    @property
    def page(self) -> str:
        """The last part of the page's address."""
        return self.kind.replace("_", "-")


#: Names of caustic salts and what is made of them.
_CAUSTIC = ("lime", "hydroxide", "ca(oh)2", "naoh", "soda ash", "na2co3")

KINDS = {
    one.page: one
    for one in (
        Kind("dose", "mL", ("mL", "g")),
        Kind("dosing", "mL/day", ("mL/day", "g/day"), ("hours",)),
        Kind("level", "mL", ("mL", "L")),
        Kind("water_change", "L", ("L", "%"), ("salinity", "temperature", "alkalinity", "calcium"),
             nameless=True),
        Kind("top_off", "L", ("L", "mL"), nameless=True),
        Kind("removed", "L", ("L", "mL"), nameless=True, named=False),
        Kind("feed", "g", ("g",), ("n", "p")),
        Kind("media", "g", ("g",), ("flow",)),
        Kind("harvest", "g", ("g",)),
    )
}  # fmt: skip


@router.get("/enter/{page}")
def ask(visit: AtSystem, page: str, what: str = "") -> Response:
    """The form for one amount."""
    return _page(visit, _kind(page), Form({"what": what} if what else {}))


@router.post("/enter/{page}")
def store(visit: Writer, form: Sent, page: str) -> Response:
    """Write it down, or say what is wrong with it."""
    kind = _kind(page)
    portion = form["portion"].split("|")
    name, amount, unit = (
        portion if len(portion) == 3 else (form["other"] or form["what"], form["value"], "")
    )
    if not (amount or form["meant"]):
        return _page(visit, kind, form, NothingTyped())
    chosen = _chosen(visit, kind, name)
    unit = unit or (form["unit"] if form["unit"] in kind.units else chosen.unit)
    try:
        said = details(form)
        said = new_water(visit.opened, said) if kind.kind == "water_change" else said
    except BrinebookError as problem:
        return _page(visit, kind, form, problem)
    typed = Typed(kind.kind, name if kind.named else "", amount, unit, said)
    entries = [("value", typed)]
    return take(visit, form, entries, lambda sent, problem: _page(visit, kind, sent, problem))


@router.get("/share-of-volume")
def share(visit: AtSystem, value: str = "", unit: str = "") -> Response:
    """“20 L = 6.6 %”, while it is being typed."""
    said = ""
    told = visit.notebook.shelf.standing(visit.at, wait=0.0).told
    try:
        volume = told.assessed.answer.volume if told else None
        found = share_of_volume(visit.opened, value, unit, volume=volume)
    except BrinebookError:
        found = None
    if found is not None:
        litres, part = found
        said = visit.t("enter.share", litres=plain_text(round(litres, 1)),
                       percent=plain_text(round(100 * part, 1)))  # fmt: skip
    return visit.page("share.html", said=said)


def _kind(page: str) -> Kind:
    if page not in KINDS:
        raise PageMissing(page)
    return KINDS[page]


def _names(system: System, kind: str) -> Sequence[str]:
    additives = [one.name for one in system.additives]
    return {
        "dose": additives,
        "dosing": additives,
        "level": [*additives, "top-off"],
        "top_off": ["", *additives],
        "water_change": [one.name for one in system.mixes] or [""],
        "media": ["ferric", "carbon"],
        "removed": [""],
    }.get(kind, [])


def _usual(visit: Visit, kind: Kind) -> tuple[UsualAmount, ...]:
    names = _names(visit.opened.system, kind.kind)
    found = usual_amounts(kind.kind, names, visit.loaded.facts, unit=kind.unit)
    if kind.kind == "level":
        return tuple(
            UsualAmount(one.name, "L", None) if one.name == "top-off" and not one.last else one
            for one in found
        )
    return found


def _chosen(visit: Visit, kind: Kind, what: str) -> UsualAmount:
    found = _usual(visit, kind)
    for one in found:
        if one.name == what:
            return one
    return UsualAmount(what, kind.unit, None)


def _caution(kind: Kind, name: str) -> str:
    """Which caution belongs to the act: caustic salts have their own."""
    salts = name.casefold()
    if kind.kind in {"dose", "dosing", "top_off"} and any(one in salts for one in _CAUSTIC):
        return "caustic"
    return kind.page


def _ago(visit: Visit, last: Fact | None) -> str:
    if last is None:
        return ""
    ago = ago_text(last.when, max(visit.now, last.when), visit.opened.zone)
    today = _today(visit, last)
    return f"{ago}, {today}" if today else ago


def _today(visit: Visit, last: Fact | None) -> str:
    """At what time of today something was entered last, and by whom: two in a house feed twice."""
    if last is None or calendar_days(last.when, visit.now, visit.opened.zone):
        return ""
    at = last.when.astimezone(visit.opened.zone).strftime("%H:%M")
    who = last.detail.get("by", "")
    return f"{at} {visit.t('fact.by', who=who)}" if who else at


def _page(visit: Visit, kind: Kind, form: Form, problem: BrinebookError | None = None) -> Response:
    every = _usual(visit, kind)
    name = form["other"] or form["what"]
    first = every[0] if every else UsualAmount("", kind.unit)
    chosen = _chosen(visit, kind, name) if "what" in form.fields or name else first
    return visit.page(
        "enter_amount.html",
        status=problem.http_status if problem else 200,
        here="",
        kind=kind,
        form=form,
        key=new_key(form),
        every=every,
        chosen=chosen,
        unit=form["unit"] if form["unit"] in kind.units else chosen.unit,
        ago=_ago(visit, chosen.last),
        today={one.name: _today(visit, one.last) for one in every},
        problem=problem,
        caution=visit.caution(_caution(kind, chosen.name)),
    )
