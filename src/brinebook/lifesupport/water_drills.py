"""Drills of water: pumps that stop, drains and holes that block, a top-off that sticks, a joint."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.lifesupport.basins import basin, return_section
from brinebook.lifesupport.burst import burst
from brinebook.lifesupport.changes import (
    with_longest_run,
    with_mouths,
    with_reservoir,
    with_return_depth,
)
from brinebook.lifesupport.drain_back import DrainBack, DrainBacks, drain_backs, paths
from brinebook.lifesupport.drains import drains
from brinebook.lifesupport.drill import Drill, DrillCourse, DrillPoint, Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import ranged
from brinebook.lifesupport.flows_answer import return_flow
from brinebook.lifesupport.loop import network_of
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.stuck import (
    BlockedDrain,
    Course,
    blocked_drain,
    top_off_stuck_off,
    top_off_stuck_on,
)
from brinebook.plan import Figure
from brinebook.rig import Pump, Rig

#: More than a mopful: a floor under water, L. Common practice, no source.
ON_THE_FLOOR = 0.5
#: A change of salinity that is stress, and one that is losses, PSU. Common practice, no source;
#: Source: berkelmans2012 (damage to corals at 22 to 28 PSU over days)
SALT_STRESS, SALT_LOSSES = 2.0, 7.0
#: How far a nozzle is put under the water when it is put higher, m.
_HIGH_MOUTH = 0.02


def water_drills(rig: Rig, litres: float, *, evaporation: Range | None = None) -> Iterator[Drill]:
    """Every failure of what holds and moves the water, and the pairs that feed each other.

    ``evaporation`` in L/day, for a top-off that doesn't start.
    """
    told = return_flow(rig)
    if told is not None:
        flow, _ = told
        yield from _return_stops(rig, flow)
        yield from _drains_block(rig, flow)
        yield from _joints_burst(rig)
    yield from (_other_stops(rig, pump) for pump in rig.pumps if pump.role != "return")
    yield from _top_off(rig, litres, evaporation)


def harm_on_floor(litres: float) -> Harm:
    """How bad so many litres on the floor are."""
    return 3 if litres > ON_THE_FLOOR else 1 if litres > 0 else 0


def harm_of_salinity(change: float) -> Harm:
    """How bad a change of salinity within days is."""
    size = abs(change)
    return 3 if size >= SALT_LOSSES else 2 if size >= SALT_STRESS else 1 if size > 0.5 else 0


def _return_stops(rig: Rig, flow: Range) -> Iterator[Drill]:
    found = drain_backs(rig, flow)
    pumps = [pump.name for pump in rig.pumps if pump.role == "return"]
    if found is None or not pumps:
        return
    clear = found.cases[0]
    for name in pumps:
        yield _stops(rig, flow, found, clear, name=name)
    for case in found.cases[1:]:
        yield _hole_blocked(rig, flow, found, case, pumps[0])
    yield from _check_valves(rig, flow)
    both = _top_off_then_stop(rig, flow, found, pumps[0])
    if both is not None:
        yield both


def _stops(rig: Rig, flow: Range, found: DrainBacks, case: DrainBack, *, name: str) -> Drill:
    return Drill(
        id=f"pump-stops/{name}",
        fault="pump stopped",
        parts=(name,),
        title=f"{name} stops",
        told=(
            f"{_down(case)}. Display and sump then stand apart: no heat, no skimming and less air "
            "for what lives above."
        ),
        harm=max(harm_on_floor(case.over_rim), 1),
        within=_minutes_to_come_down(case, flow) if case.over_rim > 0 else None,
        figures=_figures(case),
        warns=("silence", "the sump stands higher than its mark"),
        remedies=tuple(_against_drain_back(rig, flow, found, case)),
        cautions=("flood", "mains", "people_below"),
    )


def _hole_blocked(rig: Rig, flow: Range, found: DrainBacks, case: DrainBack, pump: str) -> Drill:
    several = len(case.blocked) > 1
    what = "every siphon-break hole" if several else case.blocked[0]
    return Drill(
        id=f"hole-blocked/{'+'.join(case.blocked)}",
        fault="holes blocked, pump stopped" if several else "hole blocked, pump stopped",
        parts=(*case.blocked, pump),
        title=f"{pump} stops with {what} blocked",
        told=f"{_down(case)}. Algae and a snail close such a hole without a sign.",
        harm=harm_on_floor(case.over_rim) or (1 if case.over_mark > 0 else 0),
        within=_minutes_to_come_down(case, flow) if case.over_rim > 0 else None,
        figures=_figures(case),
        warns=("nothing, until the pump stops", "a jet at the hole that is gone"),
        remedies=tuple(_against_drain_back(rig, flow, found, case)),
        cautions=("flood", "people_below"),
    )


def _check_valves(rig: Rig, flow: Range) -> Iterator[Drill]:
    for path in paths(rig):
        if not path.held:
            continue
        name = next(pipe.name for pipe in path.pipes if pipe.check_valve == "tight")
        leaking = drain_backs(rig, flow)
        if leaking is None:
            return
        worst = max(leaking.cases, key=lambda case: case.litres.value)
        yield Drill(
            id=f"check-valve-leaks/{name}",
            fault="check valve leaking, pump stopped",
            parts=(name,),
            title=f"the check valve in {name} doesn't close when the pump stops",
            told=f"{_down(worst)}, slowly, over hours.",
            harm=harm_on_floor(worst.over_rim) or (1 if worst.over_mark > 0 else 0),
            within=Within(0.5, 3.0, None) if worst.over_rim > 0 else None,
            figures=_figures(worst),
            warns=("the sump goes on rising after the pump has stopped",),
            remedies=tuple(_against_drain_back(rig, flow, leaking, worst)),
            cautions=("flood",),
        )


def _top_off_then_stop(rig: Rig, flow: Range, found: DrainBacks, pump: str) -> Drill | None:
    """A top-off that doesn't stop, and then a power cut: the sump is full before water comes."""
    sump = rig.vessel("sump")
    held = basin(sump) if sump else None
    if rig.top_off is None or held is None:
        return None
    worst = max(found.cases, key=lambda case: case.litres.value)

    def over(of: Rig) -> float:
        again = drain_backs(of, flow)
        if again is None or of.top_off is None:
            return 0.0
        down = max(case.litres.value for case in again.cases)
        return max(down + _reservoir(of) - again.room_to_rim, 0.0)

    spilt = over(rig)
    room = max(found.room_to_rim - worst.litres.value, 0.0)
    remedies = []
    if spilt > 0 and room > 0:
        smaller = with_reservoir(rig, room)
        remedies.append(
            Remedy(f"a reservoir of {room:.0f} L", 1, harm_on_floor(over(smaller)), None,
                   "then all of it fits with what comes down")
        )  # fmt: skip
    return Drill(
        id=f"top-off-stuck-on+pump-stops/{pump}",
        fault="top-off stuck on, then pump stopped",
        parts=("top-off", pump),
        title=f"the top-off has run on, and then {pump} stops",
        told=(
            f"{_reservoir(rig):.0f} L more stand in the sump when {worst.litres.value:.0f} L come "
            f"down: {spilt:.0f} L go over the rim."
            if spilt > 0
            else "Even so everything stays in the sump."
        ),
        harm=harm_on_floor(spilt),
        within=_minutes_to_come_down(worst, flow) if spilt > 0 else None,
        figures=(Figure("over_rim", spilt, "L"),),
        warns=("the sump stands over its mark while everything runs",),
        remedies=tuple(remedies),
        cautions=("flood", "people_below"),
    )  # fmt: skip


