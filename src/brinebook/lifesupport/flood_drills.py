"""Drills of drains that block."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from brinebook.lifesupport.basins import return_section
from brinebook.lifesupport.changes import (
    with_longest_run,
    with_reservoir,
    with_return_depth,
)
from brinebook.lifesupport.drains import drains
from brinebook.lifesupport.drill import Drill, Remedy, Within
from brinebook.lifesupport.drill_figures import ranged
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.stuck import (
    BlockedDrain,
    blocked_drain,
)
from brinebook.lifesupport.water_harm import harm_on_floor
from brinebook.plan import Figure
from brinebook.rig import Rig
from brinebook.texts import phrase, say

_AIR = phrase("the return pump draws air")
#: A section that runs with less water than this over its pump's intake is dry within a day or two,
#: m: common practice, no source.
_OVER_INTAKE = 0.03


def drains_block(rig: Rig, flow: Range) -> Iterator[Drill]:
    if rig.vessel("sump") is None and return_section(rig) is not None:
        yield _way_blocked(rig, flow)
        return
    found = drains(rig, flow.value)
    if found is None:
        return
    for one in found.blocked:
        yield _blocked(rig, flow, (one.drain,), one.others)
    if len(found.each) > 1:
        names = tuple(one.name for one in found.each)
        yield _blocked(rig, flow, names, Range(0.0, 0.0, 0.0))


def _way_blocked(rig: Rig, flow: Range) -> Drill:
    """The way into the return pump's own section of a display closes, by snails or algae."""
    found = blocked_drain(rig, flow.value)
    over = found.over if found else 0.0
    place = next(pump.place for pump in rig.pumps if pump.role == "return")
    return Drill(
        id=f"way-blocked/{place}",
        fault=say("way to the return section blocked"),
        parts=(place,),
        title=say("the way into {place} blocks while nobody looks", place=place),
        told=_told_blocked(found, Range(0.0, 0.0, 0.0), carries=False, over=over),
        harm=max(harm_on_floor(over), 1),
        within=_hours_to_rim(found, found) if over > 0 else None,
        figures=(ranged("comes_up", flow, "L/h"), Figure("over_rim", over, "L")),
        warns=(say("its section falls and the rest of the water rises"), _AIR),
        remedies=tuple(_against_blocked(rig, flow, Range(0.0, 0.0, 0.0))) if over > 0 else (),
        cautions=("flood", "mains", "people_below"),
    )


def _blocked(rig: Rig, flow: Range, names: tuple[str, ...], others: Range) -> Drill:
    what = say(" and ").join(names)
    middle = blocked_drain(rig, flow.value, carried=others.value)
    worst = blocked_drain(rig, flow.high, carried=others.low)
    over = max((one.over if one else 0.0) for one in (middle, worst))
    carries = others.value >= flow.value
    return Drill(
        id=f"drain-blocked/{'+'.join(names)}",
        fault=say("drains blocked") if len(names) > 1 else say("drain blocked"),
        parts=names,
        title=say(
            "{what} {block_or_blocks} while nobody looks",
            what=what,
            block_or_blocks=say("block") if len(names) > 1 else say("blocks"),
        ),
        told=_told_blocked(middle, others, carries=carries, over=over),
        harm=max(harm_on_floor(over), 1),
        within=_hours_to_rim(middle, worst) if over > 0 else None,
        figures=(
            ranged("others_carry", others, "L/h"),
            ranged("comes_up", flow, "L/h"),
            Figure("over_rim", over, "L"),
        ),
        warns=(
            say("the display stands higher than its weir lets it"),
            say("gurgling, or its end"),
            _AIR,
        ),
        remedies=tuple(_against_blocked(rig, flow, others)) if over > 0 else (),
        cautions=("flood", "mains", "people_below", "glass"),
    )


def _told_blocked(middle: BlockedDrain | None, others: Range, *, carries: bool, over: float) -> str:
    if carries:
        likely = say(
            "The others carry {others:.0f} L/h ({others_low:.0f} to "
            "{others_high:.0f}): the display rises a little and goes on.",
            others=others.value,
            others_low=others.low,
            others_high=others.high,
        )
        if over <= 0:
            return likely
        return likely + " " + say("If they carry the least of that, {over:.0f} L go over its rim.",
                                  over=over)  # fmt: skip
    if middle is None:
        return say("Display and sump aren't described enough to tell how far it rises.")
    brings = say(
        "The pump brings up {from_section:.0f} L of its section, and the top-off "
        "fills {from_top_off:.0f} L after it; the display has room for {room:.0f} L",
        from_section=middle.from_section,
        from_top_off=middle.from_top_off,
        room=middle.room,
    )
    if over > 0:
        return say("{brings}: {over:.0f} L go over its rim.", brings=brings, over=over)
    return say("{brings}: the floor stays dry, and the pump draws air.", brings=brings)


def _hours_to_rim(middle: BlockedDrain | None, worst: BlockedDrain | None) -> Within | None:
    likely = middle.hours_to_rim if middle else None
    short = worst.hours_to_rim if worst else None
    if likely is None and short is None:
        return None
    return Within(short if short is not None else likely, likely, None)


def _against_blocked(rig: Rig, flow: Range, others: Range) -> Iterator[Remedy]:
    found = blocked_drain(rig, flow.high, carried=others.low)
    if found is None:
        return
    for text, effort, changed in _changes(rig, found):
        again = blocked_drain(changed, flow.high, carried=others.low)
        over = again.over if again else 0.0
        within = None
        if again is not None and again.hours_to_rim is not None:
            within = Within(again.hours_to_rim, again.hours_to_rim, None)
        told = say("{over:.0f} L over the rim", over=over)
        yield Remedy(text, effort, harm_on_floor(over), within, told)
    if rig.vessel("sump") is None:
        return
    yield Remedy(
        say("a second drain a little higher, dry while all is well"),
        2,
        0,
        None,
        say("it carries what the first one doesn't"),
    )


def _changes(rig: Rig, found: BlockedDrain) -> Iterator[tuple[str, Literal[0, 1, 2], Rig]]:
    """Changed rigs to try, each with its words and effort."""
    section, spare = return_section(rig), found.room - found.from_section
    if rig.top_off is not None and spare > 1:
        smaller = say("a top-off reservoir of {spare:.0f} L", spare=spare)
        yield smaller, 1, with_reservoir(rig, spare)
        hours = spare / rig.top_off.flow
        limit = say("a limit of {hours:.0f} minutes to one run of the top-off", hours=60 * hours)
        yield limit, 1, with_longest_run(rig, hours)
    needed = found.room - found.from_top_off
    if needed > 0 and section is not None:
        depth = section.intake + needed / (1000.0 * section.area)
        if section.intake + _OVER_INTAKE <= depth < section.depth:
            lower = say("run the return section at {depth:.1f} cm", depth=100 * depth)
            yield lower, 0, with_return_depth(rig, depth)
