"""Levels of the rig: the JSON of docs/rig-json.md."""

from __future__ import annotations

import math

from brinebook.desk.rig_figures import Json, figure, ranged
from brinebook.lifesupport.burst import Burst
from brinebook.lifesupport.drain_back import DrainBacks
from brinebook.lifesupport.drains import Drains
from brinebook.lifesupport.levels_answer import LevelsAnswer, Running
from brinebook.lifesupport.stuck import BlockedDrain, Course


def levels_json(answer: LevelsAnswer | None) -> Json | None:
    """The ``levels`` object."""
    if answer is None:
        return None
    section = answer.section
    return {
        "flow": ranged(answer.flow, "L/h"),
        "running": None if answer.running is None else _running_json(answer.running),
        "sections": [
            {
                "section": one.name,
                "depth": figure(one.told, "m"),
                "by_wall": ranged(one.by_wall, "m"),
                "differs": one.differs,
            }
            for one in answer.sections
        ],
        "return_section": None
        if section is None
        else {
            "depth": figure(section.depth, "m"),
            "intake": figure(section.intake, "m"),
            "until_dry": figure(section.until_dry, "L"),
        },
        "drains": None if answer.drains is None else _drains_json(answer.drains),
        "drain_back": None if answer.drain_back is None else _drain_back_json(answer.drain_back),
        "blocked_drain": None if answer.blocked is None else _blocked_json(answer.blocked),
        "top_off_stuck_on": None if answer.stuck_on is None else _course_json(answer.stuck_on),
        "top_off_stuck_off": None if answer.stuck_off is None else _course_json(answer.stuck_off),
        "evaporation": ranged(answer.evaporation, "L/day"),
        "bursts": [_burst_json(one) for one in answer.bursts],
    }


def _running_json(one: Running) -> Json:
    return {
        "level": figure(one.level, "m"),
        "crest": figure(one.crest, "m"),
        "weir_head": ranged(one.weir_head, "m"),
        "freeboard": figure(one.freeboard, "m"),
        "outside_range": one.outside_range,
    }


def _drains_json(found: Drains) -> Json:
    return {
        "together": ranged(found.together, "L/h"),
        "carries": found.carries,
        "each": [
            {
                "drain": one.name,
                "kind": one.kind,
                "head": figure(one.head, "m"),
                "full": ranged(one.full, "L/h"),
                "trickle": ranged(one.trickle, "L/h"),
                "speed": figure(one.speed, "m/s"),
                "valve_for_flow": one.valve_for_flow,
                "opening_for_flow": figure(
                    None if one.opening_for_flow is None else 100 * one.opening_for_flow, "%"
                ),
            }
            for one in found.each
        ],
        "blocked": [
            {
                "drain": one.drain,
                "others": ranged(one.others, "L/h"),
                "carries": one.carries,
            }
            for one in found.blocked
        ],
    }


def _drain_back_json(found: DrainBacks) -> Json:
    return {
        "weir_head": ranged(found.weir_head, "m"),
        "pipes": figure(found.pipes, "L"),
        "box": figure(found.box, "L"),
        "room_to_mark": figure(found.room_to_mark, "L"),
        "room_to_rim": figure(found.room_to_rim, "L"),
        "running_depth": figure(found.running_depth, "m"),
        "highest_running_depth": figure(found.highest_depth, "m"),
        "cases": [
            {
                "case": one.name,
                "blocked": list(one.blocked),
                "display_falls": figure(one.display_falls, "m"),
                "litres": ranged(one.litres, "L"),
                "sump_depth": figure(one.sump_depth, "m"),
                "freeboard": figure(one.freeboard, "m"),
                "over_mark": figure(one.over_mark, "L"),
                "over_rim": figure(one.over_rim, "L"),
            }
            for one in found.cases
        ],
        "notes": list(found.notes),
    }


def _blocked_json(one: BlockedDrain) -> Json:
    dry = None if math.isinf(one.hours_to_dry) else one.hours_to_dry
    return {
        "room": figure(one.room, "L"),
        "from_return_section": figure(one.from_section, "L"),
        "from_top_off": figure(one.from_top_off, "L"),
        "over_rim": figure(one.over, "L"),
        "hours_to_rim": figure(one.hours_to_rim, "h"),
        "hours_to_dry": figure(dry, "h"),
    }


def _course_json(one: Course) -> Json:
    return {
        "ends_at": figure(one.ends_at, "h"),
        "ends_with": one.ends_with,
        "salinity": figure(one.salinity, "PSU"),
        "over_rim": figure(one.spilt, "L"),
        "by_hour": [
            {
                "hour": hour.hours,
                "depth": hour.depth,
                "salinity": hour.salinity,
                "over_rim": hour.spilt,
            }
            for hour in one.hours
        ],
    }


def _burst_json(one: Burst) -> Json:
    return {
        "at": one.place,
        "bore": figure(one.bore, "m"),
        "litres_a_minute": figure(one.litres_a_minute, "L/min"),
        "minutes": figure(None if math.isinf(one.minutes) else one.minutes, "min"),
        "by_pump": figure(one.by_pump, "L"),
        "by_siphon": figure(one.by_siphon, "L"),
        "from_sump": figure(one.from_sump, "L"),
        "litres": figure(one.litres, "L"),
        "return_section_depth": figure(one.sump_depth, "m"),
    }