def _reservoir(rig: Rig) -> float:
    if rig.top_off is None:
        return 0.0
    if rig.top_off.longest_run is None:
        return rig.top_off.reservoir
    return min(rig.top_off.reservoir, rig.top_off.flow * rig.top_off.longest_run)


def _down(case: DrainBack) -> str:
    amount = (
        f"{case.litres.value:.0f} L ({case.litres.low:.0f} to {case.litres.high:.0f}) come down"
    )
    if case.over_rim > 0:
        return f"{amount} and {case.over_rim:.0f} L go over the sump's rim"
    if case.over_mark > 0:
        return f"{amount}, {100 * case.freeboard:.1f} cm under the sump's rim and past the mark"
    return f"{amount} and stay {100 * case.freeboard:.1f} cm under the sump's rim"


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


def _against_drain_back(
    rig: Rig, flow: Range, found: DrainBacks, case: DrainBack
) -> Iterator[Remedy]:
    """What helps: a lower mark, higher mouths; each reckoned with the same holes blocked."""
    if case.over_mark <= 0:
        return

    def same(of: Rig) -> DrainBack | None:
        again = drain_backs(of, flow)
        if again is None:
            return None
        return next((one for one in again.cases if one.blocked == case.blocked), again.cases[-1])

    options: list[tuple[str, int, Rig]] = []
    if found.highest_depth is not None and found.highest_depth < found.running_depth:
        depth = found.highest_depth
        options.append(
            (f"mark the return section at {100 * depth:.1f} cm and fill no higher", 0,
             with_return_depth(rig, depth))
        )  # fmt: skip
    if any(nozzle.mouth > _HIGH_MOUTH for nozzle in rig.nozzles):
        options.append(
            (f"put the nozzles' mouths {100 * _HIGH_MOUTH:.0f} cm under the surface", 0,
             with_mouths(rig, _HIGH_MOUTH))
        )  # fmt: skip
    clear = found.cases[0]
    if len(case.blocked) == 1 and clear.over_mark < case.over_mark:
        yield Remedy(
            "a second siphon-break hole beside it, so that one snail can't close both", 1,
            harm_on_floor(clear.over_rim) or (1 if clear.over_mark > 0 else 0), None,
            f"{clear.litres.value:.0f} L come down while one of them is clear",
        )  # fmt: skip
    for text, effort, changed in options:
        after = same(changed)
        if after is not None:
            yield Remedy(
                text, effort,  # type: ignore[arg-type]
                harm_on_floor(after.over_rim) or (1 if after.over_mark > 1e-6 else 0), None,
                f"{after.litres.value:.0f} L come down, {after.over_rim:.0f} L over the rim",
            )  # fmt: skip


