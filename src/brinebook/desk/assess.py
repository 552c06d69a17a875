"""What the facts say of the water: the use cases behind ``balance`` and ``today``."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook.desk import clock
from brinebook.desk.opening import Loaded, aware, load
from brinebook.errors import UsageProblem
from brinebook.texts import say
from brinebook.units import find_quantity

if TYPE_CHECKING:
    from brinebook.balance.answer import Answer
    from brinebook.balance.sheet import Sheet


class SheetImpossible(UsageProblem):
    """The sheet that was asked for can't be made: why, and what would do."""

    code = "E-SHEET"

    def __init__(self, quantity: str, why: str, hint: str) -> None:
        super().__init__(
            say("There is no sheet of {quantity}: {why}.", quantity=quantity, why=why), hint
        )


@dataclass(frozen=True, slots=True)
class Assessed:
    """A system as loaded, and the answer made of its facts."""

    loaded: Loaded
    answer: Answer


def assess(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Assessed:
    """The main answer for one system, as of ``at`` (else the present), as known at ``known``.

    Raises what opening the book raises. No fact is written; what was decided of earlier chapters
    is taken from the book and kept in it, where that can be done.
    """
    from brinebook.balance.answer import answer
    from brinebook.desk.remembering import keep, recall

    loaded = load(address, name, now=clock.now(), at=at, known=known)
    memory = recall(loaded)
    found = answer(loaded.system, loaded.facts, loaded.at, remembered=memory)
    keep(loaded, memory, found.seasons)
    return Assessed(loaded, found)


def assessed_of(
    source: str | Assessed,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Assessed:
    """An answer that was made already as it is; else the one that the book at an address gives.

    Raises what `assess` raises.
    """
    return source if isinstance(source, Assessed) else assess(source, name, at=at, known=known)


def loaded_of(
    source: str | Assessed,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Loaded:
    """The facts behind an answer that was made already; else those of the book at an address.

    Raises what opening the book raises.
    """
    if isinstance(source, Assessed):
        return source.loaded
    return load(source, name, now=clock.now(), at=at, known=known)


@dataclass(frozen=True, slots=True)
class SheetFound:
    """A system as loaded, and the sheet that was asked for."""

    loaded: Loaded
    sheet: Sheet


class NeverTested(UsageProblem):
    """A quantity was asked about that the book has no test of."""

    code = "E-NEVER-TESTED"

    def __init__(self, quantity: str, tested: tuple[str, ...]) -> None:
        known = ", ".join(tested) or say("none")
        super().__init__(
            say("The book holds no test of {quantity} by then.", quantity=quantity),
            say("Tested are: {known}.", known=known),
        )


def known_quantity(found: Assessed, text: str) -> str:
    """The quantity that is meant; raises NeverTested, or what finding a quantity raises."""
    name = find_quantity(text).name
    if name not in found.answer.quantities:
        raise NeverTested(name, tuple(found.answer.quantities))
    return name


def quantity_sheet(
    address: str,
    quantity: str,
    name: str | None = None,
    *,
    begins: datetime | None = None,
    ends: datetime | None = None,
    at: datetime | None = None,
    known: datetime | None = None,
) -> SheetFound:
    """The sheet of one quantity over a period: by default the 30 days before ``at``.

    Raises SheetImpossible where the period is empty or outside the book, or the quantity has no
    mass or no tests; and what opening the book raises.
    """
    from brinebook.balance.sheet import sheet
    from brinebook.desk.remembering import keep, recall

    wanted = find_quantity(quantity).name
    loaded = load(address, name, now=clock.now(), at=at, known=known)
    start, end = _period(loaded, wanted, begins=begins, ends=ends)
    memory = recall(loaded)
    found, told = sheet(
        loaded.system,
        loaded.facts,
        wanted,
        begins=start,
        ends=end,
        at=loaded.at,
        remembered=memory,
    )
    keep(loaded, memory, told.seasons)
    if found is None:
        raise SheetImpossible(
            wanted,
            say("it has no mass of its own"),
            say("Ask for alkalinity, calcium and the like."),
        )
    return SheetFound(loaded, found)


def _period(
    loaded: Loaded, quantity: str, *, begins: datetime | None, ends: datetime | None
) -> tuple[datetime, datetime]:
    end = min(aware(ends, loaded.zone) or loaded.at, loaded.at)
    start = aware(begins, loaded.zone) or end - timedelta(days=30)
    tests = [f.when for f in loaded.facts if f.kind == "test" and f.what == quantity]
    if not tests:
        raise SheetImpossible(
            quantity, say("the book holds no test of it"), say("Add one, then ask again.")
        )
    start = max(start, min(tests))
    if start >= end:
        raise SheetImpossible(
            quantity,
            say("the period is empty"),
            say("Give --from a day after the first test and before --to."),
        )
    return start, end
