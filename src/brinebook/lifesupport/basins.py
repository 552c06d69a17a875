"""How much more a sump or a display takes, and how high it then stands.

Heights are above the vessel's own inside floor in m, volumes in L.
"""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.rig import Rig, Vessel


@dataclass(frozen=True, slots=True)
class Basin:
    """A vessel as areas (m2) with the depth of water that each runs at, under one rim."""

    name: str
    areas: tuple[float, ...]
    depths: tuple[float, ...]
    rim: float

    @property
    def area(self) -> float:
        """The whole surface, m2."""
        return sum(self.areas)

    def room(self, height: float) -> float:
        """How many litres more it holds until every part stands at this height."""
        return 1000.0 * sum(
            area * max(height - depth, 0.0)
            for area, depth in zip(self.areas, self.depths, strict=True)
        )

    def after(self, litres: float) -> float:
        """The height at which so much more water stands; the lowest part fills first.

        Above the rim it goes on as if the walls did, so that what is over can be told.
        """
        parts = sorted(zip(self.depths, self.areas, strict=True))
        left, level, area = litres / 1000.0, parts[0][0], 0.0
        for at, (depth, one) in enumerate(parts):
            level, area = depth, area + one
            following = parts[at + 1][0] if at + 1 < len(parts) else float("inf")
            if left <= area * (following - level):
                return level + left / area
            left -= area * (following - level)
        return level

    def over(self, litres: float, height: float) -> float:
        """How many litres of so much more water lie over this height."""
        return max(litres - self.room(height), 0.0)


def basin(vessel: Vessel) -> Basin | None:
    """A described vessel as a basin; None where its depth isn't told, or is nothing.

    Gear in a sump takes its share of every depth; a display's top is taken as clear.
    """
    if not vessel.water:
        return None
    share = 1.0
    if vessel.role == "sump" and vessel.displaced > 0:
        gross = 1000.0 * vessel.surface * vessel.water
        share = max(1.0 - vessel.displaced / gross, 0.1)
    areas = tuple(share * area for area, _ in vessel.parts)
    return Basin(vessel.name, areas, tuple(depth for _, depth in vessel.parts), vessel.height)


@dataclass(frozen=True, slots=True)
class ReturnSection:
    """Where the return pump stands: its surface (m2), running depth and the pump's intake (m)."""

    area: float
    depth: float
    intake: float
    baffle: float | None  # of the wall to the section before it, where that is lower than the rim

    @property
    def until_dry(self) -> float:
        """Litres until the pump draws air."""
        return 1000.0 * self.area * max(self.depth - self.intake, 0.0)


def return_section(rig: Rig) -> ReturnSection | None:
    """The part whose level floats with evaporation; the whole sump without sections."""
    vessel = rig.return_vessel
    held = basin(vessel) if vessel else None
    if vessel is None or held is None:
        return None
    pump = next((one for one in rig.pumps if one.role == "return"), None)
    intake = pump.intake if pump else 0.05
    place = pump.place.partition("/")[2] if pump and pump.place else ""
    for at, section in enumerate(vessel.sections):
        if section.name == place or (not place and section.role == "return"):
            before = vessel.sections[at - 1].baffle if at else None
            return ReturnSection(held.areas[at], held.depths[at], intake, before)
    return ReturnSection(held.area, held.depths[0], intake, None)
