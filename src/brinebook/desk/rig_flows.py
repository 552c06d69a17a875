"""Flows of the rig: the JSON of docs/rig-json.md."""

from __future__ import annotations

from brinebook.desk.rig_figures import Json, figure, ranged
from brinebook.lifesupport.beds import BedFlow
from brinebook.lifesupport.exchange import Exchange
from brinebook.lifesupport.flows_answer import DeviceFlow, FlowsAnswer
from brinebook.lifesupport.lines import LineFound
from brinebook.lifesupport.loop import Loop
from brinebook.lifesupport.pressures import DeviceSweeps, Position


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
        "habits": list(answer.habits),
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
