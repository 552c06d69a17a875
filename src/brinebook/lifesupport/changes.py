"""The same rig with one thing changed, for “what if I did that”. Depths in m, volumes in L."""

from __future__ import annotations

from dataclasses import replace

from brinebook.lifesupport.basins import return_section
from brinebook.rig import Rig, Vessel


def with_return_depth(rig: Rig, depth: float) -> Rig:
    """The return section (the whole sump, without sections) runs at another depth."""
    section = return_section(rig)
    if section is None:
        return rig

    def lowered(vessel: Vessel) -> Vessel:
        if vessel.role != "sump":
            return vessel
        if not vessel.sections:
            return replace(vessel, water=depth)
        place = next((p.place.partition("/")[2] for p in rig.pumps if p.role == "return"), "")
        sections = tuple(
            replace(one, water=depth)
            if one.name == place or (not place and one.role == "return")
            else one
            for one in vessel.sections
        )
        return replace(vessel, sections=sections)

    return replace(rig, vessels=tuple(lowered(vessel) for vessel in rig.vessels))


def with_reservoir(rig: Rig, litres: float) -> Rig:
    """The top-off's reservoir holds so much."""
    if rig.top_off is None:
        return rig
    return replace(rig, top_off=replace(rig.top_off, reservoir=litres))


def with_longest_run(rig: Rig, hours: float) -> Rig:
    """Something stops the top-off after so many hours."""
    if rig.top_off is None:
        return rig
    return replace(rig, top_off=replace(rig.top_off, longest_run=hours))


def with_mouths(rig: Rig, depth: float) -> Rig:
    """No nozzle lies deeper than this below the running level."""
    nozzles = tuple(replace(one, mouth=min(one.mouth, depth)) for one in rig.nozzles)
    pipes = tuple(
        pipe if pipe.mouth is None else replace(pipe, mouth=min(pipe.mouth, depth))
        for pipe in rig.pipes
    )
    return replace(rig, nozzles=nozzles, pipes=pipes)


def with_pump_intake(rig: Rig, depth: float) -> Rig:
    """The return pump draws air already at this depth of water."""
    pumps = tuple(replace(p, intake=depth) if p.role == "return" else p for p in rig.pumps)
    return replace(rig, pumps=pumps)
