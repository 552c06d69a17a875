"""Writing down, correcting and taking back single facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook.book import facts as stored
from brinebook.book import faults, revise
from brinebook.book.identity import to_us
from brinebook.book.rows import Problem, Settled, settle, to_fact
from brinebook.book.schema import facts
from brinebook.book.systems import Entered
from brinebook.desk.expect import said_of
from brinebook.desk.moments import is_small_hours, read_moment
from brinebook.desk.opening import OpenSystem
from brinebook.desk.questions import question_meant
from brinebook.desk.wording import Worded, read_words, split_typed
from brinebook.errors import UsageProblem
from brinebook.report.dates import date_text
from brinebook.texts import named, say
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection

COMMAND_LINE = "command line"
_DOUBLE_TAP = timedelta(minutes=10)


class EntryRefused(UsageProblem):
    """What was typed can't be a fact."""

    code = "E-ENTRY"

    def __init__(self, problems: Sequence[Problem]) -> None:
        said = "; ".join(f"{named(one.column)} {one.value!r}: {one.reason}" for one in problems)
        hints = dict.fromkeys(one.hint for one in problems if one.hint)
        super().__init__(
            say("This can't be written down ({said}).", said=said),
            " ".join(hints) or say("Look at it once more; `brinebook add --help` has examples."),
        )
        self.problems = tuple(problems)


