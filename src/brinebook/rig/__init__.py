"""The rig as described: frozen nouns in canonical units, each figure's origin beside it.

Read from system.toml by ``brinebook.book.description_rig``; used by ``brinebook.lifesupport``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from brinebook.rig.air_side import (
    Cabinet,
    Circuit,
    Cooler,
    Fan,
    Floor,
    Heater,
    Lamp,
    Load,
    Reserve,
    Room,
    Socket,
    Stock,
)
from brinebook.rig.origin import Assumed, Missing, Origin
from brinebook.rig.water_side import (
    Bed,
    Device,
    Doser,
    Drain,
    Joint,
    Nozzle,
    Pipe,
    Pump,
    Section,
    TopOff,
    Valve,
    Vessel,
    Weir,
    Zone,
)

__all__ = [
    "Assumed",
    "Bed",
    "Cabinet",
    "Circuit",
    "Cooler",
    "Device",
    "Doser",
    "Drain",
    "Fan",
    "Floor",
    "Heater",
    "Joint",
    "Lamp",
    "Load",
    "Missing",
    "Nozzle",
    "Origin",
    "Pipe",
    "Pump",
    "Reserve",
    "Rig",
    "Room",
    "Section",
    "Socket",
    "Stock",
    "TopOff",
    "Valve",
    "Vessel",
    "Weir",
    "Zone",
]

_NO_CHANCES: Mapping[str, float] = MappingProxyType({})
_NO_ORIGINS: Mapping[str, Assumed] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Rig:
    """Everything under and over the stand that the keeper described."""

    vessels: tuple[Vessel, ...] = ()
    pumps: tuple[Pump, ...] = ()
    pipes: tuple[Pipe, ...] = ()
    joints: tuple[Joint, ...] = ()
    devices: tuple[Device, ...] = ()
    weirs: tuple[Weir, ...] = ()
    drains: tuple[Drain, ...] = ()
    nozzles: tuple[Nozzle, ...] = ()
    top_off: TopOff | None = None
    dosers: tuple[Doser, ...] = ()
    zones: tuple[Zone, ...] = ()
    lift: float | None = None  # from the return section's water to the display's, m
    margin: float = 0.02  # of the sump's rim that is kept dry, m
    evaporation: float | None = None  # L/day, as the keeper measures it
    heat_loss: float | None = None  # by walls, surface and pipes without vapour, W/K, as measured
    air_speed: float = 0.1  # over the display's surface, m/s
    temperature: float = 25.0  # of the water
    salinity: float = 35.0
    heaters: tuple[Heater, ...] = ()
    fans: tuple[Fan, ...] = ()
    coolers: tuple[Cooler, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    room: Room | None = None
    cabinet: Cabinet | None = None
    circuits: tuple[Circuit, ...] = ()
    sockets: tuple[Socket, ...] = ()
    loads: tuple[Load, ...] = ()
    price: float | None = None  # of a kWh, in the keeper's currency
    reserve: Reserve | None = None
    stock: Stock | None = None
    floor: Floor | None = None
    chances: Mapping[str, float] = field(default_factory=lambda: _NO_CHANCES)  # of drills, a year
    assumed: Mapping[str, Assumed] = field(default_factory=lambda: _NO_ORIGINS)
    missing: tuple[Missing, ...] = ()  # most valuable first

    def origin(self, where: str) -> Origin:
        """Where the figure under this key comes from."""
        if where in self.assumed:
            return "assumed"
        return "missing" if any(where == one.where for one in self.missing) else "given"

    def vessel(self, role: str) -> Vessel | None:
        """The first vessel of a role, such as ``display``."""
        return next((one for one in self.vessels if one.role == role), None)

    @property
    def return_vessel(self) -> Vessel | None:
        """The sump; without one, a display with the return pump in a section of its own."""
        sump, display = self.vessel("sump"), self.vessel("display")
        if sump is not None or display is None:
            return sump
        inside = {f"{display.name}/{section.name}" for section in display.sections}
        own = any(pump.role == "return" and pump.place in inside for pump in self.pumps)
        return display if own else None

    @property
    def litres(self) -> float | None:
        """What all vessels hold by their glass; None where a size or a depth isn't told."""
        if any(one.where.startswith("vessels[") for one in self.missing):
            return None  # a vessel that doesn't count would be water left out
        found = [vessel.litres for vessel in self.vessels]
        told = [litres for litres in found if litres is not None]
        return sum(told) if found and len(told) == len(found) else None

    @property
    def is_described(self) -> bool:
        """Whether anything at all was said of the rig."""
        return bool(self.vessels or self.pumps or self.heaters or self.circuits)
