"""How often the water comes round, what is skimmed twice, which corners are passed by.

Volumes in L, flows in L/h, times in h.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brinebook.lifesupport.ranges import Range
from brinebook.rig import Rig

#: Where water stays longer than this it counts as passed by: common practice, no source.
SLOW_HOURS = 1.0


@dataclass(frozen=True, slots=True)
class Place:
    """A vessel, a section or a corner: its water, the flow that reaches it, the mean stay."""

    name: str
    litres: float
    flow: float
    hours: float | None  # None: nothing is aimed at it

    @property
    def is_slow(self) -> bool:
        """Whether the main flow passes it by."""
        return self.hours is None or self.hours > SLOW_HOURS


@dataclass(frozen=True, slots=True)
class Skimming:
    """A skimmer's throughput, and the share of it that has been through since the display.

    At the low end the skimmer takes what comes and gives it to the next section; at the high end
    it takes from and gives to one well mixed section.
    """

    name: str
    throughput: float
    second_pass: Range


@dataclass(frozen=True, slots=True)
class Exchange:
    """Turnover an hour of the system and of the display, skimming, and every place's stay."""

    turnover: float | None
    display_turnover: float | None
    skimming: tuple[Skimming, ...]
    places: tuple[Place, ...]


def second_pass_share(throughput: float, through: float, *, again: float = 0.0) -> Range:
    """Share of a skimmer's throughput q that it has had before.

    ``through`` Q comes from the display, ``again`` R is led back from behind the skimmer. In one
    mixed section water is treated at q u and leaves at Q + R with u of R coming back, so
    u = Q/(Q + q) of it is new. In a row, of Q + R the part q/(Q + R) is treated on its way, so that
    Q/(Q + R q/(Q + R)) of what comes is new; what is taken beyond Q + R can only be old.
    """
    if throughput <= 0 or through <= 0:
        return Range(0.0, 0.0, 0.0)
    mixed = throughput / (through + throughput)
    passing = through + again
    if throughput >= passing:
        in_a_row = 1.0 - through / throughput
    else:
        in_a_row = 1.0 - through / (through + again * throughput / passing)
    low, high = min(mixed, in_a_row), max(mixed, in_a_row)
    return Range((low + high) / 2, low, high)


def exchange(
    rig: Rig,
    to_display: float,
    *,
    litres: float | None = None,
    pipes: Mapping[str, float] | None = None,
) -> Exchange:
    """What the flow to the display (L/h) makes of every volume that is told.

    ``pipes`` are the flows in every pipe: branches that end in a section of the sump add to it and
    to the ones behind it.
    """
    display = rig.vessel("display")
    whole = litres or rig.litres
    own = display.litres if display else None
    added = branch_flows(rig, pipes or {})
    places = []
    for vessel in rig.vessels:
        if vessel.litres:
            places.append(_place(vessel.name, vessel.litres, to_display))
        if vessel == rig.return_vessel and vessel.water is not None:
            for section, (area, depth) in zip(vessel.sections, vessel.parts, strict=False):
                name = f"{vessel.name}/{section.name}"
                flow = to_display + added.get(name, 0.0)
                places.append(_place(name, 1000 * area * depth, flow))
    places += [_place(zone.name, zone.volume, zone.flow) for zone in rig.zones]
    skimming = tuple(
        Skimming(
            pump.name,
            pump.flow,
            second_pass_share(pump.flow, to_display, again=added.get(pump.place, 0.0)),
        )
        for pump in rig.pumps
        if pump.role == "skimmer" and pump.flow
    )
    return Exchange(
        to_display / whole if whole else None, to_display / own if own else None, skimming,
        tuple(places),
    )  # fmt: skip


def branch_flows(rig: Rig, pipes: Mapping[str, float]) -> dict[str, float]:
    """What branches bring back to each section of the sump, with all that came in before it."""
    sump = rig.vessel("sump")
    if sump is None:
        return {}
    found, so_far = {}, 0.0
    for section in sump.sections:
        name = f"{sump.name}/{section.name}"
        so_far += sum(max(pipes.get(p.name, 0.0), 0.0) for p in rig.pipes if p.end == name)
        found[name] = so_far
    return found


def _place(name: str, litres: float, flow: float) -> Place:
    return Place(name, litres, flow, litres / flow if flow > 0 else None)
