"""The described rig as a network, and its steady flows with the range that friction leaves them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from brinebook.lifesupport.fluid import GRAVITY, Fluid, seawater
from brinebook.lifesupport.friction import friction_factor, regime
from brinebook.lifesupport.links import Lifter, Run
from brinebook.lifesupport.network import Flowing, Network, solve
from brinebook.lifesupport.pump_curve import CURVE_SPREAD, Curve, curve_of
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.resistances import (
    RESISTANCE_SPREAD,
    fittings_coefficient,
    valve_coefficient,
)
from brinebook.rig import Pipe, Rig, Valve
from brinebook.texts import say

#: L/h in a m3/s.
LITRES_AN_HOUR = 3.6e6


@dataclass(frozen=True, slots=True)
class PipeFlow:
    """What passes one pipe: L/h with its range, m/s, Re, m of head lost."""

    name: str
    begin: str
    end: str
    flow: Range
    speed: float
    reynolds: float
    regime: str
    loss: float


@dataclass(frozen=True, slots=True)
class JointPressure:
    """Pressure over the room's at a joint or a device, kPa, and what its weakest joint bears."""

    name: str
    pressure: Range
    limit: float | None


@dataclass(frozen=True, slots=True)
class PumpPoint:
    """Where a pump works: L/h and m, and what its label promises."""

    name: str
    flow: Range
    head: float
    free_flow: float


@dataclass(frozen=True, slots=True)
class Loop:
    """The steady flows of a described rig."""

    pipes: tuple[PipeFlow, ...]
    pumps: tuple[PumpPoint, ...]
    pressures: tuple[JointPressure, ...]
    to_display: Range  # L/h
    settled: bool
    notes: tuple[str, ...]


def surface_heights(rig: Rig) -> dict[str, float]:
    """Height above the room's floor of the water in every vessel and section, where it is told."""
    found = {}
    for vessel in rig.vessels:
        if vessel.water is not None:
            found[vessel.name] = vessel.floor + vessel.water
        for section in vessel.sections:
            depth = vessel.water if section.water is None else section.water
            if depth is not None:
                found[f"{vessel.name}/{section.name}"] = vessel.floor + depth
    return found


def return_place(rig: Rig) -> str | None:
    """Where the return pump stands: as told, else the sump's return section, else the sump."""
    for pump in rig.pumps:
        if pump.role == "return" and pump.place:
            return pump.place
    sump = rig.vessel("sump")
    if sump is None:
        return None
    section = next((one for one in sump.sections if one.role == "return"), None)
    return sump.name if section is None else f"{sump.name}/{section.name}"


def pipe_loss(pipe: Pipe, valve: Valve | None = None) -> float:
    """K of everything in a pipe; ``valve`` stands in for its own."""
    loss = pipe.loss + fittings_coefficient(pipe.fittings, pipe.bore)
    stands = valve or pipe.valve
    return loss + (valve_coefficient(stands, pipe.bore) if stands else 0.0)


def network_of(rig: Rig, valves: Mapping[str, float] | None = None) -> Network:
    """The rig's pipes, devices and pumps; ``valves`` gives openings that stand in for its own."""
    heads = surface_heights(rig)
    devices = {device.name for device in rig.devices}
    runs: list[Run] = []
    for pipe in rig.pipes:
        valve = pipe.valve
        if valves and pipe.name in valves:
            valve = replace(valve or Valve("ball"), opening=valves[pipe.name])
        begin = f"{pipe.begin}/out" if pipe.begin in devices else pipe.begin
        end = f"{pipe.end}/in" if pipe.end in devices else pipe.end
        if pipe.height is not None:
            end = f"{pipe.name}/mouth"
            heads[end] = pipe.height
        runs.append(
            Run(
                pipe.name, begin, end, pipe.bore, pipe.length, pipe.roughness,
                pipe_loss(pipe, valve), pipe.check_valve == "tight",
            )
        )  # fmt: skip
    for device in rig.devices:
        fed = [pipe.bore for pipe in rig.pipes if pipe.end == device.name]
        if fed:
            runs.append(
                Run(
                    f"{device.name}/through", f"{device.name}/in", f"{device.name}/out",
                    fed[0], 0.0, loss=device.loss,
                )
            )  # fmt: skip
    used = {end for run in runs for end in (run.begin, run.end)}
    lifters = []
    for pump in rig.pumps:
        curve, place = curve_of(pump), pump.place or return_place(rig)
        if curve is not None and pump.name in used and place in heads:
            lifters.append(Lifter(pump.name, place, pump.name, curve))
    return Network(tuple(runs), tuple(lifters), heads)


def spoilt(network: Network, side: float) -> Network:
    """The network with every loss and pump a usual spread worse (side 1) or better (side -1)."""
    runs = tuple(
        replace(run, loss=run.loss * (1 + side * RESISTANCE_SPREAD)) for run in network.runs
    )
    lifters = tuple(
        replace(one, curve=one.curve.scaled(1 - side * CURVE_SPREAD)) for one in network.lifters
    )
    return replace(network, runs=runs, lifters=lifters)


