"""Drills of the return pump: what comes down, by each hole clear and blocked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brinebook.lifesupport.changes import without_pump
from brinebook.lifesupport.drain_back import DrainBack, DrainBacks, drain_backs, paths
from brinebook.lifesupport.drill import Drill, Remedy, Within
from brinebook.lifesupport.drill_figures import ranged
from brinebook.lifesupport.flows_answer import return_flow
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.still_display import stilled
from brinebook.lifesupport.stop_remedies import (
    against_drain_back,
    against_run_on,
    over_with_reservoir,
)
from brinebook.lifesupport.water_harm import harm_on_floor, reservoir_litres
from brinebook.plan import Figure
from brinebook.rig import Rig
from brinebook.texts import say


@dataclass(frozen=True, slots=True)
class _Pumps:
    """The return pumps that stop: what brings water up has to stop as a whole to come down."""

    names: tuple[str, ...]

    @property
    def id(self) -> str:
        return "+".join(self.names)

    @property
    def stop(self) -> str:
        """“return pump stops”, or “left and right stop”."""
        together = say(" and ").join(self.names)
        if len(self.names) == 1:
            return say("{name} stops", name=together)
        return say("{names} stop", names=together)


def return_stops(rig: Rig, flow: Range, litres: float) -> Iterator[Drill]:
    """The return pump stops, each hole clear and blocked; of several, each alone and all at once.

    ``flow`` in L/h comes up, ``litres`` is the net volume.
    """
    found = drain_backs(rig, flow)
    pumps = _Pumps(tuple(pump.name for pump in rig.pumps if pump.role == "return"))
    if found is None or not pumps.names:
        return
    if len(pumps.names) > 1:
        yield from (_one_of_several(rig, flow, name) for name in pumps.names)
    yield _stops(rig, flow, found, found.cases[0], pumps)
    for case in found.cases[1:]:
        yield _hole_blocked(rig, flow, found, case, pumps)
    yield from _display_still(rig, litres, pumps)
    yield from _check_valves(rig, flow)
    both = _top_off_then_stop(rig, flow, found, pumps)
    if both is not None:
        yield both


def _one_of_several(rig: Rig, flow: Range, name: str) -> Drill:
    left = return_flow(without_pump(rig, name))
    still = say("The others go on")
    if left is not None:
        still = say(
            "The others still bring up {left:.0f} L/h of {flow:.0f}",
            left=left[0].value,
            flow=flow.value,
        )
    return Drill(
        id=f"pump-stops/{name}",
        fault=say("one of several pumps stopped"),
        parts=(name,),
        title=say("{name} stops, the others go on", name=name),
        told=say(
            "{still}. Through its own pipe water runs back for as long as no air gets in there.",
            still=still,
        ),
        harm=1,
        within=None,
        figures=() if left is None else (ranged("still_comes_up", left[0], "L/h"),),
        warns=(say("the display's water stands lower over its weir"), say("silence at one pump")),
        remedies=(Remedy(say("a spare pump, tried once a year"), 2, 0, None),),
        cautions=("mains",),
    )


def _display_still(rig: Rig, litres: float, pumps: _Pumps) -> Iterator[Drill]:
    """The return stays off where nothing else moves the display's surface."""
    found = stilled(rig, litres, pumps.names)
    if found is None:
        return
    yield Drill(
        id=f"display-still/{pumps.id}",
        fault=say("pump stopped, display still"),
        parts=pumps.names,
        title=say("{stop} and stays off, and nothing else moves the display", stop=pumps.stop)
        if len(pumps.names) == 1
        else say("{stop} and stay off, and nothing else moves the display", stop=pumps.stop),
        told=found.told,
        harm=found.harm,
        within=found.within,
        figures=found.figures,
        warns=("silence", say("fish at the surface")),
        remedies=found.remedies,
        cautions=("animals_first", "mains"),
    )


def _stops(rig: Rig, flow: Range, found: DrainBacks, case: DrainBack, pumps: _Pumps) -> Drill:
    return Drill(
        id=f"pump-stops/{pumps.id}",
        fault=say("pump stopped"),
        parts=pumps.names,
        title=pumps.stop,
        told=(
            say(
                "{down}. Display and sump then stand apart: no heat, no skimming and "
                "less air for what lives above.",
                down=_down(case),
            )
        ),
        harm=max(harm_on_floor(case.over_rim), 1),
        within=_minutes_to_come_down(case, flow) if case.over_rim > 0 else None,
        figures=_figures(case),
        warns=("silence", say("the sump stands higher than its mark")),
        remedies=tuple(against_drain_back(rig, flow, found, case)),
        cautions=("flood", "mains", "people_below", "glass"),
    )


