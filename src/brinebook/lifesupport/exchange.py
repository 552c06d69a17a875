"""How often the water comes round, what is skimmed twice, which corners are passed by.

Volumes in L, flows in L/h, times in h.
"""

from __future__ import annotations

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


def second_pass_share(throughput: float, through: float) -> Range:
    """Share of a skimmer's throughput that it has had before, at a flow through its section.

    One mixed section: treated water is made at q u and leaves at Q, so u = Q/(Q + q) of it is new.
    In a row: what comes beyond the section's own flow Q can only be old, 1 - Q/q.
    """
    mixed = throughput / (through + throughput)
    in_a_row = max(0.0, 1.0 - through / throughput) if throughput > 0 else 0.0
    return Range((mixed + in_a_row) / 2, in_a_row, mixed)


def exchange(rig: Rig, to_display: float, *, litres: float | None = None) -> Exchange:
    """What the flow to the display (L/h) makes of every volume that is told."""
    display = rig.vessel("display")
    whole = litres or rig.litres
    own = display.litres if display else None
    places = []
    for vessel in rig.vessels:
        if vessel.litres:
            places.append(_place(vessel.name, vessel.litres, to_display))
        if vessel.role == "sump" and vessel.water is not None:
            for section, (area, depth) in zip(vessel.sections, vessel.parts, strict=False):
                places.append(
                    _place(f"{vessel.name}/{section.name}", 1000 * area * depth, to_display)
                )
    places += [_place(zone.name, zone.volume, zone.flow) for zone in rig.zones]
    skimming = tuple(
        Skimming(pump.name, pump.flow, second_pass_share(pump.flow, to_display))
        for pump in rig.pumps
        if pump.role == "skimmer" and pump.flow
    )
    return Exchange(
        to_display / whole if whole else None, to_display / own if own else None, skimming,
        tuple(places),
    )  # fmt: skip


def _place(name: str, litres: float, flow: float) -> Place:
    return Place(name, litres, flow, litres / flow if flow > 0 else None)
