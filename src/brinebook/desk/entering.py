"""Writing down what a form holds: several facts at once, all of them or none, and never twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook.book import facts as stored
from brinebook.book import revise, saves
from brinebook.book.identity import make_fact, to_us
from brinebook.book.rows import to_fact
from brinebook.book.systems import Entered, hold
from brinebook.desk.asking import count_entries
from brinebook.desk.moments import WhenUnreadable, read_moment
from brinebook.desk.opening import OpenSystem
from brinebook.desk.record import Recorded, find_likeness, name_verdict, settled_or_refused
from brinebook.desk.typed import read_quantity
from brinebook.desk.wording import split_typed
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, format_number, split_amount

if TYPE_CHECKING:
    from sqlalchemy import Connection

BROWSER = "browser"
#: Spoken times that a form offers; before its hour has come, “this morning” is now.
SPOKEN = ("now", "this morning", "yesterday evening")


@dataclass(frozen=True, slots=True)
class Typed:
    """One fact as a form has it: the amount as typed, and the unit that it has if none is typed."""

    kind: str
    what: str = ""
    amount: str = ""
    unit: str = ""
    detail: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of a form: its facts as they stand; ``again`` where it had been saved before."""

    recorded: tuple[Recorded, ...]
    again: bool = False

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The facts alone."""
        return tuple(one.fact for one in self.recorded)


def form_moment(text: str, *, opened: OpenSystem, now: datetime) -> datetime:
    """When it happened, as a form says it. Raises WhenUnreadable."""
    words = text.strip() or "now"
    try:
        return read_moment(words, zone=opened.zone, now=now)
    except WhenUnreadable:
        if words in SPOKEN:
            return now.replace(microsecond=0)
        raise


def fact_of(typed: Typed, *, when: datetime) -> Fact:
    """The fact that a form amounts to. Raises EntryRefused, or what reading numbers raises."""
    value, unit = typed.amount.strip(), typed.unit
    if value and typed.kind != "event":
        value, own_unit = split_typed(f"{value}", quantity=typed.what)
        unit = own_unit or unit
    detail = {key: one.strip() for key, one in typed.detail.items() if one.strip()}
    return to_fact(when, settled_or_refused(typed.kind, typed.what, value, unit, detail))


def once_more(fact: Fact, facts: Sequence[Fact]) -> Fact:
    """The fact as one more beside an equal one: a second later, for equal facts are one fact."""
    known = {one.id for one in facts}
    while fact.id in known:
        fact = make_fact(
            fact.when + timedelta(seconds=1),
            fact.kind,
            what=fact.what,
            value=fact.value,
            unit=fact.unit,
            detail=fact.detail,
        )
    return fact


def new_water(opened: OpenSystem, detail: Mapping[str, str]) -> dict[str, str]:
    """What was measured of new water, as typed in the keeper's units, in canonical ones.

    Keys that aren't quantities stay as they are. Raises what reading quantities raises.
    """
    found = dict(detail)
    for name, text in detail.items():
        if name in QUANTITIES and text.strip():
            _, typed = split_amount(text)
            unit = "" if typed else opened.system.units.get(name) or QUANTITIES[name].unit
            found[name] = format_number(read_quantity(name, f"{text} {unit}".strip()))
    return found


def save(
    opened: OpenSystem,
    new: Sequence[Fact],
    *,
    key: str,
    now: datetime,
    by: str = "",
    through: str = BROWSER,
) -> Saved:
    """Write down every fact of a form in one transaction; the same form again writes nothing.

    Raises FactTaken where one of them is an earlier form of a fact edited since.
    """
    entered = Entered(to_us(now), by, through)
    with opened.book.write() as connection:
        hold(connection, opened.system_id)
        before = saves.saved_chains(connection, opened.system_id, key) if key else None
        if before is not None:
            return Saved(_as_they_stand(connection, opened.system_id, before), again=True)
        recorded = [_write(connection, opened.system_id, fact, entered=entered) for fact in new]
        count_entries(connection, opened.system_id, len(recorded), now=now)
        if key:
            chains = [
                stored.chain_of(connection, opened.system_id, one.fact.id) for one in recorded
            ]
            saves.note_save(connection, opened.system_id, key, chains=chains, now_us=entered.at_us)
    return Saved(tuple(recorded))


def saved_before(opened: OpenSystem, key: str) -> Saved | None:
    """What the form of this key was saved as; None where it wasn't yet."""
    if not key:
        return None
    with opened.book.read() as connection:
        before = saves.saved_chains(connection, opened.system_id, key)
        if before is None:
            return None
        return Saved(_as_they_stand(connection, opened.system_id, before), again=True)


def _write(connection: Connection, system_id: str, fact: Fact, *, entered: Entered) -> Recorded:
    if fact.kind == "verdict":
        fact = name_verdict(connection, system_id, fact)
    like = find_likeness(connection, system_id, fact)
    written = revise.add_fact(connection, system_id, fact, entered=entered)
    return Recorded(written.fact, written.done, before=like if written.done else None)


def _as_they_stand(
    connection: Connection, system_id: str, chains: Sequence[str]
) -> tuple[Recorded, ...]:
    found = [stored.last_revision(connection, system_id, chain) for chain in chains]
    return tuple(Recorded(one.fact, done=False, withdrawn=one.withdrawn) for one in found)
