"""Drills of water: every failure of what holds and moves it, and the pairs that feed each other."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.lifesupport.burst_drills import joints_burst
from brinebook.lifesupport.drill import Drill, Remedy, Within
from brinebook.lifesupport.flood_drills import drains_block
from brinebook.lifesupport.flows_answer import return_flow
from brinebook.lifesupport.loop import network_of
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.still_display import stilled
from brinebook.lifesupport.stop_drills import return_stops
from brinebook.lifesupport.top_off_drills import top_off_sticks
from brinebook.rig import Pump, Rig
from brinebook.texts import say


def water_drills(rig: Rig, litres: float, *, evaporation: Range | None = None) -> Iterator[Drill]:
    """Every failure of what holds and moves the water, and the pairs that feed each other.

    ``evaporation`` in L/day, for a top-off that doesn't start.
    """
    told = return_flow(rig)
    returns: list[Drill] = []
    if told is not None:
        flow, _ = told
        returns = list(return_stops(rig, flow, litres))
        yield from returns
        yield from drains_block(rig, flow)
        yield from joints_burst(rig)
    others = [pump for pump in rig.pumps if pump.role != "return" or not returns]
    yield from (_other_stops(rig, pump, litres) for pump in others)
    yield from top_off_sticks(rig, litres, evaporation)


def _other_stops(rig: Rig, pump: Pump, litres: float) -> Drill:
    fed = _fed_by(rig, pump)
    still = stilled(rig, litres, (pump.name,))
    does = {
        "return": say("Nothing comes up any more, and no heat and no air with it"),
        "recirculation": say("What it feeds stands still"),
        "feed": say("What it feeds stands still"),
        "skimmer": say("Nothing is skimmed and less air gets in"),
        "stream": say("Its corner of the display lies still and the surface moves less"),
        "air": say("No air is blown in"),
    }.get(pump.role, say("What it does is not done"))
    return Drill(
        id=f"pump-stops/{pump.name}",
        fault=say("pump stopped"),
        parts=(pump.name, *fed),
        title=say("{pump} stops", pump=pump.name),
        told=f"{does}{': ' + ', '.join(fed) if fed else ''}.{f' {still.told}' if still else ''}",
        harm=still.harm if still else 2 if pump.role in ("stream", "air") else 1,
        within=still.within if still else Within(12.0, 48.0, None),
        figures=still.figures if still else (),
        warns=(say("silence, or a new noise before it"),),
        remedies=still.remedies
        if still
        else (Remedy(say("a second one on another circuit"), 2, 1, None),),
        cautions=("animals_first", "mains") if still else ("mains",),
    )


def _fed_by(rig: Rig, pump: Pump) -> tuple[str, ...]:
    network = network_of(rig)
    if pump.name not in {one.name for one in network.lifters}:
        return ()
    reached, todo = {pump.name}, [pump.name]
    while todo:
        here = todo.pop()
        for run in network.runs:
            if run.begin == here and run.end not in reached and run.end not in network.heads:
                reached.add(run.end)
                todo.append(run.end)
    return tuple(one.name for one in rig.devices if f"{one.name}/in" in reached)
