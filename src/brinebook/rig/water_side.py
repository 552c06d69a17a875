"""What holds and moves the water: vessels, pumps, pipes, drains, and what hangs on them.

Lengths in m, volumes in L, flows in L/h, pressures in kPa, powers in W, masses in g, shares from 0
to 1. Heights are above the floor of the room; depths of water above the vessel's own inside floor.
``None`` means that the keeper didn't say and no default would be honest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

_NO_FITTINGS: Mapping[str, int] = MappingProxyType({})

#: What may stand in a pipe, by the names that the description uses.
FITTINGS = (
    "elbow_90", "elbow_45", "bend_90", "tee_through", "tee_branch", "entrance", "exit",
    "union", "ball_valve", "gate_valve", "globe_valve", "swing_check", "lift_check",
)  # fmt: skip

#: Kinds of valve whose resistance by opening is known here.
VALVES = ("ball", "gate", "globe", "diaphragm")


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a vessel between two walls, in the order in which the water passes."""

    name: str
    length: float  # along the vessel
    water: float | None = None  # running depth; left out, the vessel's own
    baffle: float | None = None  # height of the wall that it flows over into the next
    role: str = ""  # inlet, skimmer, plants, return


@dataclass(frozen=True, slots=True)
class Vessel:
    """A display, a sump, or another container of the system's water."""

    name: str
    length: float
    width: float
    height: float  # inside, floor to rim
    role: str = ""  # display, sump, other
    water: float | None = None  # running depth
    floor: float = 0.0  # height of its inside floor above the room's floor
    area: float | None = None  # of the water's surface, m2; left out, length times width
    wall: float = 0.01  # thickness
    material: str = "glass"
    lid: float = 0.0  # share of the surface that is covered
    insulated: float = 0.0  # share of the walls that loses no heat worth counting
    displaced: float = 0.0  # rock, sand and gear under water, L
    sections: tuple[Section, ...] = ()

    @property
    def surface(self) -> float:
        """Area of the water's surface, m2."""
        return self.length * self.width if self.area is None else self.area

    @property
    def width_of_sections(self) -> float:
        """Width that makes the sections' lengths into areas, m."""
        return self.surface / self.length

    @property
    def parts(self) -> tuple[tuple[float, float], ...]:
        """Area (m2) and running depth (m) of each section, and of what none claims.

        Empty where the depth isn't told.
        """
        if self.water is None:
            return ()
        if not self.sections:
            return ((self.surface, self.water),)
        width, depth = self.width_of_sections, self.water
        found = [(s.length * width, depth if s.water is None else s.water) for s in self.sections]
        rest = self.length - sum(section.length for section in self.sections)
        if rest > 0.01 * self.length:
            found.append((rest * width, depth))
        return tuple(found)

    @property
    def litres(self) -> float | None:
        """What it holds while everything runs, less what is displaced; None without a depth."""
        if self.water is None:
            return None
        return max(1000.0 * sum(area * depth for area, depth in self.parts) - self.displaced, 0.0)


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump: its curve by points, or by the head at no flow and the flow at no head."""

    name: str
    role: str  # return, recirculation, skimmer, stream, feed, air
    place: str = ""  # the vessel it stands in, or "vessel/section"
    curve: tuple[tuple[float, float], ...] = ()  # (flow in L/h, head in m)
    shut_off_head: float | None = None
    free_flow: float | None = None
    flow: float | None = None  # what it moves in place, where that is known better than by a curve
    intake: float = 0.05  # depth of water at which it begins to draw air
    power: float | None = None
    power_factor: float = 0.6
    heat_to_water: float = 1.0  # share of its power
    socket: str = ""


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve in a pipe: its kind, how far it is open, and its Kv when open if that is known."""

    kind: str  # ball, gate, globe, diaphragm
    opening: float = 1.0
    kv: float | None = None  # m3/h at 1 bar, fully open


