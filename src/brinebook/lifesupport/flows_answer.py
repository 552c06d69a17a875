"""Everything that is told of the described rig's flows."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.lifesupport.beds import BedFlow, bed_flow
from brinebook.lifesupport.exchange import Exchange, exchange
from brinebook.lifesupport.fluid import seawater
from brinebook.lifesupport.habits import habits
from brinebook.lifesupport.lines import LineFound, lines
from brinebook.lifesupport.loop import LITRES_AN_HOUR, Loop, flows, network_of
from brinebook.lifesupport.network import Flowing, Network, solve
from brinebook.lifesupport.pressures import DeviceSweeps, opening_for_flow, pressure_sweeps
from brinebook.lifesupport.ranges import Range
from brinebook.rig import Device, Rig

#: How well a flow is known that was taken with a jug and a watch: common practice, no source.
MEASURED_OFF = 0.10


@dataclass(frozen=True, slots=True)
class DeviceFlow:
    """One device: its flow against the one it wants, its bed, and the valve for what it wants."""

    name: str
    flow: Range
    wanted: tuple[float, float] | None
    bed: BedFlow | None
    at_rest: float | None  # depth of the bed at rest, m
    valve_in: str  # the pipe whose valve sets its flow
    opening_for_wanted: float | None  # None: can't be had, or nothing is wanted


@dataclass(frozen=True, slots=True)
class FlowsAnswer:
    """All of it; ``loop`` is None where the flow is only known as measured."""

    to_display: Range
    measured: bool
    loop: Loop | None
    exchange: Exchange
    devices: tuple[DeviceFlow, ...]
    sweeps: tuple[DeviceSweeps, ...]
    lines: tuple[LineFound, ...]
    law_difference: float | None  # share by which EPANET's friction would move the return flow
    habits: tuple[str, ...] = ()  # where lines end otherwise than most would let them


def return_flow(rig: Rig) -> tuple[Range, bool] | None:
    """Flow to the display in L/h and whether it was measured; None where neither can be told."""
    measured = [one.flow for one in rig.pumps if one.role == "return"]
    told = [flow for flow in measured if flow is not None]
    if told and len(told) == len(measured):
        off = MEASURED_OFF * sum(told)
        return Range(sum(told), sum(told) - off, sum(told) + off), True
    found = flows(rig)
    return None if found is None or found.to_display.value <= 0 else (found.to_display, False)


def flows_answer(rig: Rig, litres: float | None = None) -> FlowsAnswer | None:
    """What can be told of the flows; None where there is neither a measured flow nor a loop."""
    told = return_flow(rig)
    loop = flows(rig)
    if told is None and loop is None:
        return None
    to_display, measured = told or (Range(0.0, 0.0, 0.0), False)
    exchanged = exchange(
        rig,
        to_display.value,
        litres=litres,
        pipes={one.name: one.flow.value for one in loop.pipes} if loop else None,
    )
    return FlowsAnswer(
        to_display,
        measured,
        loop,
        exchanged,
        tuple(_device(rig, device, loop) for device in rig.devices) if loop else (),
        pressure_sweeps(rig),
        lines(rig),
        _law_difference(rig) if loop else None,
        tuple(habits(rig, exchanged.places)),
    )


def _device(rig: Rig, device: Device, loop: Loop) -> DeviceFlow:
    through = next(
        (one.flow for one in loop.pipes if one.name == f"{device.name}/through"),
        Range(0.0, 0.0, 0.0),
    )
    valve_in = _throttled_by(rig, device)
    bed = None
    if device.bed is not None and device.bore is not None:
        fluid = seawater(rig.salinity, rig.temperature)
        bed = bed_flow(through.value / LITRES_AN_HOUR, device.bore, device.bed, fluid)
    opening = None
    if valve_in and device.wanted_flow is not None:
        opening = opening_for_flow(rig, valve_in, sum(device.wanted_flow) / 2)
    return DeviceFlow(
        device.name, through, device.wanted_flow, bed,
        device.bed.depth if device.bed else None, valve_in, opening,
    )  # fmt: skip


def _throttled_by(rig: Rig, device: Device) -> str:
    """The pipe whose valve sets the device's flow: before it, else behind; the feed without one."""
    feeds = [pipe for pipe in rig.pipes if pipe.end == device.name]
    behind = [pipe for pipe in rig.pipes if pipe.begin == device.name]
    valved = [pipe for pipe in (*feeds, *behind) if pipe.valve is not None]
    return next((pipe.name for pipe in (*valved, *feeds)), "")


def _law_difference(rig: Rig) -> float | None:
    network = network_of(rig)
    fluid = seawater(rig.salinity, rig.temperature)

    def pumped(solved: Flowing, of: Network) -> float:
        return sum(solved.flows[one.name] for one in of.lifters)

    ours = pumped(solve(network, fluid), network)
    theirs = pumped(solve(network, fluid, law="swamee-jain"), network)
    return theirs / ours - 1.0 if ours > 0 else None
