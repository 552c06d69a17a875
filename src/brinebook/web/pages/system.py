"""System: what the reef is made of, as forms; what was left out, and what is taken for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import available_timezones

from starlette.responses import Response

from brinebook.desk.describing import warnings_of
from brinebook.desk.description_edit import (
    Change,
    DescriptionMovedOn,
    changed_text,
    plain_parts,
    plain_table,
    save_description,
    shown,
    with_bands,
)
from brinebook.desk.entering import BROWSER
from brinebook.desk.plan_numbers import plan_numbers
from brinebook.errors import BrinebookError
from brinebook.report.suggested import SUGGESTED
from brinebook.texts import say, worded
from brinebook.texts.load import languages, load_language
from brinebook.texts.manner import DATE_ORDERS, DECIMAL_MARKS
from brinebook.units import QUANTITIES
from brinebook.web.forms import Form, Sent, Writer
from brinebook.web.pages import system_router
from brinebook.web.visit import AtSystem, PageMissing, Visit

router = system_router()
_GENERAL = ("name", "timezone", "language", "decimal_mark", "dates", "net_volume.value",
            "net_volume.sd")  # fmt: skip
#: Quantities that stand ready in the form of bands; the rest unfolds.
_READY = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity", "temperature",
          "ph")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Section:
    """An array of the file: which keys its form has."""

    name: str
    keys: tuple[str, ...]


SECTIONS: Mapping[str, Section] = {
    one.name: one
    for one in (
        Section("additives", ("name", "recipe.salt", "recipe.grams_per_litre", "per_ml.alkalinity",
                              "per_ml.calcium", "per_ml.magnesium", "strength_sd", "pump_sd")),
        Section("mixes", ("name", "at_salinity", "alkalinity", "calcium", "magnesium", "potassium",
                          "nitrate", "phosphate", "sd")),
        Section("methods", ("name", "quantity", "resolution", "repeatability", "trueness")),
        Section("references", ("name", "alkalinity.value", "alkalinity.sd", "calcium.value",
                               "calcium.sd", "magnesium.value", "magnesium.sd", "nitrate.value",
                               "nitrate.sd", "phosphate.value", "phosphate.sd")),
    )
}  # fmt: skip


@router.get("/system")
def system(visit: AtSystem) -> Response:
    """Everything that is described, with what was left out."""
    opened = visit.opened
    text = opened.text
    known = {name: plain_parts(text, name) for name in SECTIONS}
    bands = {name: one for name, one in plain_table(text, "bands").items()
             if isinstance(one, list) and len(one) == 2}  # fmt: skip
    return visit.page(
        "system.html",
        here="system",
        system=opened.system,
        top=plain_table(text, ""),
        written=f"{visit.t(f'system.mark.{opened.system.decimal_mark}')}; "
        f"{_order(visit, opened.system.dates)}",
        bands=bands,
        named=_named(bands, plain_table(text, "targets"), plain_table(text, "limits_per_day")),
        targets=plain_table(text, "targets"),
        limits=plain_table(text, "limits_per_day"),
        units=plain_table(text, "units"),
        known=known,
        numbers=plan_numbers(opened.system.planning),
        shown=shown,
        sections=SECTIONS,
        warnings=warnings_of(opened),
    )


def _named(*tables: Mapping[str, object]) -> list[str]:
    """The quantities that any of the tables names, in the usual order."""
    order = [*_READY, *(one for one in QUANTITIES if one not in _READY)]
    return [name for name in order if any(name in table for table in tables)]


def _name_of(tag: str) -> str:
    """What a language calls itself."""
    return load_language(tag).pages.get("system.in_language", tag)


def _order(visit: Visit, order: str) -> str:
    return visit.t(f"system.order.{order.replace(' ', '_')}")


@router.get("/system/general")
def general(visit: AtSystem) -> Response:
    """Name, zone and volume."""
    return _general(visit)


@router.post("/system/general")
def save_general(visit: Writer, form: Sent) -> Response:
    """Keep them."""
    values = {key: form[key] for key in _GENERAL}
    if isinstance(plain_table(visit.opened.text, "").get("net_volume"), str):
        values = {"net_volume": ""} | values
    change = Change("", values)
    return _save(visit, form, [change], lambda problem: _general(visit, form, problem))


def _general(
    visit: Visit, form: Form | None = None, problem: BrinebookError | None = None
) -> Response:
    top = plain_table(visit.opened.text, "")
    volume = top.get("net_volume")
    value = volume if isinstance(volume, str) else shown(top, "net_volume.value")
    return visit.page(
        "system_general.html",
        status=problem.http_status if problem else 200,
        here="system",
        seen=form["seen"] if form else seen_mark(visit),
        problem=problem,
        values={key: form[key] if form else shown(top, key) for key in _GENERAL}
        | ({} if form else {"net_volume.value": value}),
        languages=[(tag, _name_of(tag)) for tag in languages()],
        marks=[(one, visit.t(f"system.mark.{one}")) for one in DECIMAL_MARKS],
        orders=[(one, _order(visit, one)) for one in DATE_ORDERS],
        zones=sorted(available_timezones()),
    )


@router.get("/system/bands")
def bands(visit: AtSystem, suggest: str = "") -> Response:
    """Units, bands, targets and limits a day, of each quantity."""
    return _bands(visit, suggest=bool(suggest))


@router.post("/system/bands")
def save_bands(visit: Writer, form: Sent) -> Response:
    """Keep them: an empty field takes its key out."""
    problem = _half_bands(form)
    if problem is not None:
        return _bands(visit, form=form, problem=problem)
    changes = []
    for section, name in (("units", "unit"), ("targets", "target"), ("limits_per_day", "limit")):
        values = {quantity: form[f"{name}.{quantity}"] for quantity in QUANTITIES}
        changes.append(Change(section, values))
    pairs = {
        quantity: (form[f"low.{quantity}"], form[f"high.{quantity}"]) for quantity in QUANTITIES
    }
    return _save(
        visit, form, changes, lambda problem: _bands(visit, form=form, problem=problem), pairs
    )


class HalfBand(BrinebookError):
    """A band with one end only."""

    code = "E-HALF-BAND"

    def __init__(self, quantity: str) -> None:
        super().__init__(
            say("The band of {quantity} has one end only.", quantity=quantity),
            say("Fill in both, or neither."),
        )


def _half_bands(form: Form) -> HalfBand | None:
    for quantity in QUANTITIES:
        if bool(form[f"low.{quantity}"]) != bool(form[f"high.{quantity}"]):
            return HalfBand(quantity)
    return None


def _bands(
    visit: Visit,
    *,
    suggest: bool = False,
    form: Form | None = None,
    problem: BrinebookError | None = None,
) -> Response:
    text = visit.opened.text
    tables = {name: plain_table(text, name)
              for name in ("bands", "units", "targets", "limits_per_day")}  # fmt: skip
    used = {fact.what for fact in visit.loaded.facts if fact.kind == "test"}
    order = [*_READY, *(one for one in QUANTITIES if one not in _READY)]
    rows = [_band_row(name, tables, suggest=suggest, form=form) for name in order]
    return visit.page(
        "system_bands.html",
        status=problem.http_status if problem else 200,
        here="system",
        seen=form["seen"] if form else seen_mark(visit),
        problem=problem,
        ready=[row for row in rows if row["name"] in used or row["name"] in _READY],
        others=[row for row in rows if row["name"] not in used and row["name"] not in _READY],
        suggest=suggest,
    )


def _band_row(
    name: str, tables: Mapping[str, Mapping[str, object]], *, suggest: bool, form: Form | None
) -> dict[str, object]:
    pair = tables["bands"].get(name)
    low, high = (str(pair[0]), str(pair[1])) if isinstance(pair, list) and len(pair) == 2 else (
        "", ""
    )  # fmt: skip
    values = {
        "low": low,
        "high": high,
        "unit": str(tables["units"].get(name, "")),
        "target": str(tables["targets"].get(name, "")),
        "limit": str(tables["limits_per_day"].get(name, "")),
    }
    if form is not None:
        values = {key: form[f"{key}.{name}"] for key in values}
    offer = worded(SUGGESTED[name]) if name in SUGGESTED else None
    if suggest and offer is not None and not (low or high):
        values |= {"low": offer.low, "high": offer.high}
    if suggest and offer is not None and not values["limit"]:
        values["limit"] = offer.limit
    return {"name": name, **values, "origin": offer.origin if offer and suggest else ""}


@router.get("/system/text")
def text(visit: AtSystem) -> Response:
    """The whole description as text."""
    return _text(visit, visit.opened.text, str(seen_mark(visit)))


@router.post("/system/text")
def save_text(visit: Writer, form: Sent) -> Response:
    """Keep the text."""
    written = form["text"].replace("\r\n", "\n") + "\n"
    try:
        keep(visit, form, written)
    except BrinebookError as problem:
        if isinstance(problem, DescriptionMovedOn):
            return conflict_page(visit, problem)
        return _text(visit, written, form["seen"], problem)
    return visit.redirect(visit.url("system"))


def _text(visit: Visit, text: str, seen: str, problem: BrinebookError | None = None) -> Response:
    return visit.page(
        "system_text.html",
        status=problem.http_status if problem else 200,
        here="system",
        seen=seen,
        text=text,
        problem=problem,
    )


@router.get("/system/{section}/{place}")
def part(visit: AtSystem, section: str, place: str) -> Response:
    """The form of one additive, mix, method or reference, or of a new one."""
    return _part(visit, section, place)


@router.post("/system/{section}/{place}")
def save_part(visit: Writer, form: Sent, section: str, place: str) -> Response:
    """Keep it, or take it out."""
    known = _section(section)
    values = {key: form[f"v.{key}"] for key in known.keys}
    change = Change(section, values, _place(visit, section, place), remove=bool(form["remove"]))
    return _save(visit, form, [change], lambda problem: _part(visit, section, place, form, problem))


def _part(
    visit: Visit,
    section: str,
    place: str,
    form: Form | None = None,
    problem: BrinebookError | None = None,
) -> Response:
    known = _section(section)
    parts = plain_parts(visit.opened.text, section)
    number = _place(visit, section, place)
    found = parts[number] if number < len(parts) else {}
    values = {key: form[f"v.{key}"] if form else shown(found, key) for key in known.keys}
    return visit.page(
        "system_part.html",
        status=problem.http_status if problem else 200,
        here="system",
        section=section,
        place=place,
        is_new=number == len(parts),
        values=values,
        seen=form["seen"] if form else seen_mark(visit),
        problem=problem,
        quantities=tuple(QUANTITIES),
    )


def _section(name: str) -> Section:
    if name not in SECTIONS:
        raise PageMissing(name)
    return SECTIONS[name]


def _place(visit: Visit, section: str, place: str) -> int:
    _section(section)
    parts = plain_parts(visit.opened.text, section)
    if place == "new":
        return len(parts)
    if not (place.isascii() and place.isdigit()) or int(place[:6]) >= len(parts):
        raise PageMissing(place)
    return int(place)


def seen_mark(visit: Visit) -> int:
    """Which description the visitor saw, for a form to send back."""
    return visit.notebook.shelf.mark(visit.at.system_id).described


def keep(visit: Visit, form: Form, text: str) -> None:
    """Keep a description over the one that was seen. Raises what `save_description` raises."""
    seen = int(form["seen"][:9]) if form["seen"].isascii() and form["seen"].isdigit() else 0
    save_description(
        visit.opened, text, seen=seen, now=visit.now, by=visit.session.by, through=BROWSER
    )


def _save(
    visit: Visit,
    form: Form,
    changes: list[Change],
    again: object,
    pairs: Mapping[str, tuple[str, str]] | None = None,
) -> Response:
    try:
        text = visit.opened.text
        for change in changes:
            text = changed_text(text, change)
        if pairs is not None:
            text = with_bands(text, pairs)
        keep(visit, form, text)
    except DescriptionMovedOn as problem:
        return conflict_page(visit, problem)
    except BrinebookError as problem:
        assert callable(again)
        answer: Response = again(problem)
        return answer
    return visit.redirect(visit.url("system"))


def conflict_page(visit: Visit, problem: DescriptionMovedOn) -> Response:
    """Both descriptions side by side, where somebody else changed it meanwhile."""
    return visit.page(
        "system_conflict.html",
        status=problem.http_status,
        here="system",
        seen=seen_mark(visit),
        problem=problem,
        theirs=problem.theirs,
        mine=problem.mine,
    )
