"""Flows of the rig in lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import hours_words, percent, range_words
from brinebook.lifesupport.exchange import Exchange
from brinebook.lifesupport.flows_answer import DeviceFlow, FlowsAnswer
from brinebook.lifesupport.lines import LineFound
from brinebook.lifesupport.loop import Loop
from brinebook.lifesupport.pressures import DeviceSweeps, Position, ValveSweep
from brinebook.report.numbers import number_text
from brinebook.rig import Rig
from brinebook.texts import phrase, say

_UNTOLD = phrase(
    "The flows can't be told yet: they need the return pump's curve (or its flow as you measured "
    "it), the pipe to the display, and the depths of display and sump."
)


#: Positions of a valve that a line tells; the JSON has them all.
_TOLD_OPENINGS = (0.0, 0.1, 0.3, 0.5, 1.0)


def flows_lines(answer: FlowsAnswer | None) -> Iterator[str]:
    """What a person reads: the loop, the branches, the corners, the lines."""
    if answer is None:
        yield say(_UNTOLD)
        return
    how = say("as you measured it") if answer.measured else say("by the pump's curve and the pipes")
    yield say(
        "About {to_display} come up to the display, {how}.",
        to_display=range_words(answer.to_display, "L/h"),
        how=how,
    )
    if answer.loop is not None:
        yield from _loop_lines(answer.loop)
    yield from _exchange_lines(answer.exchange)
    yield from (_device_line(one) for one in answer.devices)
    for device in answer.sweeps:
        yield from _sweep_lines(device)
    yield from (_line_line(one) for one in answer.lines if one.runs != "neither")
    yield from answer.habits


def alone_lines(rig: Rig, litres: float) -> Iterator[str]:
    """A tank without a sump: what its own pumps turn over, else what the flows wait for."""
    display = rig.vessel("display")
    moving = [
        pump
        for pump in rig.pumps
        if display is not None
        and pump.flow
        and pump.role != "return"
        and pump.place.partition("/")[0] in ("", display.name)
    ]
    if display is None or rig.vessel("sump") is not None or not moving:
        yield say(_UNTOLD)
        return
    for pump in moving:
        yield say(
            "{pump} moves {flow} L/h: as much as all the water {times} times an hour.",
            pump=pump.name,
            flow=number_text(pump.flow or 0.0, 0),
            times=number_text((pump.flow or 0.0) / litres, 1),
        )
    yield say("Without a sump nothing runs up and down.")


def _loop_lines(loop: Loop) -> Iterator[str]:
    for pump in loop.pumps:
        yield (
            say(
                "{pump} works at {flow} against {head} m; its label's {free_flow} L/h is "
                "the flow without any height.",
                pump=pump.name,
                flow=range_words(pump.flow, "L/h"),
                head=number_text(pump.head, 2),
                free_flow=number_text(pump.free_flow, 0),
            )
        )
    for pipe in loop.pipes:
        if pipe.name.endswith("/through"):
            continue
        yield (
            say(
                "  {pipe}: {flow}, {speed} m/s, {regime}, {loss} m lost",
                pipe=pipe.name,
                flow=range_words(pipe.flow, "L/h"),
                speed=number_text(pipe.speed, 2),
                regime=pipe.regime,
                loss=number_text(pipe.loss, 2),
            )
        )
    for at in loop.pressures:
        limit = (
            ""
            if at.limit is None
            else say(", made for {limit} kPa", limit=number_text(at.limit, 0))
        )
        suction = say("; a leak there draws air in") if at.pressure.value < 0 else ""
        yield say(
            "  {pressure} kPa at {at}{limit}{suction}",
            pressure=number_text(at.pressure.value, 1),
            at=at.name,
            limit=limit,
            suction=suction,
        )
    yield from loop.notes


def _exchange_lines(found: Exchange) -> Iterator[str]:
    if found.turnover is not None:
        yield say(
            "That turns the whole system over {turnover} times an hour.",
            turnover=number_text(found.turnover, 1),
        )
    for one in found.skimming:
        share = one.second_pass
        yield (
            say(
                "Of what {name} takes in, {share_low} to {share_high} has been through "
                "it since it left the display.",
                name=one.name,
                share_low=percent(share.low),
                share_high=percent(share.high),
            )
        )
    for place in found.places:
        if not place.is_slow:
            continue
        stay = say("nothing reaches it")
        if place.hours is not None:
            stay = say("{hours} on average", hours=hours_words(place.hours))
        yield say(
            "{place}: the water stays long, {stay}. Aim a return or a branch at it.",
            place=place.name,
            stay=stay,
        )


def _device_line(one: DeviceFlow) -> str:
    parts = [say("{name} gets {flow}", name=one.name, flow=range_words(one.flow, "L/h"))]
    if one.wanted is not None:
        low, high = (number_text(flow, 0) for flow in one.wanted)
        wants = say(
            "it wants {low}", low=low if low == high else say("{low} to {high}", low=low, high=high)
        )
        if one.opening_for_wanted is not None:
            opening = percent(one.opening_for_wanted)
            wants += say(
                ", which the valve in {valve_in} gives about {opening} open",
                valve_in=one.valve_in,
                opening=opening,
            )
        elif one.flow.value < min(one.wanted):
            wants += say(", more than comes through even with its valve wide open")
        parts.append(wants)
    if one.bed is not None:
        lift = (
            ""
            if one.bed.depth is None
            else say(", {depth} cm deep", depth=number_text(100 * one.bed.depth, 0))
        )
        parts.append(say("its bed is {state}{lift}", state=one.bed.state, lift=lift))
        if one.bed.face_velocity > 0:
            rises = one.flow.value / one.bed.face_velocity
            parts.append(
                say(
                    "the water rises in it at {speed} mm/s, and grains lift from {lifts} L/h and "
                    "leave from {leaves}",
                    speed=number_text(1000 * one.bed.face_velocity, 1),
                    lifts=number_text(rises * one.bed.lifts_at, 0),
                    leaves=number_text(rises * one.bed.settles_at, 0),
                )
            )
    return "; ".join(parts) + "."


def _sweep_lines(device: DeviceSweeps) -> Iterator[str]:
    for sweep in device.sweeps:
        highest = sweep.highest
        if highest.pressure is None:
            continue
        yield (
            say(
                "Whatever the valve {side} {device} does, at most {pressure} kPa stand "
                "on it ({when}){against}.",
                side=sweep.side,
                device=device.device,
                pressure=number_text(highest.pressure, 1),
                when=_when(sweep, highest),
                against=_against(device.limit, sweep),
            )
        )
        told = [at for at in sweep.positions if at.opening in _TOLD_OPENINGS]
        yield "  " + say(
            "at {openings} % open: {pressures} kPa",
            openings=", ".join(number_text(100 * at.opening, 0) for at in told),
            pressures=", ".join(
                "–" if at.pressure is None else number_text(at.pressure, 1) for at in told
            ),
        )


def _when(sweep: ValveSweep, highest: Position) -> str:
    at = (
        say("shut")
        if highest.opening == 0
        else say("{opening} open", opening=percent(highest.opening))
    )
    return (
        at if sweep.described else say("{at}; there is none in {pipe} now", at=at, pipe=sweep.pipe)
    )


def _against(limit: float | None, sweep: ValveSweep) -> str:
    pressure = sweep.highest.pressure
    if limit is None or pressure is None:
        return ""
    told = number_text(limit, 0 if limit == round(limit) else 1)
    if pressure <= limit:
        return say(", under the {limit} kPa of its weakest joint", limit=told)
    if sweep.side == "behind":
        return say(
            ", over the {limit} kPa of its weakest joint: put the valve before it, not behind",
            limit=told,
        )
    under = [one.opening for one in sweep.positions if (one.pressure or 0.0) <= limit]
    if not under:
        return say(", over the {limit} kPa of its weakest joint wherever it stands", limit=told)
    return say(
        ", over the {limit} kPa of its weakest joint: leave it no further open than {opening}",
        limit=told,
        opening=percent(max(under)),
    )


def _line_line(one: LineFound) -> str:
    if one.runs == "not told" or one.head is None or one.flow is None:
        return say(
            "Whether the line of {name} can run by itself isn't told: it takes the "
            "heights of its liquid and of its end.",
            name=one.name,
        )
    if one.runs == "out by itself":
        return say(
            "The liquid of {name} stands {head} cm over the end of its line: with a "
            "worn tube it runs out by itself, about {flow} L/h, all {litres} L of "
            "it. Hang the end higher, or the container lower.",
            name=one.name,
            head=number_text(100 * one.head, 0),
            flow=number_text(one.flow, 1),
            litres=number_text(one.litres or 0.0, 1),
        )
    return say(
        "The line of {name} ends under water {head} cm over its container: with a "
        "worn tube the tank runs back into it, about {flow} L/h. End it above the "
        "water.",
        name=one.name,
        head=number_text(-100 * one.head, 0),
        flow=number_text(one.flow, 1),
    )
