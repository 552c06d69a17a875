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
from brinebook.texts import say


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
        yield say("The stand's air can't be told before its cabinet and a sump are described.")
    for stand in answer.stands:
        yield from _stand_lines(stand, answer.humidity_limit or 1.0)
    if not answer.flats:
        yield say(
            "What the tank does to the flat can't be told before the flat's volume is described."
        )
    for flat in answer.flats:
        yield from _flat_lines(flat, answer.mould_at)


def _stand_lines(stand: StandDamp, limit: float) -> Iterator[str]:
    yield say(
        "The stand in {months} (room of {room}):",
        months=MONTHS[stand.month - 1],
        room=room_words(stand.room),
    )
    yield say("  fans off: {air}", air=_air_words(stand.fans_off))
    for fan in stand.fans:
        yield f"  {_fan_words(fan)}"
    for least in stand.least:
        yield f"  {_least_words(least, limit)}"
    if stand.coldest_wall is not None:
        drips = say("water gathers on") if stand.drips else say("nothing gathers on")
        yield say(
            "  as the fans run, {drips} the wall of {coldest_wall}",
            drips=drips,
            coldest_wall=degrees(stand.coldest_wall),
        )


def _air_words(air: StandAir) -> str:
    if air.condensed > 0.0:
        return say(
            "saturated; {condensed} g an hour gather on its walls",
            condensed=number_text(air.condensed, 0),
        )
    return say(
        "{humidity}, dew point {dew_point}",
        humidity=percent(air.humidity),
        dew_point=degrees(air.dew_point, 1),
    )


def _fan_words(fan: FanAir) -> str:
    flow = say("{flow} m³/h", flow=number_text(fan.flow / 1000.0, 1))
    if not fan.on or not fan.off:
        return say(
            "{fan}, {flow} without pause: {scaled}",
            fan=fan.fan,
            flow=flow,
            scaled=range_words(fan.mean.scaled(100.0), "%"),
        )
    full = ""
    if fan.saturated.value > 0.005:
        full = say(", saturated {saturated} of the time", saturated=percent(fan.saturated.value))
    turns = say(
        "{on} on and {off} off", on=hours_words(fan.on / 3600.0), off=hours_words(fan.off / 3600.0)
    )
    return say(
        "{fan}, {flow}, {turns}: {scaled} on the mean, up to {highest}{full}",
        fan=fan.fan,
        flow=flow,
        turns=turns,
        scaled=range_words(fan.mean.scaled(100.0), "%"),
        highest=percent(fan.highest.value),
        full=full,
    )


def _least_words(least: LeastFan, limit: float) -> str:
    goal = say("to stay under {limit}", limit=percent(limit))
    if least.limit == "coldest wall":
        goal = say("to keep the coldest wall dry")
    if least.flow is None:
        return say("{goal}: no fan can, the room's own air is that damp", goal=goal)
    words = say(
        "{goal}: {scaled} without pause",
        goal=goal,
        scaled=range_words(least.flow.scaled(0.001), "m³/h"),
    )
    if least.by_fan is not None and least.by_fan <= 0.0:
        return words + say(", which the leaks alone pass")
    if least.speed is not None:
        words += f"; {_speed_words(least)}"
    held = [(cycle, share) for cycle, share in least.duties if share is not None]
    if held:
        words += say(
            "; or at full speed{loud} ", loud=_loud(least.full_sound, least.noise_limit)
        ) + ", ".join(
            say(
                "{share} of every {cycle} minutes",
                share=percent(share),
                cycle=number_text(cycle / 60.0, 0),
            )
            for cycle, share in held
        )
    return words


def _loud(sound: float | None, limit: float | None) -> str:
    """“ (30 dB(A), more than you want)”, as far as it is known."""
    if sound is None:
        return ""
    over = say(", more than you want") if limit is not None and sound > limit else ""
    return f" ({number_text(sound, 0)} dB(A){over})"


def _speed_words(least: LeastFan) -> str:
    share = least.speed or 0.0
    if share > 1.0:
        return say("more than your fan moves")
    if share < SLOWEST:
        return say(
            "less than your fan can be slowed to: a smaller one would run all the time, quietly"
        )
    return say(
        "your fan at {share} of its speed{loud}",
        share=percent(share),
        loud=_loud(least.sound, least.noise_limit),
    )


def _flat_lines(flat: FlatDamp, mould_at: float) -> Iterator[str]:
    added = flat.from_tank.scaled(100.0)
    yield (
        say(
            "The flat in {months}: {litres_a_day} a day from the tank make {added} of "
            "its {humidity}.",
            months=MONTHS[flat.month - 1],
            litres_a_day=range_words(flat.litres_a_day, "L"),
            added=range_words(added, say("points")),
            humidity=percent(flat.room.humidity),
        )
    )
    if flat.pane is None or flat.at_pane is None:
        return
    state = (
        say("wet")
        if flat.at_pane >= 1.0
        else say("mould may grow")
        if flat.at_pane >= mould_at
        else say("dry")
    )
    yield (
        say(
            "  right at the coldest pane ({pane}) it is {at_pane}: {state}",
            pane=degrees(flat.pane),
            at_pane=percent(flat.at_pane),
            state=state,
        )
    )
    if flat.changes_needed is not None and flat.at_pane >= mould_at:
        yield (
            say(
                "  {changes_needed} air changes an hour instead of {changes} would keep "
                "it under {mould_at}",
                changes_needed=number_text(flat.changes_needed, 2),
                changes=number_text(flat.changes, 2),
                mould_at=percent(mould_at),
            )
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
