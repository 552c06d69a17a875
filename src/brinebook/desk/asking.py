"""Whether to ask the keeper about what a form holds, once, and seldom enough not to be a nuisance.

At most one question in ten entries; what was dismissed twice isn't asked again for a month.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook.balance.answer import Answer
from brinebook.balance.slips import likely_slip
from brinebook.book import settings
from brinebook.book.identity import to_us
from brinebook.desk.expect import FEWEST_TESTS, far_off, spread_of_test
from brinebook.desk.opening import OpenSystem
from brinebook.desk.wording import split_typed
from brinebook.errors import BrinebookError
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, format_number
from brinebook.water.quantities import to_canonical

if TYPE_CHECKING:
    from sqlalchemy import Connection

KEY = "web.questions"
ENTRIES_A_QUESTION = 10
DISMISSED_ENOUGH = 2
REMEMBERED = timedelta(days=30)
#: What was expected holds for tests of about the present only.
_PRESENT = timedelta(hours=36)
_DOUBLE = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Question:
    """A question about one fact of a form: its sentence, likely answers, and as which it counts.

    ``place`` is the fact's place in the form; ``kind`` is ``far``, ``slip``, ``swapped`` or
    ``again``.
    """

    kind: str
    pattern: str
    place: int
    fact: Fact
    low: str = ""
    high: str = ""
    meant: str = ""
    about: str = ""
    earlier: Fact | None = None


@dataclass(frozen=True, slots=True)
class _Budget:
    since: int
    dismissed: dict[str, list[int]]


def question_about(
    opened: OpenSystem,
    new: Sequence[Fact],
    facts: Sequence[Fact],
    *,
    answer: Answer | None,
    now: datetime,
) -> Question | None:
    """What to ask before these facts are written down; None where there is nothing to ask, or it
    was asked too lately. ``facts`` are those that stand, in order of time."""
    with opened.book.read() as connection:
        budget = _read(connection, opened.system_id)
    if budget.since < ENTRIES_A_QUESTION:
        return None
    for place, fact in enumerate(new):
        found = _again(fact, facts, place) or _far(fact, facts, place, answer=answer, now=now)
        if found is not None and not _worn_out(budget, found.pattern, now):
            return found
    return None


def _again(fact: Fact, facts: Sequence[Fact], place: int) -> Question | None:
    """The same but minutes apart: entered once more, or done once more?"""
    if fact.kind in {"note", "event", "done", "verdict"}:
        return None
    for other in reversed(facts):
        if other.when < fact.when - _DOUBLE:
            break
        same = (other.kind, other.what, other.value, other.unit, dict(other.detail)) == (
            fact.kind, fact.what, fact.value, fact.unit, dict(fact.detail),
        )  # fmt: skip
        if same and abs(other.when - fact.when) <= _DOUBLE:
            pattern = f"again:{fact.kind}:{fact.what}"
            return Question("again", pattern, place, fact, earlier=other)
    return None


def _far(
    fact: Fact, facts: Sequence[Fact], place: int, *, answer: Answer | None, now: datetime
) -> Question | None:
    if answer is None or fact.kind != "test" or abs(now - fact.when) > _PRESENT:
        return None
    known = answer.quantities.get(fact.what)
    if known is None or known.tests < FEWEST_TESTS:
        return None
    last = next(
        (one for one in reversed(facts)
         if one.kind == "test" and one.what == fact.what and not one.detail.get("of")),
        None,
    )  # fmt: skip
    expected = {name: one.now for name, one in answer.quantities.items()}
    found = far_off(fact, expected, test_sd=spread_of_test(answer, fact), last=last)
    if found is None:
        return None
    low, high = (format_number(bound, digits=3) for bound in (found.low, found.high))
    slip = found.slip
    if slip is None or slip.kind == "repeated":
        return Question("far", f"far:{fact.what}", place, fact, low, high)
    if slip.kind == "swapped":
        pattern = f"swapped:{fact.what}"
        return Question("swapped", pattern, place, fact, low, high, about=slip.about)
    meant = f"{format_number(slip.value)} {slip.unit}".strip()
    return Question("slip", f"{slip.kind}:{fact.what}", place, fact, low, high, meant)


def probably_meant(quantity: str, amount: str, unit: str, *, answer: Answer) -> str:
    """What was probably meant by a reading that can't be, with its unit; empty where none fits."""
    known = answer.quantities.get(quantity)
    if known is None or known.tests < FEWEST_TESTS:
        return ""
    try:
        value, own_unit = split_typed(amount, quantity=quantity)
        typed_unit = own_unit or unit
        canonical = to_canonical(quantity, float(value), typed_unit).value
        row = QUANTITIES[quantity]
        if row.low <= canonical <= row.high:
            return ""
        slip = likely_slip(quantity, float(value), typed_unit, expected=known.now,
                           test_sd=known.now.sd)  # fmt: skip
    except (BrinebookError, ValueError):
        return ""
    if slip is None or slip.kind not in {"decimal", "unit"}:
        return ""
    return f"{format_number(slip.value)} {slip.unit}".strip()


def note_asked(opened: OpenSystem, *, now: datetime) -> None:
    """A question was put: the next one waits for ten entries."""
    with opened.book.write() as connection:
        budget = _read(connection, opened.system_id)
        _write(connection, opened.system_id, _Budget(0, budget.dismissed), now)


def note_dismissed(opened: OpenSystem, pattern: str, *, now: datetime) -> None:
    """What was typed was meant as typed."""
    with opened.book.write() as connection:
        budget = _read(connection, opened.system_id)
        oldest = to_us(now - REMEMBERED)
        dismissed = {
            name: [one for one in whens if one >= oldest]
            for name, whens in budget.dismissed.items()
        }
        dismissed.setdefault(pattern[:100], []).append(to_us(now))
        kept = {name: whens for name, whens in dismissed.items() if whens}
        _write(connection, opened.system_id, _Budget(budget.since, kept), now)


def count_entries(connection: Connection, system_id: str, count: int, *, now: datetime) -> None:
    """So many entries were written, in the writer's own transaction."""
    budget = _read(connection, system_id)
    if budget.since < ENTRIES_A_QUESTION:
        _write(connection, system_id, _Budget(budget.since + count, budget.dismissed), now)


def _worn_out(budget: _Budget, pattern: str, now: datetime) -> bool:
    oldest = to_us(now - REMEMBERED)
    lately = [one for one in budget.dismissed.get(pattern, []) if one >= oldest]
    return len(lately) >= DISMISSED_ENOUGH


def _read(connection: Connection, system_id: str) -> _Budget:
    text = settings.read_setting(connection, KEY, system_id=system_id)
    if text is None:
        return _Budget(ENTRIES_A_QUESTION, {})
    found = json.loads(text)
    return _Budget(int(found["since"]), found["dismissed"])


def _write(connection: Connection, system_id: str, budget: _Budget, now: datetime) -> None:
    value = json.dumps({"since": budget.since, "dismissed": budget.dismissed}, sort_keys=True)
    settings.write_setting(connection, KEY, value, now_us=to_us(now), system_id=system_id)
