"""What can't stand as described: water over a rim, sections longer than their vessel, and so on.

Each is a slip of the tape or of a unit, and would give answers that look like answers.
"""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.rig import Nozzle, Rig, Vessel

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
                f"it cuts out at {heater.cut_out:g} °C, under the {set_at:g} °C of the rest",
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
            yield f"{inner}.baffle", f"a wall of {_cm(section.baffle)} stands over its rim"
    together = sum(section.length for section in vessel.sections)
    if together > vessel.length * 1.02 + _TAPE:
        yield (
            f"{where}.length",
            f"its sections are {_cm(together)} long together, and it is {_cm(vessel.length)}",
        )
    holds = None if vessel.water is None else 1000.0 * vessel.surface * vessel.water
    if holds is not None and vessel.displaced > holds:
        yield (
            f"{where}.displaced",
            f"{vessel.displaced:.0f} L displaced are more than the {holds:.0f} L that it holds",
        )


def _nozzle(read: Rig, nozzle: Nozzle) -> Iterator[_Fault]:
    where = f"plumbing.nozzles[{nozzle.name}]"
    if nozzle.hole is not None and nozzle.hole > nozzle.mouth + _TAPE:
        yield (
            f"{where}.hole",
            f"a hole {_cm(nozzle.hole)} down lies under the mouth, {_cm(nozzle.mouth)} down, and "
            "breaks nothing",
        )
    depth = _depth_at_end(read, nozzle.pipe)
    if depth is not None and nozzle.mouth > depth + _TAPE:
        yield (
            f"{where}.mouth",
            f"{_cm(nozzle.mouth)} below the running level is under the floor: the water is "
            f"{_cm(depth)} deep",
        )


def _pipes(read: Rig) -> Iterator[_Fault]:
    for pipe in read.pipes:
        depth = _depth_at_end(read, pipe.name)
        if pipe.mouth is not None and depth is not None and pipe.mouth > depth + _TAPE:
            yield (
                f"plumbing.pipes[{pipe.name}].mouth",
                f"{_cm(pipe.mouth)} below the running level is under the floor: the water is "
                f"{_cm(depth)} deep",
            )


def _weirs(read: Rig) -> Iterator[_Fault]:
    for weir in read.weirs:
        vessel = next((one for one in read.vessels if one.name == weir.vessel), None)
        if vessel is None:
            continue
        where = f"plumbing.weirs[{weir.name}]"
        if weir.crest is not None and weir.crest > vessel.height + _TAPE:
            yield f"{where}.crest", f"an edge at {_cm(weir.crest)} stands over the rim"
        around = 2.0 * (vessel.length + vessel.width)
        if vessel.area is None and weir.length > around:
            yield f"{where}.length", f"{_cm(weir.length)} is more than all the way round it"


def _depth_at_end(read: Rig, pipe: str) -> float | None:
    end = next((one.end for one in read.pipes if one.name == pipe), "")
    vessel = next((one for one in read.vessels if one.name == end), None)
    return None if vessel is None else vessel.water


def _over(water: float, vessel: Vessel) -> str:
    return f"{_cm(water)} of water don't fit under a rim of {_cm(vessel.height)}"


def _cm(metres: float) -> str:
    return f"{100.0 * metres:.3g} cm"
