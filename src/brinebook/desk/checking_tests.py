"""Checks of the tests themselves: what changed places, pairs that can't be, what stands still."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brinebook.book import facts as stored
from brinebook.book import systems
from brinebook.book.description import read_description
from brinebook.desk.finding import Examined, Finding
from brinebook.system import System
from brinebook.texts import say
from brinebook.timeline import Fact

if TYPE_CHECKING:
    from brinebook.balance.neighbours import Neighbours, Reading
    from brinebook.balance.swaps import Exchanged


def tests_in_their_place(examined: Examined) -> Iterator[Finding]:
    """Every test stands in its own system and column, agrees with its pair, and moves."""
    ours = _neighbours(examined.opened.system, examined.facts)
    yield from _exchanged_columns(ours)
    yield from _exchanged_samples(examined, ours)
    yield from _exchanged_numbers(examined, ours)
    yield from _pairs(examined, ours)
    yield from _still(ours)


def _exchanged_samples(examined: Examined, ours: Neighbours) -> Iterator[Finding]:
    """No day's tests fit another system of the book far better than their own."""
    from brinebook.balance.swaps import exchanged_samples as found_in

    own = examined.opened.system.name
    for name, theirs in _others(examined):
        for found in found_in(ours, theirs):
            yield _of_samples(found, own, name)


def _of_samples(found: Exchanged, own: str, other: str) -> Finding:
    pairs = [(a, b) for a, b in found.pairs if b is not None]
    what = _listed(a.quantity for a, _ in found.pairs)
    what = say(
        "{what} of {own}, {day},",
        what=what,
        own=own,
        day=date.fromordinal(found.day),
    )
    text = say("{what} fits {other}, which has no such test of that day.", what=what, other=other)
    if pairs:
        text = say(
            "{what} and of {other} seem to have been exchanged: each fits the other system.",
            what=what,
            other=other,
        )
    repairs = [_edit(a, b.typed, b.unit, own) for a, b in pairs]
    repairs += [_edit(b, a.typed, a.unit, other) for a, b in pairs]
    repairs += [_move(a, own, other) for a, b in found.pairs if b is None]
    return Finding(
        "exchanged_samples",
        "fault",
        say("{text} (chance {probability})", text=text, probability=_chance(found.probability)),
        (*(a.fact for a, _ in found.pairs), *(b.fact for _, b in pairs)),
        " && ".join(repairs),
    )


def _exchanged_numbers(examined: Examined, ours: Neighbours) -> Iterator[Finding]:
    """No number stands in another quantity's place on its day."""
    from brinebook.balance.swaps import misplaced_numbers

    own = examined.opened.system.name
    for found in misplaced_numbers(ours):
        a, b = found.first, found.second
        when = date.fromordinal(a.day)
        if found.kind == "exchanged":
            text = say(
                "{quantity} {a} and {b_quantity} {b} of {when} seem to stand in each "
                "other's place.",
                quantity=a.quantity,
                a=_amount(a),
                b_quantity=b.quantity,
                b=_amount(b),
                when=when,
            )
            repair = f"{_edit(a, b.typed, a.unit, own)} && {_edit(b, a.typed, b.unit, own)}"
            items: tuple[str, ...] = (a.fact, b.fact)
        else:
            text = say(
                "{quantity} {a} of {when} is the number of {b_quantity} over again, "
                "and far from the {quantity} of the days around.",
                quantity=a.quantity,
                a=_amount(a),
                when=when,
                b_quantity=b.quantity,
            )
            repair, items = _wrong(a, own), (a.fact,)
        yield Finding(
            "exchanged_numbers",
            "fault",
            say("{text} (chance {probability})", text=text, probability=_chance(found.probability)),
            items,
            repair,
        )


def _exchanged_columns(ours: Neighbours) -> Iterator[Finding]:
    """No two quantities stand in each other's place throughout."""
    from brinebook.balance.swaps import exchanged_columns as found_in

    for found in found_in(ours):
        names = {found.first, found.second}
        yield Finding(
            "exchanged_columns",
            "fault",
            say(
                "All tests of {first} read like {second}, and the other way round: "
                "the two columns seem to be exchanged.",
                first=found.first,
                second=found.second,
            ),
            tuple(r.fact for r in ours.readings if r.quantity in names)[:10],
            say("brinebook undo --whole-import  (then exchange the columns and import again)"),
        )


