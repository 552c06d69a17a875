"""Sums of the stand's air and the flat's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum
from brinebook.desk.reckon_heat import (
    ALTITUDE,
    FACTOR,
    HUMIDITY,
    ROOM,
    SALINITY,
    WATER,
    air_of,
    figure,
    listed,
)
from brinebook.lifesupport.cabinet import (
    Stand,
    cycled_air,
    flow_for_dry_wall,
    flow_for_humidity,
    least_duty,
    mean_sound_level,
    settled_air,
    sound_level_at_speed,
)
from brinebook.lifesupport.damp import (
    changes_for_humidity,
    humidity_added,
    humidity_at_surface,
    inner_surface_temperature,
    settled_room,
)
from brinebook.lifesupport.damp_answer import CYCLES, SLOWEST
from brinebook.lifesupport.evaporation import Surface
from brinebook.lifesupport.humid_air import (
    Air,
    air_state,
    dew_point,
    dry_air_density,
    humidity_by_wet_bulb,
    humidity_ratio,
    pressure_at_height,
    vapour_pressure,
)
from brinebook.plan import Figure
from brinebook.texts import say


def _air(given: Mapping[str, Any]) -> Reckoned:
    pressure = pressure_at_height(given["altitude"])
    humidity = given["humidity"]
    if humidity is None and given["wet-bulb"] is None:
        raise AmountUnreadable("humidity", "", say("or --wet-bulb is needed"))
    if humidity is None:
        if given["wet-bulb"] > given["room"]:
            raise AmountUnreadable(
                "wet-bulb", f"{given['wet-bulb']:g} C", say("is over the air's own")
            )
        humidity = humidity_by_wet_bulb(given["room"], given["wet-bulb"], pressure=pressure)
    found = air_state(Air(given["room"], humidity, pressure))
    return Reckoned(
        listed(
            Figure("humidity", 100.0 * found.humidity, "%"),
            Figure("ratio", found.ratio, "kg/kg"),
            Figure("ratio_at_saturation", found.ratio_at_saturation, "kg/kg"),
            Figure("dew_point", found.dew_point, "C"),
            Figure("wet_bulb", found.wet_bulb, "C"),
            Figure("enthalpy", found.enthalpy, "kJ/kg"),
            Figure("volume", found.volume, "m3/kg"),
            Figure("vapour", found.vapour_density, "g/m3"),
            Figure("vapour_pressure", 1000.0 * found.vapour_pressure, "Pa"),
            Figure("saturation_pressure", 1000.0 * found.saturation_pressure, "Pa"),
            Figure("pressure", pressure, "Pa"),
        )
    )


def _stand(given: Mapping[str, Any]) -> Reckoned:
    stand = Stand(
        volume=given["volume"],
        temperature=given["stand"],
        surface=Surface(given["surface"]),
        water_temperature=given["water"],
        room=air_of(given),
        leak=given["leak"],
        salinity=given["salinity"],
        factor=given["factor"],
    )
    fan = given["fan"] or 0.0
    still = settled_air(stand, flow=stand.leak)
    figures: dict[str, Figure | None] = listed(
        Figure("humidity_fan_off", still.humidity * 100.0, "%"),
        Figure("dew_point_fan_off", still.dew_point, "C"),
        Figure("condensed_fan_off", still.condensed, "g/h"),
    )
    figures |= _with_fan(stand, fan, given["on"], given["off"])
    needed = flow_for_humidity(stand, given["limit"])
    figures["flow_for_limit"] = figure("flow_for_limit", needed, "L/h")
    if given["wall"] is not None:
        dry = flow_for_dry_wall(stand, given["wall"])
        figures["flow_for_dry_wall"] = figure("flow_for_dry_wall", dry, "L/h")
    if fan > 0.0:
        figures |= _fan_figures(stand, fan, needed, given)
    none = needed is None
    return Reckoned(
        figures,
        notes=(say("No fan can hold that limit: the room's own air is as damp."),) if none else (),
        cautions=("damp", "drip_loops"),
    )


def _with_fan(
    stand: Stand, fan: float, on: float | None, off: float | None
) -> dict[str, Figure | None]:
    """The stand's air with a fan without pause, or by its cycle."""
    if not on or not off:
        run = settled_air(stand, flow=stand.leak + fan)
        return listed(
            Figure("mean_humidity", run.humidity * 100.0, "%"),
            Figure("dew_point", run.dew_point, "C"),
            Figure("evaporated", run.evaporated, "g/h"),
        )
    cycle = cycled_air(stand, fan=fan, on=on, off=off)
    return listed(
        Figure("mean_humidity", cycle.mean * 100.0, "%"),
        Figure("lowest_humidity", cycle.lowest * 100.0, "%"),
        Figure("highest_humidity", cycle.highest * 100.0, "%"),
        Figure("saturated", cycle.saturated * 100.0, "%"),
        Figure("highest_dew_point", cycle.highest_dew_point, "C"),
    )


