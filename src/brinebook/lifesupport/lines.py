"""Thin lines by their heights: what runs by itself, out of a container or back into it.

A dosing pump that wears no longer pinches its tube shut: what then flows is told by height alone.
Heights in m above the room's floor, flows in L/h, volumes in L.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from brinebook.lifesupport.fluid import Fluid
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.loop import LITRES_AN_HOUR, surface_heights
from brinebook.lifesupport.network import Network, solve
from brinebook.rig import Rig

#: Fresh water and most solutions at room temperature are close to this.
THIN = Fluid(1000.0, 1.0e-6)

#: Which way a line runs when nothing pinches it shut.
Runs = Literal["out by itself", "back into the container", "neither", "not told"]


@dataclass(frozen=True, slots=True)
class LineFound:
    """One line: which way it would run, how fast at first, and how much can go."""

    name: str
    runs: Runs
    head: float | None
    flow: float | None
    litres: float | None


def siphon_line(head: float, *, bore: float, length: float, fluid: Fluid = THIN) -> float:
    """Flow in L/h of a thin open line under a head in m; mostly laminar."""
    if head <= 0:
        return 0.0
    run = Run("line", "above", "below", bore, length, loss=1.5)
    network = Network((run,), heads={"above": head, "below": 0.0})
    return LITRES_AN_HOUR * solve(network, fluid).flows["line"]


def lines(rig: Rig) -> tuple[LineFound, ...]:
    """Every dosing line, and the top-off's."""
    return tuple(_lines(rig))


def _lines(rig: Rig) -> Iterator[LineFound]:
    levels = surface_heights(rig)
    for doser in rig.dosers:
        level = levels.get(doser.place)
        outlet = doser.outlet_height
        if doser.under_water and level is not None:
            outlet = level
        yield _found(
            doser.name, doser.surface_height, outlet, under_water=doser.under_water,
            held=doser.container if doser.holds is None else doser.holds,
            bore=doser.line_bore, length=doser.line_length,
        )  # fmt: skip
    if rig.top_off is not None:
        yield _found(
            "top-off", rig.top_off.surface_height, rig.top_off.outlet_height, under_water=False,
            held=rig.top_off.reservoir, bore=0.006, length=2.0,
        )  # fmt: skip


def _found(
    name: str,
    surface: float | None,
    outlet: float | None,
    *,
    under_water: bool,
    held: float,
    bore: float,
    length: float,
) -> LineFound:
    if surface is None or outlet is None:
        return LineFound(name, "not told", None, None, None)
    head = surface - outlet
    if head > 0:
        return LineFound(
            name, "out by itself", head, siphon_line(head, bore=bore, length=length), held
        )
    if head < 0 and under_water:
        flow = siphon_line(-head, bore=bore, length=length)
        return LineFound(name, "back into the container", head, flow, None)
    return LineFound(name, "neither", head, 0.0, 0.0)