def _drains_block(rig: Rig, flow: Range) -> Iterator[Drill]:
    found = drains(rig, flow.value)
    if found is None:
        return
    for one in found.blocked:
        yield _blocked(rig, flow, (one.drain,), one.others)
    if len(found.each) > 1:
        names = tuple(one.name for one in found.each)
        yield _blocked(rig, flow, names, Range(0.0, 0.0, 0.0))


def _blocked(rig: Rig, flow: Range, names: tuple[str, ...], others: Range) -> Drill:
    what = " and ".join(names)
    middle = blocked_drain(rig, flow.value, carried=others.value)
    worst = blocked_drain(rig, flow.high, carried=others.low)
    over = max((one.over if one else 0.0) for one in (middle, worst))
    carries = others.value >= flow.value
    return Drill(
        id=f"drain-blocked/{'+'.join(names)}",
        fault="drains blocked" if len(names) > 1 else "drain blocked",
        parts=names,
        title=f"{what} {'block' if len(names) > 1 else 'blocks'} while nobody looks",
        told=_told_blocked(middle, others, carries=carries, over=over),
        harm=max(harm_on_floor(over), 1),
        within=_hours_to_rim(middle, worst) if over > 0 else None,
        figures=(
            ranged("others_carry", others, "L/h"),
            ranged("comes_up", flow, "L/h"),
            Figure("over_rim", over, "L"),
        ),
        warns=("the display stands higher than its weir lets it", "gurgling, or its end",
               "the return pump draws air"),
        remedies=tuple(_against_blocked(rig, flow, others)) if over > 0 else (),
        cautions=("flood", "mains", "people_below"),
    )  # fmt: skip


def _told_blocked(middle: BlockedDrain | None, others: Range, *, carries: bool, over: float) -> str:
    if carries:
        return (
            f"The others carry {others.value:.0f} L/h ({others.low:.0f} to {others.high:.0f}): the "
            "display rises a little and goes on."
        )
    if middle is None:
        return "Display and sump aren't described enough to tell how far it rises."
    brings = (
        f"The pump brings up {middle.from_section:.0f} L of its section, and the top-off fills "
        f"{middle.from_top_off:.0f} L after it; the display has room for {middle.room:.0f} L"
    )
    if over > 0:
        return f"{brings}: {over:.0f} L go over its rim."
    return f"{brings}: the floor stays dry, and the pump draws air."


