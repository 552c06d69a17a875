"""One row, from text to a fact: every fault of it is found and put into words at once."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from functools import lru_cache
from zoneinfo import ZoneInfo

from brinebook import units
from brinebook.book.identity import detail_text, fact_id, stored_detail
from brinebook.book.kinds import COMMON_KEYS, HOURS, KIND_RULES, MOST, VERDICTS, KindRule
from brinebook.errors import BrinebookError
from brinebook.texts import phrase, say
from brinebook.timeline import KINDS, Fact
from brinebook.units import QUANTITIES
from brinebook.water.quantities import check_range, to_canonical

LONGEST_FIELD = 100_000
#: A clock may be a little wrong and a zone misread; a day is more than both.
FUTURE_ALLOWED = timedelta(days=1)
_EARLIEST = datetime(1950, 1, 1, tzinfo=UTC)
_WHEN_SIGNS = frozenset("0123456789-:+.,TtZzW ")


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with one column of a row."""

    column: str
    value: str
    reason: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Settled:
    """A row's content in its stored form, or the problems that it has.

    ``canonical`` is a test's value in the quantity's canonical unit; ``remarks`` are hints that
    block nothing.
    """

    kind: str
    what: str = ""
    value: str = ""
    unit: str = ""
    detail: str = ""
    canonical: float | None = None
    problems: tuple[Problem, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(slots=True)
class _Sheet:
    """Where the checks of one row put what they find."""

    problems: list[Problem] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def wrong(self, column: str, value: str, reason: str, hint: str = "") -> None:
        self.problems.append(Problem(column, value, reason, hint))

    def refused(self, column: str, value: str, error: BrinebookError) -> None:
        self.wrong(column, value, error.message.rstrip("."), error.hint)


def read_when(text: str, *, zone: ZoneInfo, now: datetime) -> datetime | Problem:
    """An instant in ISO 8601 as UTC, read in ``zone`` if it has no offset; or what is wrong.

    More than a day after ``now`` is wrong, and so is anything before 1950.
    """
    if not text:
        return Problem("when", text, say("it is empty"))
    if not _WHEN_SIGNS.issuperset(text):
        return Problem("when", text, say("it isn't a date and time in ISO 8601"), say(_WHEN_HINT))
    try:
        when = datetime.fromisoformat(text)
        if when.tzinfo is None:
            when = when.replace(tzinfo=zone)
        when = when.astimezone(UTC)
    except (ValueError, OverflowError):
        return Problem("when", text, say("it isn't a date and time in ISO 8601"), say(_WHEN_HINT))
    if when > now + FUTURE_ALLOWED:
        return Problem("when", text, say("it is more than a day ahead of the clock"))
    if when < _EARLIEST:
        return Problem("when", text, say("it is before 1950"))
    return when


_WHEN_HINT = phrase("Write it as 2026-03-01T09:00, or with an offset as 2026-03-01T09:00+01:00.")


@lru_cache(maxsize=65_536)
def settle_text(kind: str, what: str, value: str, unit: str, detail: str) -> Settled:
    """`settle` for a row of a file, its detail still as ``key=value`` pairs."""
    pairs, problems = split_detail(detail)
    settled = settle(kind, what=what, value=value, unit=unit, detail=pairs)
    if not problems:
        return settled
    return Settled(kind, problems=(*problems, *settled.problems), remarks=settled.remarks)


def settle(
    kind: str, *, what: str = "", value: str = "", unit: str = "", detail: Mapping[str, str]
) -> Settled:
    """Check a row's content against the rules of its kind and put it into its stored form."""
    rule = KIND_RULES.get(kind)
    sheet = _Sheet()
    if rule is None:
        near = get_close_matches(kind[:40], KINDS, n=1)
        sheet.wrong(
            "kind",
            kind,
            say("there is no such kind of fact") if kind else say("it is empty"),
            say("Did you mean {near}?", near=near[0])
            if near
            else say("Kinds are: {kinds}.", kinds=", ".join(KINDS)),
        )
        return Settled(kind, problems=tuple(sheet.problems))
    what, value, unit = what.strip(), value.strip(), unit.strip()
    _printable(sheet, what=what, value=value, unit=unit)
    kept = _settle_detail(sheet, kind, rule, detail)
    what = _settle_what(sheet, kind, rule, what)
    canonical = None
    if rule.value == "reading":
        value, canonical = _settle_reading(sheet, what, value, unit, kept)
    elif rule.value == "amount":
        value = _settle_amount(sheet, rule, value, unit)
    elif rule.value == "none":
        _nothing(sheet, kind, value=value, unit=unit)
    return Settled(
        kind,
        what,
        value,
        unit,
        detail_text(kept),
        canonical,
        tuple(sheet.problems),
        tuple(sheet.remarks),
    )


def to_fact(when: datetime, settled: Settled) -> Fact:
    """The fact of a settled row without problems. ``when`` is in UTC."""
    identifier = fact_id(
        happened=when.isoformat(),
        kind=settled.kind,
        what=settled.what,
        value=settled.value,
        unit=settled.unit,
        detail=settled.detail,
    )
    return Fact(
        identifier,
        when,
        settled.kind,
        settled.what,
        settled.value,
        settled.unit,
        stored_detail(settled.detail),
    )


def split_detail(text: str) -> tuple[dict[str, str], list[Problem]]:
    """The ``key=value`` pairs of a detail column, percent-decoded, and what is wrong with it."""
    pairs: dict[str, str] = {}
    problems: list[Problem] = []
    for part in text.split(";"):
        if not part.strip():
            continue
        key, equals, value = part.partition("=")
        if not equals or "=" in value:
            reason = say("a pair is written key=value, with = inside a value as %3D")
            problems.append(Problem("detail", part.strip(), reason))
            continue
        try:
            key, value = _decoded(key).strip(), _decoded(value).strip()
        except UnicodeDecodeError:
            problems.append(
                Problem("detail", part.strip(), say("its percent signs spell no UTF-8"))
            )
            continue
        if not key:
            problems.append(Problem("detail", part.strip(), say("the key before = is empty")))
        elif key in pairs:
            problems.append(
                Problem("detail", part.strip(), say("the key {key} stands twice", key=key))
            )
        else:
            pairs[key] = value
    return pairs, problems


def _decoded(text: str) -> str:
    from urllib.parse import unquote

    return unquote(text, errors="strict") if "%" in text else text


def _printable(sheet: _Sheet, **columns: str) -> None:
    for column, text in columns.items():
        if len(text) > LONGEST_FIELD:
            sheet.wrong(
                column,
                text[:40],
                say("it is longer than {longest_field:,} characters", longest_field=LONGEST_FIELD),
            )
        elif not text.isprintable():
            for sign in text:
                if unicodedata.category(sign) in {"Cc", "Cs"}:
                    sheet.wrong(
                        column,
                        text,
                        say("it holds the unprintable character U+{ord:04X}", ord=ord(sign)),
                    )
                    break


def _settle_detail(
    sheet: _Sheet, kind: str, rule: KindRule, detail: Mapping[str, str]
) -> dict[str, str]:
    kept: dict[str, str] = {}
    for raw_key, raw_value in detail.items():
        key, value = raw_key.strip(), raw_value.strip()
        for text in (key, value):
            _printable(sheet, detail=text.replace("\n", " ").replace("\r", " ").replace("\t", " "))
        if not value:
            continue  # `method=` says nothing
        kept[key] = value
        _check_key(sheet, kind, rule, key, value)
    if kind == "verdict" and "says" not in kept:
        sheet.wrong("detail", "", say("a verdict says={verdicts}", verdicts="|".join(VERDICTS)))
    return kept


def _check_key(sheet: _Sheet, kind: str, rule: KindRule, key: str, value: str) -> None:
    shown = f"{key}={value}"
    if key == "hours" and kind == "dosing":
        if not HOURS.fullmatch(value):
            sheet.wrong("detail", shown, say("hours are clock times such as 22-06 or 08:30-20:00"))
    elif (key in {"n", "p"} and kind in {"feed", "harvest"}) or (key, kind) == ("dry", "harvest"):
        _number_within(sheet, shown, bounds=(0.0, 1.0), about=say("a mass fraction"))
    elif key == "flow" and kind == "media":
        _number_within(sheet, shown, bounds=(0.0, MOST["volume"]), about=say("a flow in L/h"))
    elif key == "says" and kind == "verdict":
        if value not in VERDICTS:
            sheet.wrong(
                "detail",
                shown,
                say("a verdict says {units_listed}", units_listed=units_listed(VERDICTS)),
            )
    elif kind == "water_change" and key in QUANTITIES:
        low, high = QUANTITIES[key].range_for()
        _number_within(
            sheet,
            shown,
            bounds=(low, high),
            about=say("{key} in {unit}", key=key, unit=QUANTITIES[key].unit),
        )
    elif kind == "test" and key == "temperature":
        low, high = QUANTITIES["temperature"].range_for()
        _number_within(sheet, shown, bounds=(low, high), about=say("a temperature in C"))
    elif not (rule.free_keys or key in rule.keys or key in COMMON_KEYS):
        near = get_close_matches(key[:40], (*rule.keys, *COMMON_KEYS), n=1)
        meant = say(" (did you mean {near}?)", near=near[0]) if near else ""
        sheet.remarks.append(
            say(
                "{kind}: the detail key {key!r} has no meaning here{meant}; kept.",
                kind=kind,
                key=key,
                meant=meant,
            )
        )


def units_listed(names: tuple[str, ...]) -> str:
    """``a, b or c``."""
    return say("{names} or {last}", names=", ".join(names[:-1]), last=names[-1])


def _number_within(sheet: _Sheet, shown: str, *, bounds: tuple[float, float], about: str) -> None:
    value = shown.partition("=")[2]
    low, high = bounds
    try:
        number = units.parse_number(value)
    except BrinebookError as error:
        sheet.refused("detail", shown, error)
        return
    if not low <= number <= high:
        sheet.wrong(
            "detail",
            shown,
            say("{about} lies between {low:g} and {high:g}", about=about, low=low, high=high),
        )


def _settle_what(sheet: _Sheet, kind: str, rule: KindRule, what: str) -> str:
    if rule.what == "none":
        if what:
            sheet.wrong("what", what, say("it stays empty for {kind}", kind=kind))
    elif not what:
        if rule.what == "needed":
            sheet.wrong(
                "what",
                what,
                say("it is empty; here stands {about_what}", about_what=rule.about_what),
            )
    elif kind == "test":
        try:
            return units.find_quantity(what).name
        except BrinebookError as error:
            sheet.refused("what", what, error)
    elif kind == "verdict":
        return what.lower()
    return what


def _settle_reading(
    sheet: _Sheet, what: str, value: str, unit: str, detail: Mapping[str, str]
) -> tuple[str, float | None]:
    """The value in its stored form and, where it could be read, in the canonical unit."""
    quantity = QUANTITIES.get(what)
    try:
        reading = units.parse_reading_value(value)
    except BrinebookError as error:
        sheet.refused("value", value, error)
        reading = None
    if quantity is None:
        return value, None
    try:
        units.read_unit(quantity, unit)
        if reading is None:
            return value, None
        converted = to_canonical(
            what, reading.value, unit, detail_temperature=_temperature(detail)
        ).value
    except BrinebookError as error:
        sheet.refused("unit", unit, error)
        return value, None
    try:
        of_system = not detail.get("of")
        check_range(what, converted, of_system=of_system, typed=reading.value, typed_unit=unit)
    except BrinebookError as error:
        sheet.refused("value", value, error)
    number = value.lstrip("<>").strip().replace("−", "-").removeprefix("+")
    return reading.censor + number, converted


def _temperature(detail: Mapping[str, str]) -> float | None:
    try:
        return units.parse_number(detail["temperature"]) if "temperature" in detail else None
    except BrinebookError:
        return None  # reported with its own column


def _settle_amount(sheet: _Sheet, rule: KindRule, value: str, unit: str) -> str:
    number = None
    try:
        number = units.parse_number(value)
    except BrinebookError as error:
        sheet.refused("value", value, error)
    dimension, spelled = _amount_unit(sheet, rule, unit)
    if number is None or dimension is None:
        return value
    base = next(iter(units.DIMENSIONS[dimension]))
    amount = units.convert_amount(number, spelled, base)
    if number < 0:
        sheet.wrong("value", value, say("it is negative"))
    elif amount > MOST[dimension]:
        sheet.wrong(
            "value",
            value,
            say("it is more than {most:,.0f} {base}", most=MOST[dimension], base=base),
        )
    return value.strip().replace("−", "-").removeprefix("+")


def _amount_unit(sheet: _Sheet, rule: KindRule, unit: str) -> tuple[str | None, str]:
    try:
        dimension, spelled = units.amount_unit(unit)
    except BrinebookError:
        dimension, spelled = "", ""
    if dimension in rule.dimensions:
        return dimension, spelled
    known = units_listed(rule.units) if len(rule.units) > 1 else "".join(rule.units)
    reason = say("the unit is missing") if not unit else say("this unit doesn't fit here")
    sheet.wrong("unit", unit, say("{reason}; it is read in {known}", reason=reason, known=known))
    return None, ""


def _nothing(sheet: _Sheet, kind: str, *, value: str, unit: str) -> None:
    for column, text in (("value", value), ("unit", unit)):
        if text:
            sheet.wrong(column, text, say("it stays empty for {kind}", kind=kind))
