"""Levels of the rig in lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import hours_words, percent, range_words
from brinebook.lifesupport.burst import Burst
from brinebook.lifesupport.drain_back import DrainBack, DrainBacks
from brinebook.lifesupport.drains import Blocked, DrainCan, Drains
from brinebook.lifesupport.levels_answer import LevelsAnswer, Running
from brinebook.lifesupport.stuck import BlockedDrain, Course
from brinebook.report.numbers import number_text
from brinebook.texts import phrase, say

_UNTOLD = phrase(
    "The levels can't be told yet: they need the flow to the display first (the return pump's "
    "curve or its measured flow)."
)


def levels_lines(answer: LevelsAnswer | None) -> Iterator[str]:
    """What a person reads: running, stopping, blocked, stuck, burst."""
    if answer is None:
        yield say(_UNTOLD)
        return
    if answer.running is not None:
        yield from _running_lines(answer.running)
    for section in answer.sections:
        if section.differs and section.told is not None:
            yield (
                say(
                    "{section} is said to run {centimetres} deep; by its wall it should "
                    "run about {centimetres_by_wall}. One of the two is off.",
                    section=section.name,
                    centimetres=_centimetres(section.told),
                    centimetres_by_wall=_centimetres(section.by_wall.value),
                )
            )
    if answer.drain_back is not None:
        yield from _drain_back_lines(answer.drain_back)
    if answer.drains is not None:
        yield from _drain_lines(answer.drains)
    if answer.blocked is not None:
        yield from _blocked_lines(answer.blocked)
    if answer.stuck_on is not None:
        yield _stuck_on_line(answer.stuck_on)
    if answer.stuck_off is not None and answer.stuck_off.ends_at is not None:
        yield (
            say(
                "Top-off stuck off: the return pump draws air after {ends_at}, at {salinity} PSU.",
                ends_at=hours_words(answer.stuck_off.ends_at),
                salinity=number_text(answer.stuck_off.salinity, 1),
            )
        )
    yield from (_burst_line(one) for one in answer.bursts)


def _centimetres(metres: float) -> str:
    return f"{number_text(100 * metres, 1)} cm"


def _running_lines(one: Running) -> Iterator[str]:
    over = ""
    if one.weir_head.high > 0:
        over = say(
            "; {scaled} stand over the weir", scaled=range_words(one.weir_head.scaled(1000), "mm")
        )
    yield (
        say(
            "The display runs {centimetres} deep, {centimetres_freeboard} under its rim{over}.",
            centimetres=_centimetres(one.level),
            centimetres_freeboard=_centimetres(one.freeboard),
            over=over,
        )
    )
    if one.outside_range:
        yield (
            say(
                "  Under 30 mm no weir formula was measured: take that head as right "
                "within a fifth, or lay a ruler on it."
            )
        )


def _drain_back_lines(found: DrainBacks) -> Iterator[str]:
    yield (
        say(
            "When the return pump stops, the sump has room for {room_to_mark} L to the mark and "
            "{room_to_rim} L to its rim:",
            room_to_mark=number_text(found.room_to_mark, 0),
            room_to_rim=number_text(found.room_to_rim, 0),
        )
    )
    for case in found.cases:
        yield say(
            "  {case}: {litres} come down{outcome}",
            case=case.name,
            litres=range_words(case.litres, "L"),
            outcome=_outcome(case),
        )
    if found.highest_depth is None:
        yield (
            say(
                "At no running depth that the pump can work with does the worst of these "
                "fit: a nozzle has to end higher."
            )
        )
    else:
        yield (
            say(
                "Mark the return section at {centimetres}: up to there even the worst of "
                "these stays under the mark (it runs at {centimetres_running_depth}).",
                centimetres=_centimetres(found.highest_depth),
                centimetres_running_depth=_centimetres(found.running_depth),
            )
        )
    yield from found.notes


def _outcome(case: DrainBack) -> str:
    if case.over_rim > 0:
        return say(
            ", {over_mark} L past the mark and {over_rim} L over the rim",
            over_mark=number_text(case.over_mark, 1),
            over_rim=number_text(case.over_rim, 1),
        )
    if case.over_mark > 0:
        return say(
            ", {over_mark} L past the mark, {centimetres} under the rim",
            over_mark=number_text(case.over_mark, 1),
            centimetres=_centimetres(case.freeboard),
        )
    return say(", {centimetres} under the rim", centimetres=_centimetres(case.freeboard))


def _drain_lines(found: Drains) -> Iterator[str]:
    for one in found.each:
        yield f"{one.name} {_carries(one, found.flow)}"
    for blocked in found.blocked:
        yield _blocked_drain_line(blocked, found.flow)


def _carries(one: DrainCan, flow: float) -> str:
    if one.kind != "siphon":
        return say(
            "carries {trickle} with air down its middle, {full} when it runs full.",
            trickle=range_words(one.trickle, "L/h"),
            full=range_words(one.full, "L/h"),
        )
    told = say("carries {full} as a full siphon", full=range_words(one.full, "L/h"))
    if one.full.value < flow:
        return say("{told}: less than comes up.", told=told)
    valve = say(
        "a valve in it adds {valve_for_flow} of resistance (K)",
        valve_for_flow=number_text(one.valve_for_flow or 0, 1),
    )
    if one.opening_for_flow is not None:
        valve = say(
            "its valve is about {opening_for_flow} open",
            opening_for_flow=percent(one.opening_for_flow),
        )
    return say(
        "{told} and {trickle} while it still draws air. It runs full and quiet at "
        "{flow} L/h once {valve}.",
        told=told,
        trickle=range_words(one.trickle, "L/h"),
        flow=number_text(flow, 0),
        valve=valve,
    )


def _blocked_drain_line(one: Blocked, flow: float) -> str:
    if one.others.value <= 0:
        return say("With {drain} blocked nothing else drains the display.", drain=one.drain)
    verdict = say("which is enough") if one.carries else say("less than comes up")
    if not one.carries and one.others.high >= flow:
        verdict = say("enough only if they run full")
    return say(
        "With {drain} blocked the others carry {others}, {verdict} for {flow} L/h.",
        drain=one.drain,
        others=range_words(one.others, "L/h"),
        verdict=verdict,
        flow=number_text(flow, 0),
    )


def _blocked_lines(one: BlockedDrain) -> Iterator[str]:
    brings = say(
        "{from_section} L of the return section and {from_top_off} L of the top-off's reservoir",
        from_section=number_text(one.from_section, 0),
        from_top_off=number_text(one.from_top_off, 0),
    )
    yield (
        say(
            "With nothing draining, the pump can bring up {brings}; the display has room "
            "for {room} L.",
            brings=brings,
            room=number_text(one.room, 0),
        )
    )
    if one.hours_to_rim is None:
        yield say("  It doesn't run over by that.")
    else:
        yield (
            say(
                "  It runs over after {hours_to_rim}, {over} L in all. A smaller "
                "reservoir, a run limit on the top-off or less water above the pump's "
                "intake takes that away.",
                hours_to_rim=hours_words(one.hours_to_rim),
                over=number_text(one.over, 0),
            )
        )


def _stuck_on_line(one: Course) -> str:
    over = (
        say(", {spilt} L of it over the sump's rim", spilt=number_text(one.spilt, 0))
        if one.spilt > 0
        else ""
    )
    return say(
        "Top-off stuck on: its reservoir is in the system after {ends_at}{over}; "
        "that leaves {salinity} PSU.",
        ends_at=hours_words(one.ends_at or 0.0),
        over=over,
        salinity=number_text(one.salinity, 1),
    )


def _burst_line(one: Burst) -> str:
    if one.litres_a_minute <= 0:
        return say(
            "If {place} lets go, air is drawn in there and no water comes out.", place=one.place
        )
    return say(
        "If {place} lets go: {litres_a_minute} L a minute until the pump draws air after "
        "{minutes}, {by_pump} L; then up to {by_siphon} L that run back.",
        place=one.place,
        litres_a_minute=number_text(one.litres_a_minute, 0),
        minutes=hours_words(one.minutes / 60),
        by_pump=number_text(one.by_pump, 0),
        by_siphon=number_text(one.by_siphon + one.from_sump, 0),
    )