class FactMovedOn(UsageProblem):
    """Somebody changed the fact since this form was loaded."""

    code = "E-FACT-MOVED-ON"
    http_status = 409

    def __init__(self) -> None:
        super().__init__(
            say("This fact was changed while you had it open; nothing of yours was written yet."),
            say("Both versions stand below: save yours over the other, or leave the other."),
        )


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of an entry: the fact as it stands, whether anything was written, remarks."""

    fact: Fact
    done: bool
    remarks: tuple[str, ...] = ()
    before: Fact | None = None
    withdrawn: bool = False
    followed: tuple[Fact, ...] = ()


def add(
    opened: OpenSystem,
    kind: str,
    *,
    words: Sequence[str] = (),
    detail: Mapping[str, str] | None = None,
    when: str | None = None,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
) -> Recorded:
    """Write down one fact from words. The same fact twice is one fact.

    Raises EntryRefused, WhenUnreadable, KindUnknown, WordsUnclear, a refusal of the units'
    readers, or FactTaken.
    """
    worded = read_words(kind, words, detail=detail or {}, system=opened.system)
    moment = read_moment(when, zone=opened.zone, now=now)
    return add_worded(
        opened, worded, when=moment, now=now, by=by, through=through, at_once=not when
    )


def add_worded(
    opened: OpenSystem,
    worded: Worded,
    *,
    when: datetime,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
    at_once: bool = False,
) -> Recorded:
    """`add` for columns that are apart already. ``at_once``: no time was named, it is now."""
    what, said = worded.what, list(worded.remarks)
    if worded.kind == "verdict" and worded.detail.get("says") in {"yes", "no"}:
        what = question_meant(opened, what, now=now)
        said += _said_of_verdict(what)
    settled = settled_or_refused(worded.kind, what, worded.value, worded.unit, worded.detail)
    fact = to_fact(when, settled)
    entered = Entered(to_us(now), by, through)
    with opened.book.write() as connection:
        if fact.kind == "verdict":
            fact = name_verdict(connection, opened.system_id, fact)
        likeness = find_likeness(connection, opened.system_id, fact)
        written = revise.add_fact(connection, opened.system_id, fact, entered=entered)
    remarks = [*said, *settled.remarks]
    if written.done and (word := _said(opened, written.fact)):
        remarks.append(word)
    if likeness is not None and written.done:
        remarks.append(
            say(
                "The same was entered for {when} as {id}. If this is it once "
                "more: brinebook undo {fact_id}",
                when=likeness.when.isoformat(),
                id=likeness.id,
                fact_id=written.fact.id,
            )
        )
    if at_once and written.done and is_small_hours(now, opened.zone):
        remarks += _said_of_night(opened, written.fact, now)
    return Recorded(written.fact, written.done, tuple(remarks))


def _said(opened: OpenSystem, fact: Fact) -> str | None:
    """What there is to say of a fact just written. It stands, whatever goes wrong with that."""
    try:
        return said_of(opened, fact)
    except Exception as error:  # noqa: BLE001 - a remark must never look like a failed entry
        return say(
            "It is written down. Whether it fits with the rest could not be reckoned "
            "({name}: {error}).",
            name=type(error).__name__,
            error=error,
        )


def _said_of_verdict(what: str) -> list[str]:
    if "-" in what:
        return []
    return [say("Of a fact, say wrong or sound: yes and no settle questions about changes.")]


def _said_of_night(opened: OpenSystem, fact: Fact, now: datetime) -> list[str]:
    """After midnight, once a night: which day was taken, and how to have it be last evening."""
    local = now.astimezone(opened.zone)
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    tonight = (facts.c.entered_us >= to_us(midnight)) & (facts.c.entered_through == COMMAND_LINE)
    with opened.book.read() as connection:
        earlier = stored.current(connection, opened.system_id, chosen=tonight)
    if any(one.id != fact.id for one in earlier):
        return []
    return [
        say(
            "It is past midnight, so this stands under {now}. If it was last "
            'evening: brinebook edit {id} --when "yesterday evening". This is said '
            "once a night.",
            now=date_text(now, now, opened.zone),
            id=fact.id,
        )
    ]


def edit(
    opened: OpenSystem,
    fact_id: str,
    *,
    amount: str | None = None,
    what: str | None = None,
    when: str | None = None,
    detail: Mapping[str, str] | None = None,
    seen: int | None = None,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
) -> Recorded:
    """Correct a fact: what is given replaces what was, the rest stays; the old form is kept.

    ``amount`` is a value with its unit (its old unit if it has none); an empty value in
    ``detail`` takes the key out; ``seen`` is the number of the revision that it was made from.
    Raises what `add` raises, FactUnknown, FactWithdrawn, and FactMovedOn where ``seen`` isn't the
    newest: looked at in the same transaction, so that of two at once only one is written.
    """
    entered = Entered(to_us(now), by, through)
    with opened.book.write() as connection:
        chain = stored.chain_of(connection, opened.system_id, fact_id)
        newest = stored.last_revision(connection, opened.system_id, chain)
        if seen not in (None, newest.number):
            raise FactMovedOn
        old = newest.fact
        value, unit = old.value, old.unit
        if amount is not None:
            value, typed_unit = split_typed(amount, quantity=old.what)
            unit = typed_unit or old.unit
        settled = settled_or_refused(
            old.kind,
            old.what if what is None else what,
            value,
            unit,
            {**old.detail, **(detail or {})},
        )
        moment = old.when if when is None else read_moment(when, zone=opened.zone, now=now)
        fact = revise.name_current(connection, opened.system_id, to_fact(moment, settled))
        written = revise.edit_fact(
            connection, opened.system_id, chain=chain, fact=fact, entered=entered
        )
    return Recorded(
        written.fact,
        written.done,
        settled.remarks,
        before=written.before,
        followed=written.followed,
    )


def undo(
    opened: OpenSystem,
    fact_id: str | None = None,
    *,
    whole_import: bool = False,
    seen: int | None = None,
    now: datetime,
    by: str = "",
    through: str = COMMAND_LINE,
) -> list[Recorded]:
    """Take back the last thing done to a fact; without an id, the last thing written at all.

    An import of several rows is only taken back as a whole, and only with ``whole_import``. Raises
    FactMovedOn where the newest revision of the fact isn't the one ``seen``.
    """
    entered = Entered(to_us(now), by, through)
    with opened.book.write() as connection:
        if fact_id is not None:
            chains: Sequence[str] = [stored.chain_of(connection, opened.system_id, fact_id)]
            newest = stored.last_revision(connection, opened.system_id, chains[0])
            if seen not in (None, newest.number):
                raise FactMovedOn
        else:
            chains = revise.latest_chains(connection, opened.system_id)
        if not chains:
            raise faults.NothingToUndo(say("nothing written is left to take back"))
        if len(chains) > 1 and not whole_import:
            raise faults.NothingToUndo(
                say(
                    "the last thing written was {count} facts at once (an import). "
                    "Name the one that is meant, or take all of them back with "
                    "--whole-import",
                    count=len(chains),
                )
            )
        done = [
            revise.undo_fact(connection, opened.system_id, chain=chain, entered=entered)
            for chain in chains
        ]
    return [
        Recorded(
            one.fact, one.done, before=one.before, withdrawn=one.withdrawn, followed=one.followed
        )
        for one in done
    ]


def settled_or_refused(
    kind: str, what: str, value: str, unit: str, detail: Mapping[str, str]
) -> Settled:
    """A fact's content in its stored form. Raises EntryRefused with everything wrong with it."""
    settled = settle(kind, what=what, value=value, unit=unit, detail=detail)
    if settled.problems:
        raise EntryRefused(settled.problems)
    return settled


def name_verdict(connection: Connection, system_id: str, fact: Fact) -> Fact:
    """A verdict on a fact has to find it: by its id, an earlier one, or the beginning of one."""
    named = revise.name_current(connection, system_id, fact)
    if named.what == fact.what and fact.detail.get("says") in {"wrong", "sound"}:
        stored.chain_of(connection, system_id, fact.what)  # raises FactUnknown
    return named


def find_likeness(connection: Connection, system_id: str, fact: Fact) -> Fact | None:
    """A standing fact of the same content but for its time, less than ten minutes away."""
    around = (facts.c.kind == fact.kind) & facts.c.happened_us.between(
        to_us(fact.when - _DOUBLE_TAP), to_us(fact.when + _DOUBLE_TAP)
    )
    for other in stored.current(connection, system_id, chosen=around):
        same = (other.what, other.value, other.unit, dict(other.detail)) == (
            fact.what,
            fact.value,
            fact.unit,
            dict(fact.detail),
        )
        if same and other.id != fact.id:
            return other
    return None
