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
    what = f"{what} of {own}, {date.fromordinal(found.day)},"
    text = f"{what} fits {other}, which has no such test of that day."
    if pairs:
        text = f"{what} and of {other} seem to have been exchanged: each fits the other system."
    repairs = [_edit(a, b.typed, b.unit, own) for a, b in pairs]
    repairs += [_edit(b, a.typed, a.unit, other) for a, b in pairs]
    repairs += [_move(a, own, other) for a, b in found.pairs if b is None]
    return Finding(
        "exchanged_samples",
        "fault",
        f"{text} (chance {_chance(found.probability)})",
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
            text = (
                f"{a.quantity} {_amount(a)} and {b.quantity} {_amount(b)} of {when} seem to stand "
                "in each other's place."
            )
            repair = f"{_edit(a, b.typed, a.unit, own)} && {_edit(b, a.typed, b.unit, own)}"
            items: tuple[str, ...] = (a.fact, b.fact)
        else:
            text = (
                f"{a.quantity} {_amount(a)} of {when} is the number of {b.quantity} over again, "
                f"and far from the {a.quantity} of the days around."
            )
            repair, items = _wrong(a, own), (a.fact,)
        yield Finding(
            "exchanged_numbers",
            "fault",
            f"{text} (chance {_chance(found.probability)})",
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
            f"All tests of {found.first} read like {found.second}, and the other way round: the "
            "two columns seem to be exchanged.",
            tuple(r.fact for r in ours.readings if r.quantity in names)[:10],
            "brinebook undo --whole-import  (then exchange the columns and import again)",
        )


def _pairs(examined: Examined, ours: Neighbours) -> Iterator[Finding]:
    """Replicates, and two methods used on one water, agree as they usually do."""
    from brinebook.balance.pairs import wrong_pairs

    own = examined.opened.system.name
    for found in wrong_pairs(ours):
        a, b = found.first, found.second
        when = date.fromordinal(a.day)
        said = (
            f" The tests around them speak against {_amount(found.likelier)}."
            if found.likelier is not None
            else ""
        )
        yield Finding(
            "pairs",
            "fault",
            f"{a.quantity} {_amount(a)}{_by(a)} and {_amount(b)}{_by(b)} of {when} can't both be "
            f"right: they lie {found.off:.0f} times their usual distance apart.{said}",
            (a.fact, b.fact),
            _wrong(found.likelier, own)
            if found.likelier is not None
            else "brinebook add verdict … wrong  (the id of the one that isn't right)",
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
            f"{last.quantity}{_by(last)} hasn't moved from {_amount(last)} since {since}, "
            f"{len(found.readings)} readings: is the probe alive?",
            tuple(reading.fact for reading in found.readings[-10:]),
            "brinebook add verdict … wrong  (each reading that says nothing of the water)",
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
    told = reading.method or (f"replicate {reading.replicate}" if reading.replicate else "")
    return f" ({told})" if told else ""


def _listed(names: Iterable[str]) -> str:
    each = list(dict.fromkeys(names))
    return each[0] if len(each) == 1 else f"{', '.join(each[:-1])} and {each[-1]}"


def _chance(probability: float) -> str:
    return f"{min(probability, 0.99) * 100:.0f} in 100"


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