def _hours_to_rim(middle: BlockedDrain | None, worst: BlockedDrain | None) -> Within | None:
    likely = middle.hours_to_rim if middle else None
    short = worst.hours_to_rim if worst else None
    if likely is None and short is None:
        return None
    return Within(short if short is not None else likely, likely, None)


def _against_blocked(rig: Rig, flow: Range, others: Range) -> Iterator[Remedy]:
    section, found = return_section(rig), blocked_drain(rig, flow.high, carried=others.low)
    if found is None or section is None:
        return
    spare = found.room - found.from_section

    def after(of: Rig) -> tuple[Harm, Within | None, float]:
        again = blocked_drain(of, flow.high, carried=others.low)
        if again is None:
            return 0, None, 0.0
        within = None
        if again.hours_to_rim is not None:
            within = Within(again.hours_to_rim, again.hours_to_rim, None)
        return harm_on_floor(again.over), within, again.over

    options: list[tuple[str, int, Rig]] = []
    if rig.top_off is not None and spare > 1:
        options.append((f"a top-off reservoir of {spare:.0f} L", 1, with_reservoir(rig, spare)))
        hours = spare / rig.top_off.flow
        options.append(
            (f"a limit of {60 * hours:.0f} minutes to one run of the top-off", 1,
             with_longest_run(rig, hours))
        )  # fmt: skip
    needed = found.room - found.from_top_off
    if needed > 0:
        depth = section.intake + needed / (1000.0 * section.area)
        if depth < section.depth:
            options.append(
                (f"run the return section at {100 * depth:.1f} cm", 0,
                 with_return_depth(rig, depth))
            )  # fmt: skip
    for text, effort, changed in options:
        harm, within, over = after(changed)
        yield Remedy(text, effort, harm, within, f"{over:.0f} L over the rim")  # type: ignore[arg-type]
    yield Remedy(
        "a second drain a little higher, dry while all is well", 2, 0, None,
        "it carries what the first one doesn't",
    )  # fmt: skip


def _joints_burst(rig: Rig) -> Iterator[Drill]:
    for name in (*(joint.name for joint in rig.joints), *(one.name for one in rig.devices)):
        found = burst(rig, name)
        if found is None or found.litres_a_minute <= 0:
            continue
        small = burst(rig, name, share=0.1)
        slow = small.minutes / 60 if small and small.litres_a_minute > 0 else None
        yield Drill(
            id=f"joint-bursts/{name}",
            fault="joint burst",
            parts=(name,),
            title=f"{name} lets go",
            told=(
                f"{found.litres_a_minute:.0f} L a minute leave until the pump draws air, "
                f"{found.by_pump:.0f} L; up to {found.by_siphon + found.from_sump:.0f} L more run "
                "back and out."
            ),
            harm=harm_on_floor(found.litres),
            within=Within(found.minutes / 60, found.minutes / 60, slow),
            figures=(
                Figure("litres_a_minute", found.litres_a_minute, "L/min"),
                Figure("litres", found.litres, "L"),
                Figure("until", found.minutes, "min"),
            ),
            warns=("a drop or salt creep at the joint, days before",),
            remedies=(
                Remedy("a valve before it, not behind it, so that the pump's head stays off it",
                       1, 2, None),
                Remedy("a tray with a water sensor under it", 1, 2, Within(slow, slow, None)),
            ),
            cautions=("flood", "mains", "people_below"),
        )  # fmt: skip


