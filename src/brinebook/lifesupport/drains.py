"""What the drains carry: full as siphons, with air down their middle, and with one of them blocked.

Flows in L/h, heads in m.
"""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.lifesupport.basins import basin
from brinebook.lifesupport.fluid import Fluid, seawater
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.loop import LITRES_AN_HOUR, surface_heights
from brinebook.lifesupport.openings import (
    AIR_CORE_HIGH,
    AIR_CORE_LOW,
    AIR_CORE_SHARE,
    full_pipe_flow,
    loss_for_flow,
)
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.resistances import (
    RESISTANCE_SPREAD,
    fittings_coefficient,
    valve_coefficient,
    valve_opening,
)
from brinebook.rig import Drain, Rig

#: How far life may lie from the formula for a full drain. Common practice, no source.
DRAIN_SPREAD = 0.15


@dataclass(frozen=True, slots=True)
class DrainCan:
    """One drain: the head it has, what it carries full and as a trickle, and what it may do now."""

    name: str
    kind: str
    head: float
    full: Range
    trickle: Range
    speed: float  # when full, m/s
    valve_for_flow: float | None  # K that a valve adds to pass just the return flow; None: too weak
    opening_for_flow: float | None  # how far its own valve is then open


@dataclass(frozen=True, slots=True)
class Blocked:
    """One drain blocked: what the others carry, cautiously and at best, against the flow."""

    drain: str
    others: Range
    carries: bool  # by the cautious figure
    rises: float | None  # how far the display may rise to its rim meanwhile, m


@dataclass(frozen=True, slots=True)
class Drains:
    """All of them against the return flow."""

    flow: float
    each: tuple[DrainCan, ...]
    together: Range
    carries: bool
    blocked: tuple[Blocked, ...]


def drains(rig: Rig, flow: float) -> Drains | None:
    """What the described drains carry; None without a drain whose head is told or can be found.

    A drain described as siphon counts as full; any other as a trickle (a quarter, common practice),
    until it is shown to run full.
    """
    fluid = seawater(rig.salinity, rig.temperature)
    each = [found for drain in rig.drains if (found := drain_can(rig, drain, flow, fluid))]
    if not each:
        return None
    display = rig.vessel("display")
    held = basin(display) if display else None
    rises = held.rim - held.depths[0] if held else None
    together = _sum(each)
    blocked = tuple(
        Blocked(one.name, others := _sum([x for x in each if x is not one]), others.value >= flow,
                rises)
        for one in each
    )  # fmt: skip
    return Drains(flow, tuple(each), together, together.value >= flow, blocked)


def _sum(each: list[DrainCan]) -> Range:
    counted = [one.full if one.kind == "siphon" else one.trickle for one in each]
    return Range(
        sum(one.value for one in counted),
        sum(one.trickle.low if one.kind != "siphon" else one.full.low for one in each),
        sum(one.full.high for one in each),
    )


def drain_can(rig: Rig, drain: Drain, flow: float, fluid: Fluid) -> DrainCan | None:
    """One drain at its head; None where neither that nor the levels are told."""
    head = drain.head if drain.head is not None else _head(rig, drain)
    if head is None or head <= 0:
        return None
    loss = drain_loss(drain)

    def full(of: float) -> float:
        found = full_pipe_flow(
            head, bore=drain.bore, length=drain.length, loss=of, roughness=drain.roughness,
            fluid=fluid,
        )  # fmt: skip
        return LITRES_AN_HOUR * found.flow

    middle = full(loss)
    low = min(full(loss * (1 + RESISTANCE_SPREAD)), middle * (1 - DRAIN_SPREAD))
    high = max(full(loss * (1 - RESISTANCE_SPREAD)), middle * (1 + DRAIN_SPREAD))
    run = Run(drain.name, "above", "below", drain.bore, drain.length, drain.roughness, loss)
    added = loss_for_flow(flow / LITRES_AN_HOUR, head, run, fluid) if flow > 0 else None
    opening = None
    if added is not None and drain.valve is not None:
        whole = added + valve_coefficient(drain.valve, drain.bore)
        opening = valve_opening(drain.valve.kind, whole)
    return DrainCan(
        drain.name,
        drain.kind,
        head,
        Range(middle, low, high),
        Range(AIR_CORE_SHARE * middle, AIR_CORE_LOW * middle, AIR_CORE_HIGH * middle),
        middle / LITRES_AN_HOUR / run.area,
        added,
        opening,
    )


def drain_loss(drain: Drain) -> float:
    """K of everything in a drain as it stands."""
    loss = drain.loss + fittings_coefficient(drain.fittings, drain.bore)
    return loss + (valve_coefficient(drain.valve, drain.bore) if drain.valve else 0.0)


def _head(rig: Rig, drain: Drain) -> float | None:
    levels = surface_heights(rig)
    above, below = levels.get(drain.vessel), levels.get(drain.end)
    return None if above is None or below is None else above + drain.above_running - below
