"""What helps against water that comes down when a return pump stops, reckoned anew for each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from brinebook.lifesupport.changes import (
    with_holes,
    with_mouths,
    with_reservoir,
    with_return_depth,
)
from brinebook.lifesupport.drain_back import DrainBack, DrainBacks, drain_backs, paths
from brinebook.lifesupport.drill import Remedy
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.water_harm import harm_on_floor, reservoir_litres
from brinebook.rig import Rig
from brinebook.texts import say

#: How far a nozzle is put under the water when it is put higher, and how deep a new siphon-break
#: hole is drilled, m.
_HIGH_MOUTH, _NEW_HOLE = 0.02, 0.015


def over_with_reservoir(rig: Rig, flow: Range) -> float:
    """Litres over the sump's rim with the reservoir in it when the worst comes down."""
    found = drain_backs(rig, flow)
    if found is None:
        return 0.0
    down = max(case.litres.value for case in found.cases)
    return max(down + reservoir_litres(rig) - found.room_to_rim, 0.0)


def against_run_on(rig: Rig, flow: Range, found: DrainBacks, worst: DrainBack) -> Iterator[Remedy]:
    """What helps where a top-off has run on before the pump stops."""
    room = max(found.room_to_rim - worst.litres.value, 0.0)
    if room > 0:
        left = harm_on_floor(over_with_reservoir(with_reservoir(rig, room), flow))
        told = say("then all of it fits with what comes down")
        yield Remedy(say("a reservoir of {room:.0f} L", room=room), 1, left, None, told)
    alone = harm_on_floor(worst.over_rim)
    told = say("{over_rim:.0f} L over the rim by the pump alone", over_rim=worst.over_rim)
    yield Remedy(
        say("a second float above the first, that only ever stops it"), 1, alone, None, told
    )
    deep = _deep_ends(rig)
    if deep:
        over = over_with_reservoir(with_mouths(rig, _HIGH_MOUTH), flow)
        told = say("{over_rim:.0f} L over the rim", over_rim=over)
        yield Remedy(_put_higher(deep), 0, harm_on_floor(over), None, told)


def _put_higher(deep: str) -> str:
    return say(
        "put {deep} {high_mouth:.0f} cm under the surface", deep=deep, high_mouth=100 * _HIGH_MOUTH
    )


def _deep_ends(rig: Rig) -> str:
    """“the nozzles' mouths”, or the pipes that end deep without one; empty where none does."""
    nozzles = [nozzle for nozzle in rig.nozzles if nozzle.mouth > _HIGH_MOUTH]
    ended = {nozzle.pipe for nozzle in rig.nozzles}
    pipes = [
        say("the end of {pipe}", pipe=pipe.name)
        for pipe in rig.pipes
        if pipe.mouth is not None and pipe.mouth > _HIGH_MOUTH and pipe.name not in ended
    ]
    return say(" and ").join([*([say("the nozzles' mouths")] if nozzles else []), *pipes])


def against_drain_back(
    rig: Rig, flow: Range, found: DrainBacks, case: DrainBack
) -> Iterator[Remedy]:
    """What helps: a lower mark, higher mouths; each reckoned with the same holes blocked."""
    if case.over_mark <= 0:
        return
    clear = found.cases[0]
    if len(case.blocked) == 1 and clear.over_mark < case.over_mark:
        yield Remedy(
            say(
                "a second siphon-break hole beside the {hole}, so that one snail can't close both",
                hole=case.blocked[0],
            ),
            1,
            harm_on_floor(clear.over_rim) or (1 if clear.over_mark > 0 else 0),
            None,
            say("{litres:.0f} L come down while one of them is clear", litres=clear.litres.value),
        )
    for text, effort, changed in _changes(rig, found, case):
        again = drain_backs(changed, flow)
        if again is None:
            continue
        same = (one for one in again.cases if one.blocked == case.blocked)
        after = next(same, again.cases[-1])
        told = say(
            "{litres:.0f} L come down, {over_rim:.0f} L over the rim",
            litres=after.litres.value,
            over_rim=after.over_rim,
        )
        harm = harm_on_floor(after.over_rim) or (1 if after.over_mark > 1e-6 else 0)
        yield Remedy(text, effort, harm, None, told)


def _changes(
    rig: Rig, found: DrainBacks, case: DrainBack
) -> Iterator[tuple[str, Literal[0, 1, 2], Rig]]:
    """Changed rigs to try, each with its words and effort."""
    if found.highest_depth is not None and found.highest_depth < found.running_depth:
        depth = found.highest_depth
        mark = say(
            "mark the return section at {depth:.1f} cm and fill no higher", depth=100 * depth
        )
        yield mark, 0, with_return_depth(rig, depth)
    deep = _deep_ends(rig)
    if deep:
        yield _put_higher(deep), 0, with_mouths(rig, _HIGH_MOUTH)
    unbroken = [
        opening.name
        for path in paths(rig)
        if not any(one.is_hole for one in path.openings)
        for opening in path.openings
    ]
    if not case.blocked and unbroken:
        drilled = say(
            "drill a siphon-break hole {new_hole:.1f} cm under the running level into {unbroken}",
            new_hole=100 * _NEW_HOLE,
            unbroken=say(" and ").join(unbroken),
        )
        yield drilled, 1, with_holes(rig, _NEW_HOLE)
