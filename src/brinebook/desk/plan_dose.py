"""``plan dose``: what to set the pumps to, what the pair needs, how long the bottles last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from brinebook.balance.decided import NOTHING, Remembered
from brinebook.desk.plan_dose_words import worded
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import QuantityUntested, Start, known_quantities, start_of
from brinebook.desk.plan_surprise import Stale, Surprise, memory_of, stale, surprise
from brinebook.desk.plan_trend import trend_notes, trends_of, weekly_figures
from brinebook.desk.typed import read_quantity
from brinebook.errors import UsageProblem
from brinebook.plan import Plan
from brinebook.planning.dosing import (
    Container,
    Pump,
    Setting,
    as_it_is,
    containers,
    pair_of,
    pair_ratio,
    pumps_of,
    settle,
)
from brinebook.planning.limits import limits_for
from brinebook.planning.substances import Substance, find_substance, of_additive
from brinebook.planning.worth import FAR_FOR_A_KNOB
from brinebook.texts import say
from brinebook.units import convert_amount, dimension_of, find_quantity


class NothingDosed(UsageProblem):
    """No bottle is described or dosed, so there is no setting to plan."""

    code = "E-PLAN-NO-PUMP"

    def __init__(self) -> None:
        super().__init__(
            say(
                "The system has no bottle that is dosed, and none whose recipe says what it brings."
            ),
            say(
                "Describe one among the system's additives, or ask for a single amount in "
                "the plan that corrects a level."
            ),
        )


@dataclass(frozen=True, slots=True)
class Dosing:
    """The settings, the pair if there is one, and the bottles."""

    settings: tuple[Setting, ...]
    containers: tuple[Container, ...]
    pair: tuple[Pump, Pump, float] | None


def dosing_plan(
    source: BookOrAnswer,
    name: str | None = None,
    *,
    targets: Mapping[str, str] | None = None,
    worst: str | None = None,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """The plan of daily dosing for the coming weeks. Nothing is written.

    ``targets`` are typed levels by quantity; ``worst`` the worst rise of alkalinity that a stuck
    pump may make. Raises NothingDosed, QuantityUntested, and what opening a book and reading
    amounts raise.
    """
    start = start_of(source, name, said=Said(), at=at, known=known)
    asked = {
        find_quantity(quantity).name: read_quantity(
            find_quantity(quantity).name, text, conditions=start.conditions
        )
        for quantity, text in (targets or {}).items()
    }
    worst_rise = None if worst is None else read_quantity("alkalinity", worst)
    found = dosing(start, targets=asked, worst=worst_rise)
    memory = memory_of(source, name, at=at, known=known)
    found, odd = without_the_odd(start, found, remembered=memory)
    plan = worded(start, found.settings, found.containers, found.pair, odd)
    trends = trends_of(source, start.drawn, name, at=at, known=known)
    told = (found.settings, start.drawn)
    return replace(
        plan,
        figures=(*plan.figures, *weekly_figures(trends, *told)),
        notes=(*trend_notes(trends, *told, start.units), *plan.notes),
    ), start


def dosing(
    start: Start, *, targets: Mapping[str, float] | None = None, worst: float | None = None
) -> Dosing:
    """Settings and bottles from a start. Raises NothingDosed and QuantityUntested."""
    pumps = pumps_now(start)
    if not pumps:
        raise NothingDosed
    tested = known_quantities(start)
    known = [pump for pump in pumps if pump.quantity in tested]
    if not known:
        raise QuantityUntested(pumps[0].quantity, tested)
    wanted, limits = {}, {}
    for pump in known:
        name = pump.quantity
        wanted[name] = (targets or {}).get(name, target_of(start, name))
        limits[name] = limits_for(name, start.water.system, target=wanted[name])
    rises = {name: limit.per_day for name, limit in limits.items()}
    if worst is not None:
        rises["alkalinity"] = worst
    pair = pair_of(known)
    return Dosing(
        settle(start.drawn, known, targets=wanted, limits=limits),
        containers(start.drawn, known, worst=rises),
        None if pair is None else (*pair, pair_ratio(pair[0].substance, pair[1].substance)),
    )


def without_the_odd(
    start: Start, found: Dosing, *, remembered: Remembered = NOTHING
) -> tuple[Dosing, tuple[Surprise | Stale, ...]]:
    """No knob is turned on one surprising test, nor on old ones: such settings stay, and the tests
    to make."""
    odd: dict[str, Surprise | Stale] = {}
    for one in found.settings:
        old = stale(start, one.pump.quantity)
        if old is not None:
            odd[one.pump.quantity] = old
        elif one.changes and one.pump.quantity not in odd:
            told = surprise(
                start,
                one.pump.quantity,
                one.target,
                remembered=remembered,
                far=FAR_FOR_A_KNOB,
            )
            if told is not None:
                odd[one.pump.quantity] = told
    if not odd:
        return found, ()
    waits = any(isinstance(each, Stale) for each in odd.values())
    settings = tuple(
        as_it_is(one, because=_why_held(odd, one))
        if one.changes and (waits or one.pump.quantity in odd or one.because == "pair")
        else one
        for one in found.settings
    )
    return replace(found, settings=settings), tuple(odd.values())


def _why_held(odd: Mapping[str, Surprise | Stale], one: Setting) -> str:
    held = odd.get(one.pump.quantity)
    if held is None:
        return "waits" if one.because != "pair" else "odd"
    return "stale" if isinstance(held, Stale) else "odd"


def target_of(start: Start, quantity: str) -> float:
    """The system's own target, else the middle of its band."""
    system = start.water.system
    if quantity in system.targets:
        return system.targets[quantity]
    low, high = limits_for(quantity, system, target=1.0).band
    return (low + high) / 2.0


def pumps_now(start: Start) -> tuple[Pump, ...]:
    """Every bottle of the system with its setting as of now."""
    system, at = start.water.system, start.at
    settings: dict[str, float] = {}
    hours: dict[str, str] = {}
    evaporating = []
    substances: list[Substance] = [
        one for one in (of_additive(additive) for additive in system.additives) if one is not None
    ]
    named = {one.name.casefold(): one.name for one in substances}
    for fact in sorted(start.water.facts, key=lambda fact: fact.when):
        steady = fact.kind == "top_off" and fact.what and "/" in fact.unit
        if fact.when > at or not (fact.kind == "dosing" or steady):
            continue
        name = named.get(fact.what.casefold())
        if name is None:
            name = _salt_by_the_gram(fact.what, substances, named)
        if name is None:
            continue
        units = {one.name: one.unit for one in substances}
        unit, typed_unit = units[name], fact.unit.partition("/")[0]
        if dimension_of(typed_unit) != dimension_of(unit):
            continue  # grams of a bottle, or millilitres of a salt: nobody knows how much that is
        settings[name] = convert_amount(float(fact.value), typed_unit, unit)
        hours[name] = fact.detail.get("hours", "")
        if steady:
            evaporating.append(name)
    return pumps_of(
        substances,
        settings=settings,
        hours=hours,
        evaporating=evaporating,
        capacity={a.name: a.container for a in system.additives if a.container is not None},
        drawn=start.drawn,
    )


def _salt_by_the_gram(what: str, substances: list[Substance], named: dict[str, str]) -> str | None:
    try:
        found = find_substance(what)
    except UsageProblem:
        return None
    substances.append(found)
    named[what.casefold()] = found.name
    return found.name
