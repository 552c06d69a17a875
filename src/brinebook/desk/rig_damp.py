"""Damp in the stand and the flat: the JSON of docs/rig-json.md, and the lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import (
    MONTHS,
    Json,
    air_json,
    degrees,
    figure,
    hours_words,
    percent,
    range_words,
    ranged,
    room_words,
)
from brinebook.lifesupport.cabinet import StandAir
from brinebook.lifesupport.damp_answer import (
    SLOWEST,
    DampAnswer,
    FanAir,
    FlatDamp,
    LeastFan,
    StandDamp,
)
from brinebook.report.numbers import number_text


def damp_json(answer: DampAnswer) -> Json:
    """The ``damp`` object."""
    limit = answer.humidity_limit
    return {
        "humidity_limit": figure(None if limit is None else limit * 100.0, "%"),
        "mould_from": figure(answer.mould_at * 100.0, "%"),
        "stand": [_stand_json(one) for one in answer.stands],
        "flat": [_flat_json(one) for one in answer.flats],
    }


def damp_lines(answer: DampAnswer) -> Iterator[str]:
    """What a person reads: the stand by its fan, the least that would do, the flat."""
    if not answer.stands:
        yield "The stand's air can't be told before its cabinet and a sump are described."
    for stand in answer.stands:
        yield from _stand_lines(stand, answer.humidity_limit or 1.0)
    if not answer.flats:
        yield "What the tank does to the flat can't be told before the flat's volume is described."
    for flat in answer.flats:
        yield from _flat_lines(flat, answer.mould_at)


def _stand_lines(stand: StandDamp, limit: float) -> Iterator[str]:
    yield f"The stand in {MONTHS[stand.month - 1]} (room of {room_words(stand.room)}):"
    yield f"  fans off: {_air_words(stand.fans_off)}"
    for fan in stand.fans:
        yield f"  {_fan_words(fan)}"
    for least in stand.least:
        yield f"  {_least_words(least, limit)}"
    if stand.coldest_wall is not None:
        drips = "water gathers on" if stand.drips else "nothing gathers on"
        yield f"  as the fans run, {drips} the wall of {degrees(stand.coldest_wall)}"


def _air_words(air: StandAir) -> str:
    if air.condensed > 0.0:
        return f"saturated; {number_text(air.condensed, 0)} g an hour gather on its walls"
    return f"{percent(air.humidity)}, dew point {degrees(air.dew_point, 1)}"


def _fan_words(fan: FanAir) -> str:
    flow = f"{number_text(fan.flow / 1000.0, 1)} m³/h"
    if not fan.on or not fan.off:
        return f"{fan.fan}, {flow} without pause: {range_words(fan.mean.scaled(100.0), '%')}"
    full = ""
    if fan.saturated.value > 0.005:
        full = f", saturated {percent(fan.saturated.value)} of the time"
    turns = f"{hours_words(fan.on / 3600.0)} on and {hours_words(fan.off / 3600.0)} off"
    return (
        f"{fan.fan}, {flow}, {turns}: "
        f"{range_words(fan.mean.scaled(100.0), '%')} on the mean, up to "
        f"{percent(fan.highest.value)}{full}"
    )


def _least_words(least: LeastFan, limit: float) -> str:
    goal = f"to stay under {percent(limit)}"
    if least.limit == "coldest wall":
        goal = "to keep the coldest wall dry"
    if least.flow is None:
        return f"{goal}: no fan can, the room's own air is that damp"
    words = f"{goal}: {range_words(least.flow.scaled(0.001), 'm³/h')} without pause"
    if least.by_fan is not None and least.by_fan <= 0.0:
        return words + ", which the leaks alone pass"
    if least.speed is not None:
        words += f"; {_speed_words(least)}"
    held = [(cycle, share) for cycle, share in least.duties if share is not None]
    if held:
        words += f"; or at full speed{_loud(least.full_sound, least.noise_limit)} " + ", ".join(
            f"{percent(share)} of every {number_text(cycle / 60.0, 0)} minutes"
            for cycle, share in held
        )
    return words


def _loud(sound: float | None, limit: float | None) -> str:
    """“ (30 dB(A), more than you want)”, as far as it is known."""
    if sound is None:
        return ""
    over = ", more than you want" if limit is not None and sound > limit else ""
    return f" ({number_text(sound, 0)} dB(A){over})"


def _speed_words(least: LeastFan) -> str:
    share = least.speed or 0.0
    if share > 1.0:
        return "more than your fan moves"
    if share < SLOWEST:
        return "less than your fan can be slowed to: a smaller one would run all the time, quietly"
    return f"your fan at {percent(share)} of its speed{_loud(least.sound, least.noise_limit)}"


def _flat_lines(flat: FlatDamp, mould_at: float) -> Iterator[str]:
    added = flat.from_tank.scaled(100.0)
    yield (
        f"The flat in {MONTHS[flat.month - 1]}: {range_words(flat.litres_a_day, 'L')} a day from "
        f"the tank make {range_words(added, 'points')} of its {percent(flat.room.humidity)}."
    )
    if flat.pane is None or flat.at_pane is None:
        return
    state = (
        "wet" if flat.at_pane >= 1.0 else "mould may grow" if flat.at_pane >= mould_at else "dry"
    )
    yield (
        f"  right at the coldest pane ({degrees(flat.pane)}) it is {percent(flat.at_pane)}: {state}"
    )
    if flat.changes_needed is not None and flat.at_pane >= mould_at:
        yield (
            f"  {number_text(flat.changes_needed, 2)} air changes an hour instead of "
            f"{number_text(flat.changes, 2)} would keep it under {percent(mould_at)}"
        )


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
