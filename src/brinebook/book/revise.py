"""Adding, editing and undoing single facts, with the verdicts that name them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from brinebook.book import faults
from brinebook.book.facts import (
    EDITED,
    ENTERED,
    FOLLOWED,
    RESTATED,
    UNDONE,
    Revision,
    append_new,
    append_revision,
    chain_of,
    current,
    last_revision,
    next_entry,
    revisions,
)
from brinebook.book.identity import make_fact
from brinebook.book.schema import facts
from brinebook.book.systems import Entered, hold
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class Written:
    """What a write did to one fact: ``done`` is False where the book said the same already."""

    fact: Fact
    done: bool
    withdrawn: bool = False
    before: Fact | None = None
    followed: tuple[Fact, ...] = ()  # verdicts that now name the fact by its new id


def add_fact(connection: Connection, system_id: str, fact: Fact, *, entered: Entered) -> Written:
    """Add a fact. The same again adds nothing; one that was undone stands again.

    Raises FactTaken where the content is an earlier form of a fact edited since.
    """
    hold(connection, system_id)
    entered = next_entry(connection, system_id, entered=entered)
    fact = name_current(connection, system_id, fact)
    chain = _owner(connection, system_id, fact.id)
    if chain is None:
        append_new(connection, system_id, [fact], entered=entered)
        return Written(fact, done=True)
    last = last_revision(connection, system_id, chain)
    if last.fact.id != fact.id:
        raise faults.FactTaken(fact.id, last.fact.id)
    if not last.withdrawn:
        return Written(last.fact, done=False)
    append_revision(connection, system_id, last=last, fact=fact, action=RESTATED, entered=entered)
    return Written(fact, done=True)


def edit_fact(
    connection: Connection, system_id: str, *, chain: str, fact: Fact, entered: Entered
) -> Written:
    """Append a revision with new content; verdicts that name the fact follow to its new id.

    Raises FactWithdrawn, or FactTaken where another fact has or had this content.
    """
    hold(connection, system_id)
    entered = next_entry(connection, system_id, entered=entered)
    last = last_revision(connection, system_id, chain)
    if last.withdrawn:
        raise faults.FactWithdrawn(last.fact.id, add_again=spoken(last.fact))
    if last.fact == fact:
        return Written(fact, done=False)
    owner = _owner(connection, system_id, fact.id)
    if owner not in (None, chain):
        now = last_revision(connection, system_id, str(owner))
        raise faults.FactTaken(fact.id, now.fact.id)
    append_revision(connection, system_id, last=last, fact=fact, action=EDITED, entered=entered)
    followed = _follow(connection, system_id, chain=chain, to=fact.id, entered=entered)
    return Written(fact, done=True, before=last.fact, followed=followed)


def undo_fact(connection: Connection, system_id: str, *, chain: str, entered: Entered) -> Written:
    """Take back the last thing done to a fact: an edit, or that it was entered at all."""
    hold(connection, system_id)
    entered = next_entry(connection, system_id, entered=entered)
    story = revisions(connection, system_id, [chain])
    last = story[-1]
    if last.withdrawn:
        raise faults.FactWithdrawn(last.fact.id, add_again=spoken(last.fact))
    standing = _standing(story)
    if len(standing) > 1:
        earlier = standing[-2].fact
        append_revision(
            connection, system_id, last=last, fact=earlier, action=UNDONE, entered=entered
        )
        followed = _follow(connection, system_id, chain=chain, to=earlier.id, entered=entered)
        return Written(earlier, done=True, before=last.fact, followed=followed)
    append_revision(
        connection,
        system_id,
        last=last,
        fact=last.fact,
        action=UNDONE,
        entered=entered,
        withdrawn=True,
    )
    return Written(last.fact, done=True, withdrawn=True, before=last.fact)


def latest_chains(connection: Connection, system_id: str) -> Sequence[str]:
    """The chains of the last write that still has something to take back."""
    newest = (
        select(facts.c.chain, facts.c.entered_us, facts.c.revision)
        .where(facts.c.system_id == system_id, facts.c.action.in_((ENTERED, EDITED, RESTATED)))
        .order_by(facts.c.entered_us.desc(), facts.c.chain)
    )
    instant = None
    found: list[str] = []
    for chain, entered_us, number in connection.execute(newest):
        if instant is not None and entered_us != instant:
            break
        standing = _standing(revisions(connection, system_id, [chain]))
        if standing and standing[-1].number == number:
            instant = entered_us
            found.append(chain)
    return found


def name_current(connection: Connection, system_id: str, fact: Fact) -> Fact:
    """A verdict given on an earlier id or the beginning of one, turned to the id of today."""
    if fact.kind != "verdict":
        return fact
    try:
        chain = chain_of(connection, system_id, fact.what)
    except faults.FactUnknown:
        return fact  # an unlogged change or an explanation has an id that no fact has
    now = last_revision(connection, system_id, chain).fact.id
    return fact if now == fact.what else renamed(fact, now)


def spoken(fact: Fact) -> str:
    """The command that would add this fact once more."""
    import shlex

    parts = ["brinebook", "add", fact.kind]
    parts += [shlex.quote(fact.what)] if fact.what else []
    parts += [shlex.quote(f"{fact.value}{fact.unit}")] if fact.value else []
    parts += ["--when", fact.when.isoformat()]
    for key, value in fact.detail.items():
        parts += ["--detail", shlex.quote(f"{key}={value}")]
    return " ".join(parts)


def _standing(story: Sequence[Revision]) -> list[Revision]:
    """The revisions that undoing goes back through, oldest first."""
    stack: list[Revision] = []
    for revision in story:
        if revision.action in (ENTERED, EDITED, RESTATED):
            stack.append(revision)
        elif revision.withdrawn:
            stack.clear()
        elif revision.action == FOLLOWED:
            # What was taken back to before stays the entry that can be undone, now renamed.
            stack[-1] = replace(stack[-1], fact=revision.fact)
        elif stack:
            stack.pop()
    return stack


def _owner(connection: Connection, system_id: str, fact_id: str) -> str | None:
    """The chain to which this very content belongs or once belonged."""
    return connection.execute(
        select(facts.c.chain)
        .where(facts.c.system_id == system_id, facts.c.fact_id == fact_id)
        .limit(1)
    ).scalar()


def _follow(
    connection: Connection, system_id: str, *, chain: str, to: str, entered: Entered
) -> tuple[Fact, ...]:
    """Revise every verdict on any id of the chain, so that it names the fact as it is now."""
    ids = {one.fact.id for one in revisions(connection, system_id, [chain])} - {to}
    chosen = (facts.c.kind == "verdict") & facts.c.what.in_(sorted(ids))
    followed = []
    for verdict in current(connection, system_id, chosen=chosen):
        own = str(_owner(connection, system_id, verdict.id))
        last = last_revision(connection, system_id, own)
        turned = renamed(verdict, to)
        taken = _owner(connection, system_id, turned.id) not in (None, own)
        # The same verdict may have been given on both ids: then one of the two is enough.
        append_revision(
            connection,
            system_id,
            last=last,
            fact=verdict if taken else turned,
            action=FOLLOWED,
            entered=entered,
            withdrawn=taken,
        )
        followed.append(turned)
    return tuple(followed)


def renamed(fact: Fact, what: str) -> Fact:
    """The fact about another ``what``, with the id that it then has."""
    return make_fact(
        fact.when,
        fact.kind,
        what=what,
        value=fact.value,
        unit=fact.unit,
        detail=fact.detail,
    )