def _pairs(examined: Examined, ours: Neighbours) -> Iterator[Finding]:
    """Replicates, and two methods used on one water, agree as they usually do."""
    from brinebook.balance.pairs import wrong_pairs

    own = examined.opened.system.name
    for found in wrong_pairs(ours):
        a, b = found.first, found.second
        when = date.fromordinal(a.day)
        said = (
            say(
                " The tests around them speak against {likelier}.", likelier=_amount(found.likelier)
            )
            if found.likelier is not None
            else ""
        )
        yield Finding(
            "pairs",
            "fault",
            say(
                "{quantity} {a}{by} and {b}{by_b} of {when} can't both be right: "
                "they lie {off:.0f} times their usual distance apart.{said}",
                quantity=a.quantity,
                a=_amount(a),
                by=_by(a),
                b=_amount(b),
                by_b=_by(b),
                when=when,
                off=found.off,
                said=said,
            ),
            (a.fact, b.fact),
            _wrong(found.likelier, own)
            if found.likelier is not None
            else say("brinebook add verdict … wrong  (the id of the one that isn't right)"),
        )


def _still(ours: Neighbours) -> Iterator[Finding]:
    """No series has stood still: a dead probe says the same whatever the water does."""
    from brinebook.balance.still import still_series

    for found in still_series(ours):
        first, last = found.readings[0], found.readings[-1]
        since = date.fromordinal(first.day)
        yield Finding(
            "still",
            "hint",
            say(
                "{quantity}{by} hasn't moved from {last} since {since}, {count} "
                "readings: is the probe alive?",
                quantity=last.quantity,
                by=_by(last),
                last=_amount(last),
                since=since,
                count=len(found.readings),
            ),
            tuple(reading.fact for reading in found.readings[-10:]),
            say("brinebook add verdict … wrong  (each reading that says nothing of the water)"),
        )


def _neighbours(system: System, facts: Sequence[Fact]) -> Neighbours:
    from brinebook.balance.arrange_tests import reader_of
    from brinebook.balance.beliefs import BELIEFS
    from brinebook.balance.neighbours import Neighbours, readings_of

    ordered = sorted(facts, key=lambda fact: (fact.when, fact.what, fact.id))
    verdicts = {f.what: f.detail.get("says", "") for f in ordered if f.kind == "verdict"}
    tests = reader_of(system, ordered, verdicts).tests(ordered, tuple(BELIEFS))
    return Neighbours(readings_of(tests, ZoneInfo(system.timezone)))


def _others(examined: Examined) -> Iterator[tuple[str, Neighbours]]:
    """The other systems of the book by name, each with its tests."""
    opened = examined.opened
    with opened.book.read() as connection:
        for row in systems.all_systems(connection):
            if row.system_id == opened.system_id:
                continue
            text = systems.description(connection, row.system_id)
            facts = stored.current(connection, row.system_id)
            yield row.name, _neighbours(read_description(text).system, facts)


def _amount(reading: Reading) -> str:
    return f"{reading.typed} {reading.unit}".strip()


def _by(reading: Reading) -> str:
    told = reading.method or (
        say("replicate {replicate}", replicate=reading.replicate) if reading.replicate else ""
    )
    return f" ({told})" if told else ""


def _listed(names: Iterable[str]) -> str:
    each = list(dict.fromkeys(names))
    return (
        each[0]
        if len(each) == 1
        else say("{first} and {last}", first=", ".join(each[:-1]), last=each[-1])
    )


def _chance(probability: float) -> str:
    return say("{probability:.0f} in 100", probability=min(probability, 0.99) * 100)


def _edit(reading: Reading, typed: str, unit: str, system: str) -> str:
    amount = shlex.quote(f"{typed} {unit}".strip())
    return f"brinebook edit {reading.fact} {amount} --system {shlex.quote(system)}"


def _move(reading: Reading, own: str, other: str) -> str:
    from brinebook.balance.season import instant

    amount, method = shlex.quote(_amount(reading)), ""
    if reading.method:
        method = f" --method {shlex.quote(reading.method)}"
    return (
        f"brinebook undo {reading.fact} --system {shlex.quote(own)} && brinebook add test "
        f"{reading.quantity} {amount} --when {instant(reading.t).isoformat()}{method} "
        f"--system {shlex.quote(other)}"
    )


def _wrong(reading: Reading, system: str) -> str:
    return f"brinebook add verdict {reading.fact} wrong --system {shlex.quote(system)}"
