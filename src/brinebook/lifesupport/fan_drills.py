"""Drills of the stand's exhaust fans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from brinebook.lifesupport.cabinet import settled_air
from brinebook.lifesupport.drill import Drill, Harm, Remedy, Within
from brinebook.lifesupport.drill_figures import ranged
from brinebook.lifesupport.heat_model import duty_of, exhaust_flow, factors_of, stand_of
from brinebook.lifesupport.humid_air import Air
from brinebook.lifesupport.ranges import Range, spread
from brinebook.plan import Figure
from brinebook.rig import Fan, Rig
from brinebook.texts import say

#: Air that passes a stand whose doors are a hand's breadth open, L/h: common practice, no source.
_DOORS_AJAR = 15_000.0


def fan_drills(rig: Rig, air: Air) -> Iterator[Drill]:
    """Every exhaust fan that stands still, in a room of this air."""
    for fan in rig.fans:
        if fan.kind == "exhaust" and (drill := _fan_stops(rig, fan, air)) is not None:
            yield drill


@dataclass(frozen=True, slots=True)
class _Damp:
    """The stand with so much air passing: humidity in %, whether it drips, how bad that is."""

    humidity: Range
    condensed: float
    drips: bool
    harm: Harm

    @property
    def words(self) -> str:
        """“saturated”, or “82 % (80 to 85)”."""
        if self.humidity.low >= 99.5:
            return say("saturated")
        return say(
            "at {humidity:.0f} % ({humidity_low:.0f} to {humidity_high:.0f})",
            humidity=self.humidity.value,
            humidity_low=self.humidity.low,
            humidity_high=self.humidity.high,
        )


def _damp_at(rig: Rig, air: Air, *, fans: float, leak: float | None = None) -> _Damp | None:
    """The stand with its fans moving so much (L/h), and perhaps more leaks than it has."""
    factors = factors_of(rig, air=air)
    stands = [
        stand_of(rig, room=air, water=rig.temperature, factor=factor)
        for factor in (factors.low, factors.middle, factors.high)
    ]
    settled = [
        settled_air(one, flow=fans + (one.leak if leak is None else max(leak, one.leak)))
        for one in stands
        if one is not None
    ]
    if rig.cabinet is None or not settled:
        return None
    humidity = spread(one.humidity for one in settled).scaled(100.0)
    middle, wall = settled[1], rig.cabinet.coldest_wall
    drips = middle.condensed > 0.0 or (wall is not None and middle.dew_point > wall)
    over = humidity.value > rig.cabinet.humidity_limit * 100.0
    return _Damp(humidity, middle.condensed, drips, 2 if drips else 1 if over else 0)


def _fan_stops(rig: Rig, fan: Fan, air: Air) -> Drill | None:
    """The stand's air when one exhaust fan stands still: it fills within minutes."""
    others = exhaust_flow(replace(rig, fans=tuple(one for one in rig.fans if one is not fan)))
    still = _damp_at(rig, air, fans=others)
    ajar = _damp_at(rig, air, fans=others, leak=_DOORS_AJAR)
    halved = _damp_at(rig, air, fans=others + fan.flow * duty_of(fan) / 2.0)
    if still is None or ajar is None or halved is None:
        return None
    wet = say("water gathers on its walls") if still.drips else say("its walls stay dry")
    return Drill(
        id=f"fan-stops/{fan.name}",
        fault=say("exhaust fan stopped"),
        parts=(fan.name,),
        title=say("{fan} stands still", fan=fan.name),
        told=(
            say(
                "The stand's air is {words} within the hour, and {wet}. Plugs, sockets "
                "and wood get wet, over weeks rotten.",
                words=still.words,
                wet=wet,
            )
        ),
        harm=still.harm,
        within=Within(24.0, 72.0, None) if still.drips else None,
        figures=(
            ranged("humidity", still.humidity, "%"),
            Figure("condensed", still.condensed, "g/h"),
        ),
        warns=(say("drops on the inside of a door"), say("the smell of damp wood")),
        remedies=(
            Remedy(
                say("leave the stand's doors open a hand's breadth"),
                0,
                ajar.harm,
                None,
                say("then its air is {words}", words=ajar.words),
            ),
            Remedy(
                say("two small fans instead of one"),
                2,
                halved.harm,
                None,
                say("one of them left keeps the air {words}", words=halved.words),
            ),
        ),
        cautions=("damp", "drip_loops", "mains"),
    )
