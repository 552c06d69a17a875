"""Flows of the rig: the JSON of docs/rig-json.md, and the lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import Json, figure, hours_words, percent, range_words, ranged
from brinebook.lifesupport.beds import BedFlow
from brinebook.lifesupport.exchange import Exchange
from brinebook.lifesupport.flows_answer import DeviceFlow, FlowsAnswer
from brinebook.lifesupport.lines import LineFound
from brinebook.lifesupport.loop import Loop
from brinebook.lifesupport.pressures import DeviceSweeps, Position, ValveSweep
from brinebook.report.numbers import number_text

_UNTOLD = (
    "The flows can't be told yet: they need the return pump's curve (or its flow as you measured "
    "it), the pipe to the display, and the depths of display and sump."
)


def flows_json(answer: FlowsAnswer | None) -> Json | None:
    """The ``flows`` object."""
    if answer is None:
        return None
    return {
        "to_display": ranged(answer.to_display, "L/h"),
        "measured": answer.measured,
        **_loop_json(answer.loop),
        **_exchange_json(answer.exchange),
        "devices": [_device_json(one) for one in answer.devices],
        "valves": [_sweeps_json(one) for one in answer.sweeps],
        "lines": [_line_json(one) for one in answer.lines],
        "by_swamee_jain": figure(
            None if answer.law_difference is None else 100 * answer.law_difference, "%"
        ),
    }


def _loop_json(loop: Loop | None) -> Json:
    if loop is None:
        return {"pumps": [], "pipes": [], "pressures": [], "notes": []}
    return {
        "pumps": [
            {
                "pump": one.name,
                "flow": ranged(one.flow, "L/h"),
                "head": figure(one.head, "m"),
                "free_flow": figure(one.free_flow, "L/h"),
            }
            for one in loop.pumps
        ],
        "pipes": [
            {
                "pipe": one.name,
                "from": one.begin,
                "to": one.end,
                "flow": ranged(one.flow, "L/h"),
                "speed": figure(one.speed, "m/s"),
                "reynolds": one.reynolds,
                "regime": one.regime,
                "loss": figure(one.loss, "m"),
            }
            for one in loop.pipes
        ],
        "pressures": [
            {
                "at": one.name,
                "pressure": ranged(one.pressure, "kPa"),
                "limit": figure(one.limit, "kPa"),
            }
            for one in loop.pressures
        ],
        "notes": list(loop.notes),
    }


def _exchange_json(found: Exchange) -> Json:
    return {
        "turnover": figure(found.turnover, "1/h"),
        "display_turnover": figure(found.display_turnover, "1/h"),
        "skimming": [
            {
                "pump": one.name,
                "throughput": figure(one.throughput, "L/h"),
                "second_pass": {
                    "value": 100 * one.second_pass.value,
                    "low": 100 * one.second_pass.low,
                    "high": 100 * one.second_pass.high,
                    "unit": "%",
                },
            }
            for one in found.skimming
        ],
        "places": [
            {
                "place": one.name,
                "litres": figure(one.litres, "L"),
                "flow": figure(one.flow, "L/h"),
                "stay": figure(one.hours, "h"),
                "passed_by": one.is_slow,
            }
            for one in found.places
        ],
    }


def _device_json(one: DeviceFlow) -> Json:
    return {
        "device": one.name,
        "flow": ranged(one.flow, "L/h"),
        "wanted": None if one.wanted is None else [figure(flow, "L/h") for flow in one.wanted],
        "valve_in": one.valve_in or None,
        "opening_for_wanted": figure(
            None if one.opening_for_wanted is None else 100 * one.opening_for_wanted, "%"
        ),
        "bed": None if one.bed is None else _bed_json(one.bed),
    }


def _bed_json(bed: BedFlow) -> Json:
    return {
        "face_velocity": figure(bed.face_velocity, "m/s"),
        "lifts_at": figure(bed.lifts_at, "m/s"),
        "settles_at": figure(bed.settles_at, "m/s"),
        "pressure": figure(bed.pressure, "kPa"),
        "depth": figure(bed.depth, "m"),
        "state": bed.state,
    }


def _sweeps_json(one: DeviceSweeps) -> Json:
    return {
        "device": one.device,
        "limit": figure(one.limit, "kPa"),
        "sweeps": [
            {
                "pipe": sweep.pipe,
                "side": sweep.side,
                "described": sweep.described,
                "positions": [_position_json(position) for position in sweep.positions],
                "highest": _position_json(sweep.highest),
            }
            for sweep in one.sweeps
        ],
    }


def _position_json(one: Position) -> Json:
    return {
        "opening": figure(100 * one.opening, "%"),
        "flow": figure(one.flow, "L/h"),
        "pressure": figure(one.pressure, "kPa"),
    }


def _line_json(one: LineFound) -> Json:
    return {
        "line": one.name,
        "runs": one.runs,
        "head": figure(one.head, "m"),
        "flow": figure(one.flow, "L/h"),
        "litres": figure(one.litres, "L"),
    }


def flows_lines(answer: FlowsAnswer | None) -> Iterator[str]:
    """What a person reads: the loop, the branches, the corners, the lines."""
    if answer is None:
        yield _UNTOLD
        return
    how = "as you measured it" if answer.measured else "by the pump's curve and the pipes"
    yield f"About {range_words(answer.to_display, 'L/h')} come up to the display, {how}."
    if answer.loop is not None:
        yield from _loop_lines(answer.loop)
    yield from _exchange_lines(answer.exchange)
    yield from (_device_line(one) for one in answer.devices)
    for device in answer.sweeps:
        yield from _sweep_lines(device)
    yield from (_line_line(one) for one in answer.lines if one.runs != "neither")


def _loop_lines(loop: Loop) -> Iterator[str]:
    for pump in loop.pumps:
        yield (
            f"{pump.name} works at {range_words(pump.flow, 'L/h')} against "
            f"{number_text(pump.head, 2)} m; its label's {number_text(pump.free_flow, 0)} L/h is "
            "the flow without any height."
        )
    for pipe in loop.pipes:
        if pipe.name.endswith("/through"):
            continue
        yield (
            f"  {pipe.name}: {range_words(pipe.flow, 'L/h')}, {number_text(pipe.speed, 2)} m/s, "
            f"{pipe.regime}, {number_text(pipe.loss, 2)} m lost"
        )
    for at in loop.pressures:
        limit = "" if at.limit is None else f", made for {number_text(at.limit, 0)} kPa"
        suction = "; a leak there draws air in" if at.pressure.value < 0 else ""
        yield f"  {number_text(at.pressure.value, 1)} kPa at {at.name}{limit}{suction}"
    yield from loop.notes


def _exchange_lines(found: Exchange) -> Iterator[str]:
    if found.turnover is not None:
        yield f"That turns the whole system over {number_text(found.turnover, 1)} times an hour."
    for one in found.skimming:
        share = one.second_pass
        yield (
            f"Of what {one.name} takes in, {percent(share.low)} to {percent(share.high)} has been "
            "through it since it left the display."
        )
    for place in found.places:
        if not place.is_slow:
            continue
        stay = "nothing reaches it"
        if place.hours is not None:
            stay = f"{hours_words(place.hours)} on average"
        yield f"{place.name}: the water stays long, {stay}. Aim a return or a branch at it."


def _device_line(one: DeviceFlow) -> str:
    parts = [f"{one.name} gets {range_words(one.flow, 'L/h')}"]
    if one.wanted is not None:
        low, high = (number_text(flow, 0) for flow in one.wanted)
        wants = f"it wants {low if low == high else f'{low} to {high}'}"
        if one.opening_for_wanted is not None:
            opening = percent(one.opening_for_wanted)
            wants += f", which the valve in {one.valve_in} gives about {opening} open"
        parts.append(wants)
    if one.bed is not None:
        lift = "" if one.bed.depth is None else f", {number_text(100 * one.bed.depth, 0)} cm deep"
        parts.append(f"its bed is {one.bed.state}{lift}")
    return "; ".join(parts) + "."


def _sweep_lines(device: DeviceSweeps) -> Iterator[str]:
    for sweep in device.sweeps:
        highest = sweep.highest
        if highest.pressure is None:
            continue
        yield (
            f"Whatever the valve {sweep.side} {device.device} does, at most "
            f"{number_text(highest.pressure, 1)} kPa stand on it "
            f"({_when(sweep, highest)}){_against(device.limit, highest.pressure)}."
        )


def _when(sweep: ValveSweep, highest: Position) -> str:
    at = "shut" if highest.opening == 0 else f"{percent(highest.opening)} open"
    return at if sweep.described else f"{at}; there is none in {sweep.pipe} now"


def _against(limit: float | None, pressure: float) -> str:
    if limit is None:
        return ""
    if pressure <= limit:
        return f", under the {number_text(limit, 0)} kPa of its weakest joint"
    return (
        f", over the {number_text(limit, 0)} kPa of its weakest joint: put the valve before it, "
        "not behind"
    )


def _line_line(one: LineFound) -> str:
    if one.runs == "not told" or one.head is None or one.flow is None:
        return (
            f"Whether the line of {one.name} can run by itself isn't told: it takes the heights of "
            "its liquid and of its end."
        )
    if one.runs == "out by itself":
        return (
            f"The liquid of {one.name} stands {number_text(100 * one.head, 0)} cm over the end of "
            f"its line: with a worn tube it runs out by itself, about {number_text(one.flow, 1)} "
            f"L/h, all {number_text(one.litres or 0.0, 1)} L of it. Hang the end higher, or the "
            "container lower."
        )
    return (
        f"The line of {one.name} ends under water {number_text(-100 * one.head, 0)} cm over its "
        f"container: with a worn tube the tank runs back into it, about {number_text(one.flow, 1)} "
        "L/h. End it above the water."
    )
