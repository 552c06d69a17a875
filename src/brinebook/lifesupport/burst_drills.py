"""Drills of joints that let go: at the floor, as air drawn in, and what a valve's place changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brinebook.lifesupport.burst import Burst, burst, rest_flow
from brinebook.lifesupport.changes import with_mouths
from brinebook.lifesupport.drill import Drill, Remedy, Within
from brinebook.lifesupport.pressures import opening_for_flow, position
from brinebook.lifesupport.water_harm import harm_on_floor
from brinebook.plan import Figure
from brinebook.rig import Device, Rig, Valve
from brinebook.texts import say

#: A joint that only weeps opens this share of its pipe: common practice, no source.
_WEEPS = 0.1
#: How far a nozzle is put under the water when it is put higher, m.
_HIGH_MOUTH = 0.02


def joints_burst(rig: Rig) -> Iterator[Drill]:
    """Every joint and device that water passes lets go."""
    for name in (*(joint.name for joint in rig.joints), *(one.name for one in rig.devices)):
        found = burst(rig, name)
        if found is None:
            continue
        yield _bursts(rig, name, found) if found.litres_a_minute > 0 else _draws_air(rig, found)


def _bursts(rig: Rig, name: str, found: Burst) -> Drill:
    small = burst(rig, name, share=_WEEPS)
    slow = small.minutes / 60 if small and small.litres_a_minute > 0 else None
    return Drill(
        id=f"joint-bursts/{name}",
        fault=say("joint burst"),
        parts=(name,),
        title=say("{name} lets go", name=name),
        told=(
            say(
                "{litres_a_minute:.0f} L a minute leave until the pump draws air, "
                "{by_pump:.0f} L; up to {by_siphon:.0f} L more run back and "
                "out.{over_limit}",
                litres_a_minute=found.litres_a_minute,
                by_pump=found.by_pump,
                by_siphon=found.by_siphon + found.from_sump,
                over_limit=_over_limit(rig, name),
            )
        ),
        harm=harm_on_floor(found.litres),
        within=Within(found.minutes / 60, found.minutes / 60, slow),
        figures=(
            Figure("litres_a_minute", found.litres_a_minute, "L/min"),
            Figure("litres", found.litres, "L"),
            Figure("until", found.minutes, "min"),
        ),
        warns=(say("a drop or salt creep at the joint, days before"),),
        remedies=(
            *_valve_moved(rig, name),
            *_higher_mouths(rig, name, found),
            Remedy(
                say("a tray with a water sensor under it"),
                1,
                harm_on_floor(found.litres),
                Within(slow, slow, None),
                say("a joint that weeps at first is found in time"),
            ),
        ),
        cautions=("flood", "mains", "people_below"),
    )


def _draws_air(rig: Rig, found: Burst) -> Drill:
    """A joint under the room's pressure: air goes in, and water out only when something else ails.

    Its outlet sucks more than its feed gives. With the pump at rest, or the outlet clogged, that
    may turn.
    """
    name, rest = found.place, rest_flow(rig, found.place)
    told = say("It stands under the room's pressure, so that air goes in and no water comes out")
    clogged = burst(replace(rig, pipes=tuple(p for p in rig.pipes if p.begin != name)), name)
    spilt = found.by_siphon + found.from_sump if rest > 0 else 0.0
    figures = [Figure("litres", spilt, "L")]
    if rest > 0:
        told += say(
            " while the pump runs. Once it stops {rest:.1f} L a minute run back and "
            "out, up to {spilt:.0f} L",
            rest=rest / 60,
            spilt=spilt,
        )
    elif clogged is not None and clogged.litres_a_minute > 0:
        told += say(
            ". With its outlet clogged {litres_a_minute:.1f} L a minute would leave",
            litres_a_minute=clogged.litres_a_minute,
        )
        figures.append(Figure("litres_a_minute_clogged", clogged.litres_a_minute, "L/min"))
    hours = spilt / rest if rest > 0 else None
    return Drill(
        id=f"joint-bursts/{name}",
        fault=say("joint open, air drawn in"),
        parts=(name,),
        title=say("{name} lets go", name=name),
        told=f"{told}.",
        harm=max(harm_on_floor(spilt), 1),
        within=None if hours is None else Within(hours, hours, None),
        figures=tuple(figures),
        warns=(say("fine bubbles where there were none"), say("a flow that falters")),
        remedies=(Remedy(say("look at its joint and its outlet at every cleaning"), 0, 1, None),),
        cautions=("flood", "mains", "people_below"),
    )


def _device(rig: Rig, name: str) -> Device | None:
    return next((one for one in rig.devices if one.name == name), None)


def _over_limit(rig: Rig, name: str) -> str:
    """That a device stands at more than its weakest joint is made for; empty where it doesn't."""
    device = _device(rig, name)
    feeds = [pipe for pipe in rig.pipes if device is not None and pipe.end == device.name]
    if device is None or device.pressure_limit is None or not feeds:
        return ""
    opening = feeds[0].valve.opening if feeds[0].valve else 1.0
    stands = position(rig, device, feeds[0].name, opening).pressure
    if stands is None or stands <= device.pressure_limit:
        return ""
    return say(
        " {stands:.1f} kPa stand on it as it runs, over the {pressure_limit:.0f} "
        "that its weakest joint is made for.",
        stands=stands,
        pressure_limit=device.pressure_limit,
    )


