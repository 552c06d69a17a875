"""``plan correct``: how much to put in to bring a quantity to a value, within limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from brinebook.desk.plan_correct_words import worded
from brinebook.desk.plan_dose import pumps_now
from brinebook.desk.plan_lower_words import lowered
from brinebook.desk.plan_now import BookOrAnswer, Said
from brinebook.desk.plan_start import Start, known_or_raise, start_of
from brinebook.desk.plan_surprise import memory_of, surprise
from brinebook.desk.plan_test_first import test_first
from brinebook.desk.typed import read_quantity
from brinebook.plan import Plan
from brinebook.planning.corrections import POUR_GAP, POURS_PER_DAY, Ask, Correction, correct
from brinebook.planning.dosing import Pump
from brinebook.planning.limits import Limits, limits_for
from brinebook.planning.lowering import pause
from brinebook.planning.substances import choose
from brinebook.texts import say
from brinebook.units import find_quantity

#: Of a band's half width: as near to the middle of it as a keeper cares to be.
_NEAR = 0.15


def correction_plan(
    source: BookOrAnswer,
    quantity: str,
    name: str | None = None,
    *,
    said: Said,
    to: str | None = None,
    level: str | None = None,
    substance: str | None = None,
    days: int = 1,
    at: datetime | None = None,
    known: datetime | None = None,
) -> tuple[Plan, Start]:
    """The plan, and what it started from. Nothing is written.

    Raises QuantityUntested, FromNeedsVolume, SubstanceUnknown, BringsNone, NothingRaises, and what
    opening a book and reading amounts raise.
    """
    wanted = find_quantity(quantity).name
    start = start_of(
        source,
        name,
        said=said,
        stated=None if level is None else {wanted: level},
        at=at,
        known=known,
    )
    choose(wanted, substance, start.water.system)  # what nothing raises is said before all else
    known_or_raise(start, wanted)
    ask = ask_for(start, wanted, to=to, substance=substance, days=days)
    found = correct(start.drawn, ask)
    pump = _pump_too_many(start, found)
    if (found.is_needed or pump is not None) and not start.stated:
        memory = memory_of(source, name, at=at, known=known)
        odd = surprise(start, wanted, ask.target, remembered=memory)
        if odd is not None:
            return worded(start, found, odd), start
    if pump is not None and start.water.too_old(wanted) is not None:
        why = say("a pump is turned down by what is there and not by what may be")
        return test_first(start.water, "correction", (wanted,), why), start
    if pump is not None:
        paused = pause(start.drawn, pump, target=ask.target, per_day=ask.limits.per_day)
        return lowered(start, found, paused), start
    return worded(start, found), start


def _pump_too_many(start: Start, found: Correction) -> Pump | None:
    """The pump to turn down, where the level is likely over its target by more than tests show."""
    ask = found.ask
    if found.is_needed or start.stated:
        return None
    over = found.without[0] - ask.target
    spread = float(np.std(over))
    if float(np.median(over)) < max(ask.tolerance, spread, 2e-9):
        return None
    return _largest([p for p in pumps_now(start) if p.quantity == ask.quantity])


def _largest(pumps: Sequence[Pump]) -> Pump | None:
    knobs = [pump for pump in pumps if pump.setting > 0.0 and not pump.evaporates]
    return max(knobs, key=lambda pump: pump.setting, default=None)


def ask_for(
    start: Start, quantity: str, *, to: str | None, substance: str | None, days: int
) -> Ask:
    """What is asked of a correction: the keeper's own limits, target and ways, else common ones."""
    system, planning = start.water.system, start.planning
    target = _target(start, quantity, to)
    limits = limits_for(quantity, system, target=target)
    if "band" not in limits.own:
        low, high = limits.band
        limits = _with_band(limits, (low, max(high, target + 0.25 * (high - low))))
    near = 0.0 if to is not None else _NEAR * (limits.band[1] - limits.band[0]) / 2.0
    at = start.conditions
    return Ask(
        quantity=quantity,
        target=target,
        parts=choose(quantity, substance, system),
        limits=limits,
        air=start.air,
        ph=start.ph,
        conditions=(at.salinity, at.temperature),
        pours_per_day=planning.pours_per_day or POURS_PER_DAY,
        gap=planning.pour_gap or POUR_GAP,
        mixing_share=planning.mixing_share or 1.0,
        noise=start.noise(quantity),
        tolerance=near,
        days=days,
    )


def _with_band(limits: Limits, band: tuple[float, float]) -> Limits:
    return replace(limits, band=band)


def _target(start: Start, quantity: str, to: str | None) -> float:
    """What was asked for, else the system's target, else the middle of its band."""
    if to is not None:
        return read_quantity(quantity, to, conditions=start.conditions)
    system = start.water.system
    if quantity in system.targets:
        return system.targets[quantity]
    band = limits_for(quantity, system, target=1.0).band
    return (band[0] + band[1]) / 2.0