def _other_stops(rig: Rig, pump: Pump) -> Drill:
    fed = _fed_by(rig, pump)
    does = {
        "recirculation": "What it feeds stands still",
        "feed": "What it feeds stands still",
        "skimmer": "Nothing is skimmed and less air gets in",
        "stream": "Its corner of the display lies still and the surface moves less",
        "air": "No air is blown in",
    }.get(pump.role, "What it does is not done")
    return Drill(
        id=f"pump-stops/{pump.name}",
        fault="pump stopped",
        parts=(pump.name, *fed),
        title=f"{pump.name} stops",
        told=f"{does}{': ' + ', '.join(fed) if fed else ''}.",
        harm=2 if pump.role in ("stream", "air") else 1,
        within=Within(12.0, 48.0, None),
        warns=("silence, or a new noise before it",),
        remedies=(Remedy("a second one on another circuit", 2, 1, None),),
        cautions=("mains",),
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


def _top_off(rig: Rig, litres: float, evaporation: Range | None) -> Iterator[Drill]:
    on = top_off_stuck_on(rig, litres=litres)
    if on is not None and rig.top_off is not None:
        yield _stuck_on(rig, litres, on)
    if rig.top_off is None or evaporation is None:
        return
    ends = [
        top_off_stuck_off(rig, each, litres=litres)
        for each in (evaporation.high, evaporation.value, evaporation.low)
    ]
    if ends[1] is not None:
        yield _stuck_off(rig, ends)


def _stuck_on(rig: Rig, litres: float, on: Course) -> Drill:
    change = on.salinity - rig.salinity
    harm = max(harm_of_salinity(change), harm_on_floor(on.spilt))
    small = rig.salinity * litres / (rig.salinity - SALT_STRESS * 0.95) - litres
    room = _reservoir(rig)
    fits = min(small, room - on.spilt)
    remedies = []
    if harm > 1 and fits > 0:
        after = top_off_stuck_on(with_reservoir(rig, fits), litres=litres)
        if after is not None:
            remedies.append(
                Remedy(f"a reservoir of {fits:.0f} L", 1,
                       max(harm_of_salinity(after.salinity - rig.salinity),
                           harm_on_floor(after.spilt)), None,
                       f"it ends at {after.salinity:.1f} PSU")
            )  # fmt: skip
    ends = on.ends_at or 0.0
    spills = f" and {on.spilt:.0f} L go over the sump's rim" if on.spilt > 0 else ""
    return Drill(
        id="top-off-stuck-on",
        fault="top-off stuck on",
        parts=("top-off",),
        title="the top-off doesn't stop",
        told=(
            f"Its {room:.0f} L are in after {_hours(ends)}: {on.salinity:.1f} PSU instead of "
            f"{rig.salinity:.1f}{spills}."
        ),
        harm=harm,
        within=Within(0.7 * ends, ends, None) if harm > 1 else None,
        figures=(
            Figure("salinity", on.salinity, "PSU"),
            Figure("over_rim", on.spilt, "L"),
            Figure("empty_after", ends, "h"),
        ),
        courses=(_salinity_course(on),),
        warns=("the return section stands over its mark", "the reservoir falls faster than usual"),
        remedies=(
            *remedies,
            Remedy("a second float above the first, that only ever stops it", 1, 0, None),
        ),
        cautions=("flood", "mains"),
    )


def _stuck_off(rig: Rig, ends: list[Course | None]) -> Drill:
    told = [one for one in ends if one is not None]
    hours = [one.ends_at or 0.0 for one in told]
    middle = told[len(told) // 2]
    change = middle.salinity - rig.salinity
    return Drill(
        id="top-off-stuck-off",
        fault="top-off stuck off",
        parts=("top-off",),
        title="the top-off doesn't start",
        told=(
            f"The return pump draws air after {_hours(min(hours))} to {_hours(max(hours))}, at "
            f"{middle.salinity:.1f} PSU, and then runs dry."
        ),
        harm=max(harm_of_salinity(change), 2),
        within=Within(min(hours), hours[len(hours) // 2], max(hours)),
        figures=(Figure("salinity", middle.salinity, "PSU"),),
        courses=(_salinity_course(middle),),
        warns=("the return section is under its mark", "bubbles in the display", "a hum"),
        remedies=(
            Remedy("look at the return section's mark each time you feed", 0, 1, None),
        ),
        cautions=("mains",),
    )  # fmt: skip


def _salinity_course(course: Course) -> DrillCourse:
    points = tuple(
        DrillPoint(hour.hours, hour.salinity, hour.salinity, hour.salinity) for hour in course.hours
    )
    return DrillCourse("salinity", "PSU", points)


def _hours(hours: float) -> str:
    if hours < 1:
        return f"{60 * hours:.0f} minutes"
    return f"{hours:.0f} hours" if hours < 48 else f"{hours / 24:.0f} days"