def _valve_moved(rig: Rig, name: str) -> Iterator[Remedy]:
    """The valve behind a device put before it, at the flow that it lets through now."""
    device = _device(rig, name)
    if device is None or device.pressure_limit is None:
        return
    behind = next((p for p in rig.pipes if p.begin == name and p.valve is not None), None)
    before = next((p for p in rig.pipes if p.end == name and p.valve is None), None)
    if behind is None or before is None or behind.valve is None:
        return
    flow = abs(position(rig, device, behind.name, behind.valve.opening).flow)
    pipes = tuple(
        replace(p, valve=None) if p is behind else replace(p, valve=behind.valve)
        if p is before else p
        for p in rig.pipes
    )  # fmt: skip
    moved = replace(rig, pipes=pipes)
    opening = opening_for_flow(moved, before.name, flow)
    if opening is None:
        return
    kind = behind.valve.kind
    turned = tuple(
        replace(p, valve=Valve(kind, opening)) if p.name == before.name else p for p in pipes
    )
    found, at = (
        burst(replace(rig, pipes=turned), name),
        position(moved, device, before.name, opening),
    )
    if found is None or at.pressure is None:
        return
    minutes = found.minutes / 60 if found.litres_a_minute > 0 else None
    holds = at.pressure <= device.pressure_limit
    yield Remedy(
        say("the valve of {name} before it, not behind it", name=name),
        1,
        1 if holds else harm_on_floor(found.litres),
        None if minutes is None else Within(minutes, minutes, None),
        say("then it stands under the room's pressure at the same flow")
        if at.pressure < 0
        else say(
            "then {pressure:.1f} kPa stand on it at the same flow, made for {pressure_limit:.0f}",
            pressure=at.pressure,
            pressure_limit=device.pressure_limit,
        ),
    )


def _higher_mouths(rig: Rig, name: str, found: Burst) -> Iterator[Remedy]:
    """What runs back is as deep as the mouths lie."""
    after = burst(with_mouths(rig, _HIGH_MOUTH), name)
    if after is None or after.litres > 0.8 * found.litres:
        return
    minutes = after.minutes / 60
    yield Remedy(
        say(
            "put what ends under water {high_mouth:.0f} cm under the surface",
            high_mouth=100 * _HIGH_MOUTH,
        ),
        0,
        harm_on_floor(after.litres),
        Within(minutes, minutes, None),
        say(
            "{litres:.0f} L in all instead of {found_litres:.0f}",
            litres=after.litres,
            found_litres=found.litres,
        ),
    )
