"""Damp in the stand and the flat: the JSON of docs/rig-json.md."""

from __future__ import annotations

from brinebook.desk.rig_figures import Json, air_json, figure, ranged
from brinebook.lifesupport.cabinet import StandAir
from brinebook.lifesupport.damp_answer import DampAnswer, FanAir, FlatDamp, LeastFan, StandDamp


def damp_json(answer: DampAnswer) -> Json:
    """The ``damp`` object."""
    limit = answer.humidity_limit
    return {
        "humidity_limit": figure(None if limit is None else limit * 100.0, "%"),
        "mould_from": figure(answer.mould_at * 100.0, "%"),
        "stand": [_stand_json(one) for one in answer.stands],
        "flat": [_flat_json(one) for one in answer.flats],
    }


def _stand_json(one: StandDamp) -> Json:
    return {
        "month": one.month,
        "room": air_json(one.room),
        "temperature": figure(one.temperature, "C"),
        "fans_off": _air_json(one.fans_off),
        "as_set": None if one.as_set is None else _air_json(one.as_set),
        "fans": [_fan_json(fan) for fan in one.fans],
        "least": [_least_json(least) for least in one.least],
        "coldest_wall": figure(one.coldest_wall, "C"),
        "drips": one.drips,
    }


def _air_json(air: StandAir) -> Json:
    return {
        "humidity": figure(air.humidity * 100.0, "%"),
        "dew_point": figure(air.dew_point, "C"),
        "evaporated": figure(air.evaporated, "g/h"),
        "carried_off": figure(air.carried, "g/h"),
        "condensed": figure(air.condensed, "g/h"),
    }


def _fan_json(fan: FanAir) -> Json:
    return {
        "fan": fan.fan,
        "flow": figure(fan.flow, "L/h"),
        "on": figure(fan.on, "s"),
        "off": figure(fan.off, "s"),
        "mean_humidity": ranged(fan.mean.scaled(100.0), "%"),
        "highest_humidity": ranged(fan.highest.scaled(100.0), "%"),
        "saturated": ranged(fan.saturated.scaled(100.0), "%"),
        "mean_sound": figure(fan.mean_sound, "dB(A)"),
    }


def _least_json(least: LeastFan) -> Json:
    return {
        "limit": least.limit,
        "possible": least.flow is not None,
        "flow": ranged(least.flow, "L/h"),
        "by_fan": figure(least.by_fan, "L/h"),
        "speed": figure(None if least.speed is None else least.speed * 100.0, "%"),
        "sound": figure(least.sound, "dB(A)"),
        "sound_at_full_speed": figure(least.full_sound, "dB(A)"),
        "sound_limit": figure(least.noise_limit, "dB(A)"),
        "duties": [
            {
                "cycle": figure(cycle, "s"),
                "share": figure(None if share is None else share * 100.0, "%"),
            }
            for cycle, share in least.duties
        ],
    }


def _flat_json(one: FlatDamp) -> Json:
    without = None if one.at_pane_without is None else one.at_pane_without.scaled(100.0)
    return {
        "month": one.month,
        "room": air_json(one.room),
        "evaporation": ranged(one.litres_a_day, "L/day"),
        "from_tank": ranged(one.from_tank.scaled(100.0), "%"),
        "without_tank": ranged(one.without.scaled(100.0), "%"),
        "pane": figure(one.pane, "C"),
        "at_pane": figure(None if one.at_pane is None else one.at_pane * 100.0, "%"),
        "at_pane_without_tank": ranged(without, "%"),
        "air_changes": figure(one.changes, "1/h"),
        "air_changes_needed": figure(one.changes_needed, "1/h"),
    }
