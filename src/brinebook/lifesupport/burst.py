"""A joint that lets go: how fast, until when, and how much ends up on the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from brinebook.lifesupport.basins import basin, return_section
from brinebook.lifesupport.drain_back import paths, pipe_litres
from brinebook.lifesupport.fluid import seawater
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.loop import LITRES_AN_HOUR, network_of, surface_heights
from brinebook.lifesupport.network import Network, solve
from brinebook.lifesupport.openings import SHARP_HOLE
from brinebook.rig import Rig


@dataclass(frozen=True, slots=True)
class Burst:
    """What leaves at a joint while the pump runs, and what follows when it has run dry."""

    place: str
    bore: float
    litres_a_minute: float
    minutes: float  # until the pump draws air
    by_pump: float  # litres: the return section down to the intake, and what the top-off adds
    by_siphon: float  # litres that run back from the display and out, at the worst
    from_sump: float  # litres of the sump that stand above the joint
    sump_depth: float  # where the return section ends up

    @property
    def litres(self) -> float:
        """All that may end up on the floor."""
        return self.by_pump + self.by_siphon + self.from_sump


def burst(rig: Rig, place: str, *, share: float = 1.0) -> Burst | None:
    """A joint or device lets go over a share of its pipe's open area.

    None where the place isn't described or no pump is there. The display's part is the worst case:
    every siphon-break hole blocked, and nothing of what runs back finds its way into the sump.
    """
    heights = _heights(rig)
    section = return_section(rig)
    opened = _opened(rig, place, share=share)
    if opened is None or section is None or not opened.lifters or rig.vessel("sump") is None:
        return None
    bore = opened.runs[-1].bore
    flow = LITRES_AN_HOUR * solve(opened, seawater(rig.salinity, rig.temperature)).flows["burst"]
    rate = rig.top_off.flow if rig.top_off else 0.0
    fresh = rig.top_off.reservoir if rig.top_off else 0.0
    hours = section.until_dry / max(flow - rate, 1e-9) if flow > 0 else math.inf
    added = min(fresh, rate * hours) if math.isfinite(hours) else fresh
    by_pump = section.until_dry + added if flow > 0 else 0.0
    return Burst(
        place, bore, flow / 60.0, 60.0 * hours, by_pump, _by_siphon(rig, place),
        _from_sump(rig, heights[place]), section.intake if flow > 0 else section.depth,
    )  # fmt: skip


def rest_flow(rig: Rig, place: str) -> float:
    """What leaves at a joint that has let go while the pump rests, L/h: back from the display."""
    opened = _opened(rig, place, share=1.0)
    if opened is None:
        return 0.0
    resting = replace(opened, lifters=())
    solved = solve(resting, seawater(rig.salinity, rig.temperature))
    return max(LITRES_AN_HOUR * solved.flows["burst"], 0.0)


def _heights(rig: Rig) -> dict[str, float]:
    heights = {joint.name: joint.height for joint in rig.joints}
    heights.update({device.name: device.height for device in rig.devices})
    return heights


def _opened(rig: Rig, place: str, *, share: float) -> Network | None:
    """The rig with a hole onto the floor at this place, its last run; None where it isn't told."""
    heights = _heights(rig)
    node = f"{place}/in" if any(one.name == place for one in rig.devices) else place
    bores = [pipe.bore for pipe in rig.pipes if place in (pipe.begin, pipe.end)]
    if place not in heights or not bores:
        return None
    bore, network = max(bores) * math.sqrt(share), network_of(rig)
    outlet = Run("burst", node, "the floor", bore, 0.0, loss=1.0 / SHARP_HOLE**2, one_way=True)
    heads = {**network.heads, "the floor": heights[place]}
    return replace(network, runs=(*network.runs, outlet), heads=heads)


def _by_siphon(rig: Rig, place: str) -> float:
    display = rig.vessel("display")
    held = basin(display) if display else None
    joined = [one for one in paths(rig) if any(place in (p.begin, p.end) for p in one.pipes)]
    if held is None or not joined:
        return 0.0
    holes = frozenset(o.name for path in joined for o in path.openings if o.is_hole)
    fall = max(path.falls(holes) for path in joined)
    drains = pipe_litres(replace(rig, drains=()), tuple(joined))
    return 1000.0 * held.area * fall + drains


def _from_sump(rig: Rig, height: float) -> float:
    """What of the sump stands above a joint under its level, once the pump has stopped."""
    sump = rig.vessel("sump")
    levels = surface_heights(rig)
    if sump is None or sump.name not in levels or height >= levels[sump.name]:
        return 0.0
    section = return_section(rig)
    bottom = max(height - sump.floor, 0.0)
    return 1000.0 * section.area * max(section.intake - bottom, 0.0) if section else 0.0
