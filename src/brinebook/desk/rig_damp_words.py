"""Damp in the stand and the flat in lines for a person: what it comes to, then its figures."""

from __future__ import annotations

from collections.abc import Iterator

from brinebook.desk.rig_figures import (
    MONTHS,
    degrees,
    hours_words,
    percent,
    range_words,
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
    yield say("{state} (room of {room}).", state=_state(stand, limit), room=room_words(stand.room))
    yield say("  With the fans off: {air}.", air=_air_words(stand.fans_off))
    for fan in stand.fans:
        yield f"  {_fan_words(fan)}"
    for least in stand.least:
        yield from (f"  {line}" for line in _least_lines(least, limit))


def _state(stand: StandDamp, limit: float) -> str:
    """The one sentence: whether the stand is damper than wanted as it runs, and its wall wet."""
    month = MONTHS[stand.month - 1]
    mean = max((fan.mean.value for fan in stand.fans), default=stand.fans_off.humidity)
    wet = ""
    if stand.drips and stand.coldest_wall is not None:
        wet = say(
            ", and water gathers on the wall of {coldest_wall}",
            coldest_wall=degrees(stand.coldest_wall),
        )
    if mean > limit:
        return say(
            "In {month} the stand is damper than your {limit}{wet}",
            month=month,
            limit=percent(limit),
            wet=wet,
        )
    return say(
        "In {month} the stand stays under your {limit}{wet}",
        month=month,
        limit=percent(limit),
        wet=wet,
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
            "{fan}, {flow} without pause: {scaled}.",
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
        "{fan}, {flow}, {turns}: {scaled} on the mean, up to {highest}{full}.",
        fan=fan.fan,
        flow=flow,
        turns=turns,
        scaled=range_words(fan.mean.scaled(100.0), "%"),
        highest=percent(fan.highest.value),
        full=full,
    )


def _least_lines(least: LeastFan, limit: float) -> Iterator[str]:
    """What it takes in a sentence, then what that is for the described fan, and in cycles."""
    goal = say("To stay under {limit}", limit=percent(limit))
    if least.limit == "coldest wall":
        goal = say("To keep that wall dry")
    if least.flow is None:
        yield say("{goal} no fan helps: the room's own air is that damp.", goal=goal)
        return
    flow = range_words(least.flow.scaled(0.001), "m³/h")
    if least.by_fan is not None and least.by_fan <= 0.0:
        yield say("{goal} it takes {flow}, which the leaks alone pass.", goal=goal, flow=flow)
        return
    yield say("{goal} it takes {flow} without pause.", goal=goal, flow=flow)
    if least.speed is not None:
        yield _speed_words(least)
    held = [(cycle / 60.0, share) for cycle, share in least.duties if share is not None]
    if held:
        (short, least_share), (long, most_share) = held[0], held[-1]
        yield say(
            "At full speed{loud} {least_share} of every {short} minutes will do, or {most_share} "
            "of every {long}.",
            loud=_loud(least.full_sound, least.noise_limit),
            least_share=percent(least_share),
            short=number_text(short, 0),
            most_share=percent(most_share),
            long=number_text(long, 0),
        )


def _loud(sound: float | None, limit: float | None) -> str:
    """“ (30 dB(A), more than you want)”, as far as it is known."""
    if sound is None:
        return ""
    over = say(", more than you want") if limit is not None and sound > limit else ""
    return f" ({number_text(sound, 0)} dB(A){over})"


def _speed_words(least: LeastFan) -> str:
    share = least.speed or 0.0
    if share > 1.0:
        return say("That is more than your fan moves.")
    if share < SLOWEST:
        return say(
            "Your fan can't be slowed so far: a smaller one could run all the time, quietly."
        )
    return say(
        "Your fan moves that at {share} of its speed{loud}.",
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
