"""What can't stand as described: water over a rim, sections longer than their vessel, and so on.

Each is a slip of the tape or of a unit, and would give answers that look like answers.
"""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.rig import Nozzle, Rig, Vessel
from brinebook.texts import say

#: A length may be off by this where two of them are held against each other, m: a tape.
_TAPE = 0.005

_Fault = tuple[str, str]


def contradictions(read: Rig) -> Iterator[_Fault]:
    """Each as the key that is likely wrong, and why."""
    for vessel in read.vessels:
        yield from _vessel(vessel)
    for nozzle in read.nozzles:
        yield from _nozzle(read, nozzle)
    yield from _pipes(read)
    yield from _weirs(read)
    for heater in read.heaters:
        set_at = read.temperature if heater.set_at is None else heater.set_at
        if heater.cut_out is not None and heater.cut_out < set_at:
            where = f"heat.heaters[{heater.name}].cut_out"
            yield (
                where,
                say(
                    "it cuts out at {cut_out:g} °C, under the {set_at:g} °C of the rest",
                    cut_out=heater.cut_out,
                    set_at=set_at,
                ),
            )


def _vessel(vessel: Vessel) -> Iterator[_Fault]:
    where = f"vessels[{vessel.name}]"
    rim = vessel.height + _TAPE
    if vessel.water is not None and vessel.water > rim:
        yield f"{where}.water", _over(vessel.water, vessel)
    for section in vessel.sections:
        inner = f"{where}.sections[{section.name}]"
        if section.water is not None and section.water > rim:
            yield f"{inner}.water", _over(section.water, vessel)
        if section.baffle is not None and section.baffle > rim:
            yield (
                f"{inner}.baffle",
                say("a wall of {cm} stands over its rim", cm=_cm(section.baffle)),
            )
    together = sum(section.length for section in vessel.sections)
    if together > vessel.length * 1.02 + _TAPE:
        yield (
            f"{where}.length",
            say(
                "its sections are {cm} long together, and it is {cm_length}",
                cm=_cm(together),
                cm_length=_cm(vessel.length),
            ),
        )
    holds = None if vessel.water is None else 1000.0 * vessel.surface * vessel.water
    if holds is not None and vessel.displaced > holds:
        yield (
            f"{where}.displaced",
            say(
                "{displaced:.0f} L displaced are more than the {holds:.0f} L that it holds",
                displaced=vessel.displaced,
                holds=holds,
            ),
        )


def _nozzle(read: Rig, nozzle: Nozzle) -> Iterator[_Fault]:
    where = f"plumbing.nozzles[{nozzle.name}]"
    if nozzle.hole is not None and nozzle.hole > nozzle.mouth + _TAPE:
        yield (
            f"{where}.hole",
            say(
                "a hole {cm} down lies under the mouth, {cm_mouth} down, and breaks nothing",
                cm=_cm(nozzle.hole),
                cm_mouth=_cm(nozzle.mouth),
            ),
        )
    yield from _mouth(where, nozzle.mouth, _depth_at_end(read, nozzle.pipe))


def _pipes(read: Rig) -> Iterator[_Fault]:
    for pipe in read.pipes:
        where = f"plumbing.pipes[{pipe.name}]"
        if pipe.begin == pipe.end:
            yield f"{where}.to", say("it ends where it begins, at {end!r}", end=pipe.end)
        yield from _mouth(where, pipe.mouth, _depth_at_end(read, pipe.name))


def _mouth(where: str, mouth: float | None, depth: float | None) -> Iterator[_Fault]:
    """A mouth so far below the running level has to be in the water, where its depth is known."""
    if mouth is not None and depth is not None and mouth > depth + _TAPE:
        yield (
            f"{where}.mouth",
            say(
                "{cm} below the running level is under the floor: the water is {cm_depth} deep",
                cm=_cm(mouth),
                cm_depth=_cm(depth),
            ),
        )


def _weirs(read: Rig) -> Iterator[_Fault]:
    for weir in read.weirs:
        vessel = next((one for one in read.vessels if one.name == weir.vessel), None)
        if vessel is None:
            continue
        where = f"plumbing.weirs[{weir.name}]"
        if weir.crest is not None and weir.crest > vessel.height + _TAPE:
            yield f"{where}.crest", say("an edge at {cm} stands over the rim", cm=_cm(weir.crest))
        around = 2.0 * (vessel.length + vessel.width)
        if vessel.area is None and weir.length > around:
            yield (
                f"{where}.length",
                say("{cm} is more than all the way round it", cm=_cm(weir.length)),
            )


def _depth_at_end(read: Rig, pipe: str) -> float | None:
    end = next((one.end for one in read.pipes if one.name == pipe), "")
    vessel = next((one for one in read.vessels if one.name == end), None)
    return None if vessel is None else vessel.water


def _over(water: float, vessel: Vessel) -> str:
    return say(
        "{cm} of water don't fit under a rim of {cm_height}",
        cm=_cm(water),
        cm_height=_cm(vessel.height),
    )


def _cm(metres: float) -> str:
    return f"{100.0 * metres:.3g} cm"
