"""The same rig with one thing changed, for “what if I did that”. Depths in m, volumes in L."""

from __future__ import annotations

from dataclasses import replace

from brinebook.lifesupport.basins import return_section
from brinebook.rig import Nozzle, Rig, Vessel


def with_return_depth(rig: Rig, depth: float) -> Rig:
    """The return section (the whole sump, without sections) runs at another depth."""
    floats = rig.return_vessel
    if floats is None or return_section(rig) is None:
        return rig

    def lowered(vessel: Vessel) -> Vessel:
        if vessel.name != floats.name:
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


def with_holes(rig: Rig, depth: float) -> Rig:
    """A siphon-break hole at this depth in every end under water that has none."""
    nozzles = [replace(n, hole=min(depth, n.mouth)) if n.hole is None else n for n in rig.nozzles]
    ended = {nozzle.pipe for nozzle in rig.nozzles}
    pipes = []
    for pipe in rig.pipes:
        if pipe.mouth is None or pipe.height is not None or pipe.name in ended:
            pipes.append(pipe)
            continue
        nozzles.append(Nozzle(pipe.name, pipe.name, pipe.mouth, hole=min(depth, pipe.mouth)))
        pipes.append(replace(pipe, mouth=None))
    return replace(rig, nozzles=tuple(nozzles), pipes=tuple(pipes))


def without_pump(rig: Rig, name: str) -> Rig:
    """The rig without one pump, and without the pipes that begin at it."""
    return replace(
        rig,
        pumps=tuple(pump for pump in rig.pumps if pump.name != name),
        pipes=tuple(pipe for pipe in rig.pipes if pipe.begin != name),
    )


def with_pump_intake(rig: Rig, depth: float) -> Rig:
    """The return pump draws air already at this depth of water."""
    pumps = tuple(replace(p, intake=depth) if p.role == "return" else p for p in rig.pumps)
    return replace(rig, pumps=pumps)