def _hole_blocked(
    rig: Rig, flow: Range, found: DrainBacks, case: DrainBack, pumps: _Pumps
) -> Drill:
    several = len(case.blocked) > 1
    what = say("every siphon-break hole") if several else case.blocked[0]
    return Drill(
        id=f"hole-blocked/{'+'.join(case.blocked)}",
        fault=say("holes blocked, pump stopped") if several else say("hole blocked, pump stopped"),
        parts=(*case.blocked, *pumps.names),
        title=say("{stop} with {what} blocked", stop=pumps.stop, what=what),
        told=say("{down}. Algae and a snail close such a hole without a sign.", down=_down(case)),
        harm=harm_on_floor(case.over_rim) or (1 if case.over_mark > 0 else 0),
        within=_minutes_to_come_down(case, flow) if case.over_rim > 0 else None,
        figures=_figures(case),
        warns=(say("nothing, until the pump stops"), say("a jet at the hole that is gone")),
        remedies=tuple(against_drain_back(rig, flow, found, case)),
        cautions=("flood", "mains", "people_below", "glass"),
    )


def _check_valves(rig: Rig, flow: Range) -> Iterator[Drill]:
    """Each by itself, the holes clear: with a hole blocked the other drills leave valves out."""
    leaking = drain_backs(rig, flow)
    if leaking is None:
        return
    case = leaking.cases[0]
    names = [pipe.name for path in paths(rig) for pipe in path.pipes if pipe.check_valve]
    for name in names:
        yield Drill(
            id=f"check-valve-leaks/{name}",
            fault=say("check valve leaking, pump stopped"),
            parts=(name,),
            title=say("the check valve in {name} doesn't close when the pump stops", name=name),
            told=say("{down}, slowly, over hours.", down=_down(case)),
            harm=harm_on_floor(case.over_rim) or (1 if case.over_mark > 0 else 0),
            within=Within(0.5, 3.0, None) if case.over_rim > 0 else None,
            figures=_figures(case),
            warns=(say("the sump goes on rising after the pump has stopped"),),
            remedies=tuple(against_drain_back(rig, flow, leaking, case)),
            cautions=("flood", "mains", "people_below"),
        )


def _top_off_then_stop(rig: Rig, flow: Range, found: DrainBacks, pumps: _Pumps) -> Drill | None:
    """A top-off that doesn't stop, and then a power cut: the sump is full before water comes."""
    if rig.top_off is None:
        return None
    clear, worst = found.cases[0], max(found.cases, key=lambda case: case.litres.value)
    more, spilt = reservoir_litres(rig), over_with_reservoir(rig, flow)
    spills = say(
        "{more:.0f} L more stand in the sump when {litres:.0f} L come down: "
        "{spilt:.0f} L go over the rim.",
        more=more,
        litres=worst.litres.value,
        spilt=spilt,
    )
    if worst.blocked:
        spills += " " + say(
            "That is with {case}; with every hole clear it would be {spilt:.0f} L.",
            case=worst.name,
            spilt=max(clear.litres.value + more - found.room_to_rim, 0.0),
        )
    return Drill(
        id=f"top-off-stuck-on+pump-stops/{pumps.id}",
        fault=say("top-off stuck on, then pump stopped"),
        parts=("top-off", *pumps.names),
        title=say("the top-off has run on, and then {stop}", stop=pumps.stop),
        told=spills if spilt > 0 else say("Even so everything stays in the sump."),
        harm=harm_on_floor(spilt),
        within=_minutes_to_come_down(worst, flow) if spilt > 0 else None,
        figures=(Figure("over_rim", spilt, "L"),),
        warns=(say("the sump stands over its mark while everything runs"),),
        remedies=tuple(against_run_on(rig, flow, found, worst)) if spilt > 0 else (),
        cautions=("flood", "mains", "people_below", "glass"),
    )


def _down(case: DrainBack) -> str:
    amount = say(
        "{litres:.0f} L ({litres_low:.0f} to {litres_high:.0f}) come down",
        litres=case.litres.value,
        litres_low=case.litres.low,
        litres_high=case.litres.high,
    )
    if case.over_rim > 0:
        return say(
            "{amount} and {over_rim:.0f} L go over the sump's rim",
            amount=amount,
            over_rim=case.over_rim,
        )
    if case.over_mark > 0:
        return say(
            "{amount}, {freeboard:.1f} cm under the sump's rim and past the mark",
            amount=amount,
            freeboard=100 * case.freeboard,
        )
    return say(
        "{amount} and stay {freeboard:.1f} cm under the sump's rim",
        amount=amount,
        freeboard=100 * case.freeboard,
    )


def _figures(case: DrainBack) -> tuple[Figure, ...]:
    return (
        ranged("comes_down", case.litres, "L"),
        Figure("freeboard", case.freeboard, "m"),
        Figure("over_mark", case.over_mark, "L"),
        Figure("over_rim", case.over_rim, "L"),
    )


def _minutes_to_come_down(case: DrainBack, flow: Range) -> Within:
    """About as fast as it went up, at first: a siphon runs with the height that the pump had."""
    before = case.litres.value - case.over_rim
    return Within(before / flow.high, before / flow.value, 3 * before / flow.value)
