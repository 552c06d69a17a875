"""What the keeper usually enters, read from the facts: last values, methods, bottles, amounts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from brinebook.system import System
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES

#: How many of the newest facts are looked through: some years of an ordinary book.
LOOKED_THROUGH = 4000
_IN_USE = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity", "temperature",
           "ph")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which a quantity is tested: the method with its unit, and the last bottle."""

    method: str
    unit: str
    lot: str = ""


@dataclass(frozen=True, slots=True)
class UsualTest:
    """A quantity with the ways it is tested, the last used first, and its last test if any."""

    quantity: str
    ways: tuple[Way, ...]
    last: Fact | None = None


@dataclass(frozen=True, slots=True)
class UsualAmount:
    """A thing that amounts are entered of, with the unit and the last amount if any."""

    name: str
    unit: str
    last: Fact | None = None


def _newest(facts: Sequence[Fact], kind: str) -> Iterable[Fact]:
    return (fact for fact in reversed(facts[-LOOKED_THROUGH:]) if fact.kind == kind)


def usual_tests(system: System, facts: Sequence[Fact]) -> tuple[UsualTest, ...]:
    """Every quantity, those tested last first, then those described, then the rest."""
    last: dict[str, Fact] = {}
    ways: dict[str, dict[str, Way]] = {}
    for fact in _newest(facts, "test"):
        if fact.detail.get("of"):
            continue
        last.setdefault(fact.what, fact)
        method = fact.detail.get("method", "")
        way = Way(method, fact.unit, fact.detail.get("lot", ""))
        ways.setdefault(fact.what, {}).setdefault(method, way)
    for one in system.methods:
        unit = _unit(system, one.quantity)
        ways.setdefault(one.quantity, {}).setdefault(one.name, Way(one.name, unit))
    described = [one.quantity for one in system.methods]
    order = list(dict.fromkeys([*last, *described, *system.bands, *_IN_USE, *QUANTITIES]))
    return tuple(
        UsualTest(
            name,
            tuple(ways.get(name, {}).values()) or (Way("", _unit(system, name)),),
            last.get(name),
        )
        for name in order
        if name in QUANTITIES
    )


def _unit(system: System, quantity: str) -> str:
    return system.units.get(quantity) or QUANTITIES[quantity].unit


def usual_amounts(
    kind: str, names: Sequence[str], facts: Sequence[Fact], *, unit: str
) -> tuple[UsualAmount, ...]:
    """What amounts of this kind are entered of: those named, and those found, the last first."""
    last: dict[str, Fact] = {}
    for fact in _newest(facts, kind):
        last.setdefault(fact.what, fact)
    order = dict.fromkeys([*(one for one in last), *names])
    return tuple(
        UsualAmount(name, last[name].unit if name in last else unit, last.get(name))
        for name in order
    )


def last_of(kind: str, facts: Sequence[Fact]) -> Fact | None:
    """The newest fact of a kind."""
    return next(iter(_newest(facts, kind)), None)


def usual_names(kind: str, facts: Sequence[Fact], *, most: int = 12) -> tuple[str, ...]:
    """Names that facts of this kind had lately, the last first."""
    return tuple(dict.fromkeys(fact.what for fact in _newest(facts, kind) if fact.what))[:most]