def flows(rig: Rig, valves: Mapping[str, float] | None = None) -> Loop | None:
    """The steady flows; None where no pipe, pump curve or water level is described to find them.

    The ends of each range are found with all resistances 30 % and the pumps' heads 10 % worse, and
    so much better, together.
    """
    network = network_of(rig, valves)
    if not network.lifters or len(network.heads) < 2:
        return None
    fluid = seawater(rig.salinity, rig.temperature)
    solved = solve(network, fluid)
    ends = [solve(spoilt(network, side), fluid) for side in (1.0, -1.0)]
    return Loop(
        tuple(_pipe_flow(run, solved, ends, fluid) for run in network.runs),
        tuple(_pump_point(lifter, solved, ends) for lifter in network.lifters),
        tuple(_pressures(rig, solved, ends, fluid)),
        _to_display(rig, solved, ends),
        solved.settled,
        tuple(_notes(network, solved, fluid)),
    )


def _range(name: str, solved: Flowing, ends: list[Flowing], scale: float = LITRES_AN_HOUR) -> Range:
    values = [scale * one.flows[name] for one in (solved, *ends)]
    return Range(values[0], min(values), max(values))


def _pipe_flow(run: Run, solved: Flowing, ends: list[Flowing], fluid: Fluid) -> PipeFlow:
    flow = solved.flows[run.name]
    speed = abs(flow) / run.area
    reynolds = speed * run.bore / fluid.viscosity
    loss = 0.0
    if flow and not math.isinf(run.loss):
        factor = friction_factor(reynolds, run.roughness / run.bore)[0]
        loss = (factor * run.length / run.bore + run.loss) * speed**2 / (2 * GRAVITY)
    return PipeFlow(
        run.name, run.begin, run.end, _range(run.name, solved, ends), speed, reynolds,
        regime(reynolds), loss,
    )  # fmt: skip


def _pump_point(lifter: Lifter, solved: Flowing, ends: list[Flowing]) -> PumpPoint:
    curve: Curve = lifter.curve
    return PumpPoint(
        lifter.name,
        _range(lifter.name, solved, ends),
        curve.head(solved.flows[lifter.name])[0],
        curve.free * LITRES_AN_HOUR,
    )


def _pressures(rig: Rig, solved: Flowing, ends: list[Flowing], fluid: Fluid) -> list[JointPressure]:
    found = []
    places = [(one.name, one.name, one.height, one.pressure_limit) for one in rig.joints]
    places += [(one.name, f"{one.name}/in", one.height, one.pressure_limit) for one in rig.devices]
    for pipe in rig.pipes:
        height = _begins_at(rig, pipe)
        if pipe.pressure_limit is not None and height is not None:
            node = f"{pipe.begin}/out" if _is_device(rig, pipe.begin) else pipe.begin
            places.append((pipe.name, node, height, pipe.pressure_limit))
    for name, node, height, limit in places:
        told = [fluid.pressure(one.heads[node] - height) for one in (solved, *ends)
                if node in one.heads]  # fmt: skip
        if told:
            found.append(JointPressure(name, Range(told[0], min(told), max(told)), limit))
    return found


def _is_device(rig: Rig, name: str) -> bool:
    return any(device.name == name for device in rig.devices)


def _begins_at(rig: Rig, pipe: Pipe) -> float | None:
    """Height above the room's floor of the joint that a pipe begins at, where it is told."""
    heights = {joint.name: joint.height for joint in rig.joints}
    heights.update({device.name: device.height for device in rig.devices})
    floors = {vessel.name: vessel.floor for vessel in rig.vessels}
    for pump in rig.pumps:
        place = (pump.place or return_place(rig) or "").partition("/")[0]
        if place in floors:
            heights[pump.name] = floors[place]
    return heights.get(pipe.begin)


def _to_display(rig: Rig, solved: Flowing, ends: list[Flowing]) -> Range:
    display = rig.vessel("display")
    if display is None:
        return Range(0.0, 0.0, 0.0)
    sections = {display.name, *(f"{display.name}/{one.name}" for one in display.sections)}
    mouths = {pipe.name for pipe in rig.pipes if pipe.end in sections}
    leaves = {pipe.name for pipe in rig.pipes if pipe.begin in sections}
    sums = [
        LITRES_AN_HOUR
        * (sum(one.flows[name] for name in mouths) - sum(one.flows[name] for name in leaves))
        for one in (solved, *ends)
    ]
    return Range(sums[0], min(sums), max(sums))


def _notes(network: Network, solved: Flowing, fluid: Fluid) -> list[str]:
    notes = []
    between = [
        run.name
        for run in network.runs
        if run.length  # a device has no friction that could jump
        and regime(abs(solved.flows[run.name]) / run.area * run.bore / fluid.viscosity)
        == "transition"
    ]
    if between:
        notes.append(
            say(
                "Between laminar and turbulent: the water in {runs}. Its flow may jump by a fifth "
                "at the same valve.",
                runs=", ".join(between),
            )
        )
    for lifter in network.lifters:
        if solved.flows[lifter.name] <= 0:
            notes.append(
                say("{lifter} can't lift the water so far: nothing flows.", lifter=lifter.name)
            )
    if not solved.settled:
        notes.append(say("The flows don't settle: look for a pump whose curve has a step."))
    return notes
