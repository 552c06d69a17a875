"""Levels that run away: a blocked drain, a top-off that doesn't stop or doesn't start.

Volumes in L, flows in L/h, times in h, depths in m, salinity in PSU.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.lifesupport.basins import Basin, basin, return_section
from brinebook.rig import Rig, Vessel
from brinebook.texts import say


@dataclass(frozen=True, slots=True)
class BlockedDrain:
    """Nothing leaves the display while the pump goes on, and the top-off with it."""

    room: float  # litres until the display's rim
    from_section: float  # litres that the pump has before it draws air
    from_top_off: float  # litres that the top-off adds meanwhile
    over: float  # litres over the display's rim
    hours_to_rim: float | None  # None: it never gets there
    hours_to_dry: float  # until the pump first draws air


@dataclass(frozen=True, slots=True)
class Hour:
    """One hour of a course: the return section's depth, the salinity, litres on the floor."""

    hours: float
    depth: float
    salinity: float
    spilt: float


@dataclass(frozen=True, slots=True)
class Course:
    """What happens hour by hour, and when the event comes that ends it."""

    hours: tuple[Hour, ...]
    ends_at: float | None  # h: the reservoir is empty, or the pump draws air
    ends_with: str
    salinity: float  # when it has ended, all mixed
    spilt: float  # litres on the floor by then


def blocked_drain(
    rig: Rig, flow: float, *, carried: float = 0.0, top_off: float | None = None
) -> BlockedDrain | None:
    """The display fills with what the pump can reach; ``carried`` still leaves by other drains.

    The return section falls, so the top-off runs until its reservoir is empty or something stops
    it; ``top_off`` stands in for what the reservoir holds. Where the pump stands in a section of
    the display, the rest of it fills. None without a display and a section to pump from.
    """
    display = rig.vessel("display")
    held, section = (basin(display) if display else None), return_section(rig)
    if display is None or held is None or section is None or flow <= 0:
        return None
    if rig.return_vessel is display:
        held = _without(held, section.area, section.depth)
    room = held.room(held.rim) + box_room(rig)
    water, rate = section.until_dry, 0.0
    fresh = 0.0
    if rig.top_off is not None:
        fresh = rig.top_off.reservoir if top_off is None else top_off
        rate = rig.top_off.flow
        if rig.top_off.longest_run is not None:
            fresh = min(fresh, rate * rig.top_off.longest_run)
    net = flow - carried
    if net <= 0:
        return BlockedDrain(room, water, fresh, 0.0, None, float("inf"))
    hours_to_dry = time_to_dry(water, fresh, rate, net)
    arrives = water + fresh
    return BlockedDrain(
        room, water, fresh, max(arrives - room, 0.0),
        time_to_rise(room, water, fresh, rate=rate, net=net), hours_to_dry,
    )  # fmt: skip


def _without(held: Basin, area: float, depth: float) -> Basin:
    """The basin without one of its parts."""
    parts = list(zip(held.areas, held.depths, strict=True))
    parts.remove((area, depth))
    return Basin(held.name, tuple(a for a, _ in parts), tuple(d for _, d in parts), held.rim)


def time_to_dry(water: float, fresh: float, rate: float, net: float) -> float:
    """Hours until a section of so much water is dry, a reservoir filling it meanwhile."""
    if rate <= 0 or fresh <= 0:
        return water / net
    if rate >= net:  # the top-off keeps up until it is empty
        return fresh / rate + (water + (rate - net) * fresh / rate) / net
    emptied = water / (net - rate)
    return emptied if rate * emptied <= fresh else (water + fresh) / net


def time_to_rise(
    room: float, water: float, fresh: float, *, rate: float, net: float
) -> float | None:
    """Hours until so much has come up: as the pump can while it has water, then as the top-off.

    None where it never does.
    """
    if water + fresh < room:
        return None
    dry = time_to_dry(water, fresh, rate, net)
    return room / net if room <= net * dry else dry + (room - net * dry) / rate


def box_room(rig: Rig) -> float:
    """Litres that the boxes behind weirs take before they stand as high as the display."""
    return 1000.0 * sum(weir.box_area * weir.box_drains for weir in rig.weirs)


def top_off_stuck_on(rig: Rig, *, litres: float | None = None, hours: int = 24) -> Course | None:
    """The reservoir runs into the sump until it is empty.

    What no longer fits under the sump's rim is lost with the salt in it; the rest dilutes. Without
    a sump it runs into the display. None without a top-off or a vessel.
    """
    filled, volume = filled_vessel(rig), litres or rig.litres
    held = basin(filled) if filled else None
    if rig.top_off is None or held is None or not volume or rig.top_off.flow <= 0:
        return None
    rate, whole = rig.top_off.flow, rig.top_off.reservoir
    if rig.top_off.longest_run is not None:
        whole = min(whole, rate * rig.top_off.longest_run)
    room = held.room(held.rim)

    def at(hour: float) -> Hour:
        added = min(rate * hour, whole)
        spilt = max(added - room, 0.0)
        return Hour(hour, held.after(added - spilt), _diluted(rig.salinity, volume, added, room),
                    spilt)  # fmt: skip

    end = at(whole / rate)
    return Course(
        tuple(at(float(hour)) for hour in range(hours + 1)),
        whole / rate,
        say("the reservoir is empty"),
        end.salinity,
        end.spilt,
    )


def filled_vessel(rig: Rig) -> Vessel | None:
    """The vessel that the top-off fills: the sump, or the display that stands by itself."""
    return rig.vessel("sump") or rig.vessel("display")


def _diluted(salinity: float, volume: float, added: float, room: float) -> float:
    """Salinity with fresh water mixed in; once the sump is full, as much mixed water leaves."""
    kept = min(added, room)
    mixed = salinity * volume / (volume + kept)
    return mixed * math.exp(-max(added - room, 0.0) / (volume + room))


def top_off_stuck_off(
    rig: Rig, evaporation: float, *, litres: float | None = None, hours: int = 96
) -> Course | None:
    """Nothing replaces what evaporates (L/day) until the return pump draws air.

    Only the return section falls, since the others are held by their walls. None without one.
    """
    section, volume = return_section(rig), litres or rig.litres
    if section is None or not volume or evaporation <= 0:
        return None
    rate = evaporation / 24.0
    dry = section.until_dry / rate

    def at(hour: float) -> Hour:
        gone = min(rate * hour, section.until_dry)
        return Hour(hour, section.depth - gone / (1000.0 * section.area),
                    rig.salinity * volume / (volume - gone), 0.0)  # fmt: skip

    return Course(
        tuple(at(float(hour)) for hour in range(0, hours + 1, max(hours // 24, 1))),
        dry,
        say("the return pump draws air"),
        at(dry).salinity,
        0.0,
    )