def _fan_figures(
    stand: Stand, fan: float, needed: float | None, given: Mapping[str, Any]
) -> dict[str, Figure | None]:
    """The least share of cycles by length, and how loud the fan is slowed down, or in cycles."""
    figures: dict[str, Figure | None] = {}
    for cycle in CYCLES:
        share = least_duty(stand, fan=fan, cycle=cycle, humidity=given["limit"])
        name = f"least_share_of_{cycle:.0f}_s"
        figures[name] = figure(name, None if share is None else share * 100.0, "%")
    if given["noise"] is None:
        return figures
    speed = None if needed is None else max(needed - stand.leak, 0.0) / fan
    if speed is not None and SLOWEST <= speed <= 1.0:
        slowed = sound_level_at_speed(given["noise"], speed)
        figures["sound_slowed_to_limit"] = Figure("sound_slowed_to_limit", slowed, "dB(A)")
    on, off = given["on"], given["off"]
    if on and off:
        mean = mean_sound_level(given["noise"], on / (on + off))
        figures["mean_sound"] = Figure("mean_sound", mean, "dB(A)")
    return figures


def _flat(given: Mapping[str, Any]) -> Reckoned:
    air, vapour = air_of(given), given["vapour"] / 24.0
    metres, changes = given["flat"] / 1000.0, given["changes"]
    added = humidity_added(air, vapour=vapour, volume=metres, changes=changes)
    dry = added > air.humidity  # the air can't be as dry as that with so much vapour in it
    figures = listed(
        Figure(
            "ratio_added",
            given["vapour"] / 24.0 / (dry_air_density(air) * metres * changes) * 1000.0,
            "g/kg",
        ),
        Figure("humidity_added", added * 100.0, "%"),
        Figure("humidity_without", max(air.humidity - added, 0.0) * 100.0, "%"),
        Figure("dew_point", dew_point(vapour_pressure(air)), "C"),
    )
    outside = None
    if given["outside"] is not None and given["outside-humidity"] is not None:
        outside = Air(given["outside"], given["outside-humidity"], air.pressure)
        settled = settled_room(
            outside, air.temperature, vapour=vapour, volume=metres, changes=changes
        )
        limit = changes_for_humidity(
            outside, air.temperature, vapour=vapour, volume=metres, humidity=given["limit"]
        )
        figures |= listed(
            Figure("humidity_by_tank_alone", settled.humidity * 100.0, "%"),
            Figure("dew_point_by_tank_alone", settled.dew_point, "C"),
        )
        figures["changes_for_limit"] = figure("changes_for_limit", limit, "1/h")
    pane = given["pane"]
    if pane is None and given["transmittance"] is not None and outside is not None:
        pane = inner_surface_temperature(
            air.temperature, outside.temperature, transmittance=given["transmittance"]
        )
        figures["pane"] = Figure("pane", pane, "C")
    if pane is not None:
        at = humidity_at_surface(humidity_ratio(air), pane, pressure=air.pressure)
        figures["humidity_at_pane"] = Figure("humidity_at_pane", at * 100.0, "%")
    notes = (say("With so much vapour the air would be damper: more air passes than was said."),)
    return Reckoned(figures, notes if dry else (), ("damp",))


AIR_SUMS: Mapping[str, Sum] = {
    "stand": Sum(
        "humidity in a cabinet by its fan's flow, duty and cycle",
        (
            Input("volume", "volume", "air in the stand", needed=True, low=1),
            Input("stand", "temperature", "of the stand's air", needed=True, low=-10, high=60),
            Input("surface", "area", "of the water in it", needed=True),
            WATER,
            ROOM,
            HUMIDITY,
            Input("leak", "flow", "air that passes with the fan off", "0.5 m3/h"),
            Input("fan", "flow", "of an exhaust fan"),
            Input("on", "seconds", "that it runs each time; left out, it never rests",
                  high=86_400),
            Input("off", "seconds", "that it rests each time", high=86_400),
            Input("limit", "share", "mean humidity to stay under", "75 %", low=0.01, high=1),
            Input("wall", "temperature", "of the coldest wall", low=-20, high=60),
            Input("noise", "sound", "of the fan at full speed"),
            FACTOR,
            SALINITY,
            ALTITUDE,
        ),
        _stand,
        '--volume "300 L" --stand "23 C" --surface "0.32 m2" --room "21 C" --humidity "45 %" '
        '--fan "40 m3/h" --on "900 s" --off "6300 s" --wall "18 C"',
    ),
    "air": Sum(
        "what humid air holds, when it drips, what it weighs",
        (
            ROOM,
            Input("humidity", "share", "relative humidity", high=1),
            Input("wet-bulb", "temperature", "of a wet thermometer, in place of the humidity",
                  low=-20, high=60),
            ALTITUDE,
        ),
        _air,
        '--room "25 C" --humidity "50 %"',
    ),
    "flat": Sum(
        "what the tank's vapour does to a flat",
        (
            Input("vapour", "volume a day", "that evaporates", needed=True),
            Input("flat", "volume", "air of the flat, such as “150 m3”", needed=True, low=1),
            Input("changes", "number", "of that air in an hour", "0.5", low=0.001, high=100),
            ROOM,
            HUMIDITY,
            Input("outside", "temperature", "outdoors", low=-50, high=60),
            Input("outside-humidity", "share", "outdoors", high=1),
            Input("pane", "temperature", "of the coldest pane", low=-40, high=60),
            Input("transmittance", "transmittance", "of a pane, where its temperature isn't known",
                  high=10),
            Input("limit", "share", "of humidity that airing should hold", "50 %", low=0.01,
                  high=1),
            ALTITUDE,
        ),
        _flat,
        '--vapour "6 L/day" --flat "150 m3" --room "21 C" --humidity "45 %" --outside "0 C" '
        '--outside-humidity "80 %" --transmittance "2.8 W/m2/K"',
    ),
}  # fmt: skip