@dataclass(frozen=True, slots=True)
class Pipe:
    """A run of pipe of one bore from one place to another, with what stands in it.

    ``begin`` and ``end`` name a vessel, "vessel/section", a pump, a device or a joint.
    """

    name: str
    begin: str
    end: str
    bore: float
    length: float
    roughness: float = 1.5e-6
    fittings: Mapping[str, int] = field(default_factory=lambda: _NO_FITTINGS)
    loss: float = 0.0  # further resistance coefficients, summed
    valve: Valve | None = None
    check_valve: str = ""  # "", leaking, tight
    pressure_limit: float | None = None  # of its weakest joint
    mouth: float | None = None  # depth of its end below the running level of the vessel it ends in
    height: float | None = None  # of its end above the room's floor, where it ends above the water


@dataclass(frozen=True, slots=True)
class Joint:
    """A place where pipes meet."""

    name: str
    height: float
    pressure_limit: float | None = None


@dataclass(frozen=True, slots=True)
class Bed:
    """What fills a reactor: grains of one size in a chamber."""

    media: str
    depth: float  # of the bed at rest
    grain: float  # diameter
    density: float  # of a wetted grain, kg/m3
    void: float = 0.45  # share of water between grains at rest
    roundness: float = 0.8  # sphericity


@dataclass(frozen=True, slots=True)
class Device:
    """Something that a branch feeds: a reactor, a filter, a chiller, a lamp housing."""

    name: str
    kind: str  # reactor, filter, chiller, lamp, other
    height: float  # of its weakest joint above the room's floor
    bore: float | None = None  # inside diameter of its chamber
    loss: float = 2.5  # resistance coefficient at the bore of the pipe that feeds it
    pressure_limit: float | None = None
    wanted_flow: tuple[float, float] | None = None  # L/h
    bed: Bed | None = None


@dataclass(frozen=True, slots=True)
class Weir:
    """The edge that the water of a vessel runs over, perhaps toothed, perhaps into a box."""

    name: str
    vessel: str
    length: float
    open_share: float = 1.0  # of a toothed edge
    tooth_height: float | None = None
    crest: float | None = None  # above the vessel's inside floor
    box_area: float = 0.0  # m2
    box_drains: float = 0.0  # by how much the box falls when the pump stops


@dataclass(frozen=True, slots=True)
class Drain:
    """A pipe that carries water down by its own weight."""

    name: str
    kind: str  # siphon, standpipe, emergency
    vessel: str
    end: str
    bore: float
    length: float
    head: float | None = None  # from the water above it to the water or mouth below
    roughness: float = 1.5e-6
    fittings: Mapping[str, int] = field(default_factory=lambda: _NO_FITTINGS)
    loss: float = 1.5  # entrance and exit
    valve: Valve | None = None
    above_running: float = 0.0  # how far its mouth lies above the running level (emergency)


@dataclass(frozen=True, slots=True)
class Nozzle:
    """Where a pipe lets the returning water go, and the hole that should break its siphon."""

    name: str
    pipe: str
    mouth: float  # depth of its mouth below the running level
    hole: float | None = None  # depth of the siphon-break hole below the running level
    hole_bore: float | None = None


@dataclass(frozen=True, slots=True)
class TopOff:
    """What replaces evaporated water from a reservoir of fresh water."""

    reservoir: float  # L when full
    flow: float  # of its pump or valve while it runs
    place: str = ""  # where it fills; left out, the return section
    holds: str = ""  # an additive, where the reservoir holds one (limewater)
    longest_run: float | None = None  # h, where something stops it by itself
    surface_height: float | None = None  # of the reservoir's water above the room's floor
    outlet_height: float | None = None  # of the end of its line


@dataclass(frozen=True, slots=True)
class Doser:
    """A dosing pump with its container and its line."""

    name: str
    additive: str
    container: float  # L when full
    holds: float | None = None  # L now; left out, full
    flow: float | None = None  # while it runs
    surface_height: float | None = None  # of the container's liquid above the room's floor
    outlet_height: float | None = None  # of the end of its line
    under_water: bool = False  # whether the end of the line is under water
    place: str = ""  # where it drips
    line_bore: float = 0.004
    line_length: float = 2.0


@dataclass(frozen=True, slots=True)
class Zone:
    """A corner that the main flow may pass by: how much water, and how much flow reaches it."""

    name: str
    volume: float
    flow: float
