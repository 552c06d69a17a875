"""Pressure at the weakest joint of what a branch feeds, for every position of a valve.

A valve before a reactor takes the pump's pressure off it; one behind it puts all of it on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brinebook.lifesupport.fluid import seawater
from brinebook.lifesupport.loop import LITRES_AN_HOUR, network_of
from brinebook.lifesupport.network import solve
from brinebook.rig import Device, Rig

OPENINGS = (0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Position:
    """One position of one valve: the device's flow (L/h) and pressure (kPa)."""

    opening: float
    flow: float
    pressure: float | None  # None: cut off on both sides


@dataclass(frozen=True, slots=True)
class ValveSweep:
    """Every position of the valve in one pipe, the others as they stand."""

    pipe: str
    side: str  # before, behind
    described: bool  # whether the pipe is described with a valve
    positions: tuple[Position, ...]

    @property
    def highest(self) -> Position:
        """The position with the most pressure."""
        return max(self.positions, key=lambda one: one.pressure or 0.0)


@dataclass(frozen=True, slots=True)
class DeviceSweeps:
    """A device with its limit, and what each valve beside it does to it."""

    device: str
    limit: float | None
    sweeps: tuple[ValveSweep, ...]


def pressure_sweeps(rig: Rig, openings: Sequence[float] = OPENINGS) -> tuple[DeviceSweeps, ...]:
    """Every device between its pipes; a pipe without a valve is tried with a ball valve in it."""
    if not network_of(rig).lifters:
        return ()
    return tuple(_device(rig, device, openings) for device in rig.devices)


def _device(rig: Rig, device: Device, openings: Sequence[float]) -> DeviceSweeps:
    sides = [("before", pipe) for pipe in rig.pipes if pipe.end == device.name]
    sides += [("behind", pipe) for pipe in rig.pipes if pipe.begin == device.name]
    sweeps = tuple(
        ValveSweep(
            pipe.name, side, pipe.valve is not None,
            tuple(position(rig, device, pipe.name, opening) for opening in openings),
        )
        for side, pipe in sides
    )  # fmt: skip
    return DeviceSweeps(device.name, device.pressure_limit, sweeps)


def position(rig: Rig, device: Device, pipe: str, opening: float) -> Position:
    """The device with the valve of one pipe at an opening."""
    fluid = seawater(rig.salinity, rig.temperature)
    solved = solve(network_of(rig, {pipe: opening}), fluid)
    head = solved.heads.get(f"{device.name}/in")
    pressure = None if head is None else fluid.pressure(head - device.height)
    flow = LITRES_AN_HOUR * solved.flows.get(f"{device.name}/through", 0.0)
    return Position(opening, flow, pressure)


def opening_for_flow(rig: Rig, pipe: str, flow: float) -> float | None:
    """How far the valve of a pipe is open at a flow in L/h; None where even open less passes.

    The flow through a pipe only grows as its own valve opens, so halving finds it.
    """
    fluid = seawater(rig.salinity, rig.temperature)

    def at(opening: float) -> float:
        solved = solve(network_of(rig, {pipe: opening}), fluid)
        return LITRES_AN_HOUR * abs(solved.flows[pipe])

    if at(1.0) < flow:
        return None
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if at(middle) < flow:
            low = middle
        else:
            high = middle
    return high
