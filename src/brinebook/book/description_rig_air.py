"""The keys of heat, damp, power, outage and floor."""

from __future__ import annotations

import math
from collections.abc import Mapping

from brinebook.book.description_notes import shown_value
from brinebook.book.description_rig_keys import Key, Reader, Shape
from brinebook.rig.air_side import (
    Cabinet,
    Circuit,
    Cooler,
    Fan,
    Floor,
    Heater,
    Lamp,
    Load,
    Reserve,
    Room,
    Socket,
    Stock,
)
from brinebook.texts import say

_NAME = Key("name", "text", "what you call it", needed="anything")
_SOCKET = Key("socket", "text", "the socket that it hangs on")


def _factor(default: str) -> Key:
    return Key(
        "power_factor", "share", say("its power over volts times amps"), 0.05, default=default
    )


def _through_the_year(kind: str) -> Key:
    def read(reader: Reader, where: str, value: object) -> tuple[float, ...] | None:
        low, high = (-50.0, 60.0) if kind == "temperature" else (0.0, 1.0)
        return _months(reader, where, value, Key("", kind, "", low, high))

    return Key("", kind, "", read=read)


def _months(reader: Reader, where: str, value: object, key: Key) -> tuple[float, ...] | None:
    """Twelve monthly means: as listed, one for all, or between a January and a July."""
    if isinstance(value, list):
        if len(value) != 12:
            reader.notes.wrong(
                where, say("a list is of 12 months, January first, not {count}", count=len(value))
            )
            return None
        read = [reader.read(f"{where}[{n}]", one, key) for n, one in enumerate(value, start=1)]
        return None if None in read else tuple(read)
    if isinstance(value, Mapping):
        if set(value) != {"january", "july"}:
            reader.notes.wrong(
                where,
                say("{shown_value} doesn't hold january and july", shown_value=shown_value(value)),
            )
            return None
        ends = [reader.read(f"{where}.{name}", value[name], key) for name in ("january", "july")]
        if None in ends:
            return None
        middle, half = (ends[0] + ends[1]) / 2, (ends[0] - ends[1]) / 2
        return tuple(middle + half * math.cos(2 * math.pi * month / 12) for month in range(12))
    one = reader.read(where, value, key)
    return None if one is None else (one,) * 12


def _yearly(
    name: str, kind: str, meaning: str, *, default: object = None, wanted: str = "", worth: int = 0
) -> Key:
    read = _through_the_year(kind).read
    told = say("{meaning}: one for the year, january and july, or a list of 12", meaning=meaning)
    return Key(name, "own", told, read=read, default=default, wanted=wanted, worth=worth)


HEATER = Shape(
    Heater,
    (
        _NAME,
        Key("power", "power", "what it draws", 0, 1e5, needed="heat", worth=60),
        Key("in", "text", "the vessel or vessel/section that it stands in", attribute="place"),
        Key("set_at", "temperature", "where its thermostat is set", 0, 40),
        Key("cut_out", "temperature", "where a controller of its own would stop it", 0, 45),
        _factor("100 %"),
        _SOCKET,
    ),
)

FAN = Shape(
    Fan,
    (
        _NAME,
        Key("kind", "choice", "over the water, or out of the cabinet", default="exhaust",
            choices=("surface", "exhaust")),
        Key("flow", "flow", "the air that it moves, such as 40 m3/h", 0, 1e7, needed="damp",
            worth=30),
        Key("power", "power", "what it draws", 0, 1e4),
        Key("on", "seconds", "how long it runs each time", 0, 1e6, attribute="on_seconds"),
        Key("off", "seconds", "how long it rests between", 0, 1e6, attribute="off_seconds"),
        Key("starts_at", "temperature", "of the water, where it starts", 0, 45),
        Key("air_speed", "speed", "over the water", 0, 20),
        Key("noise", "noise", "at 1 m", 0, 120),
        _factor("60 %"),
        _SOCKET,
    ),
)  # fmt: skip

COOLER = Shape(
    Cooler,
    (
        _NAME,
        Key("cooling", "power", "the heat that it takes out of the water", 0, 1e5, needed="heat"),
        Key("power", "power", "what it draws", 0, 1e5),
        Key("starts_at", "temperature", "of the water, where it starts", 0, 45),
        _factor("80 %"),
        _SOCKET,
    ),
)

LAMP = Shape(
    Lamp,
    (
        _NAME,
        Key("power", "power", "what it draws at full light", 0, 1e5, needed="heat", worth=30),
        Key("hours", "hours", "a day at full light, ramps counted by their share", 0, 24,
            default="8 h"),
        Key("heat_to_water", "share", "share of its power that ends up in the water",
            default="50 %"),
        _factor("90 %"),
        _SOCKET,
    ),
)  # fmt: skip

ROOM = Shape(
    Room,
    (
        _yearly("temperature", "temperature", "of the room's air",
                default={"january": "20 C", "july": "24 C"}),
        _yearly("humidity", "share", "of the room's air",
                default={"january": "40 %", "july": "55 %"}),
        Key("volume", "volume", "of the flat's air, such as 150 m3", 0, 1e8,
            wanted="what the tank's damp does to the flat", worth=15),
        Key("air_changes", "number", "of that air in an hour", 0, 100, default=0.5),
        _yearly("outside_temperature", "temperature", "outdoors"),
        _yearly("outside_humidity", "share", "outdoors"),
        Key("altitude", "length", "above the sea", -500, 6000, default="0 m"),
        Key("pane", "temperature", "of the coldest pane or wall in winter", -40, 40),
        Key("coldest", "temperature", "the coldest that it gets for days; left out, the coldest "
            "month", -30, 40),
        Key("heat_wave", "temperature", "of its afternoons in a heat wave; left out, 8 K above "
            "the warmest month", 0, 60),
        Key("swing", "temperature difference", "by which it goes up and down with the day", 0, 15,
            default="1.5 dC"),
    ),
)  # fmt: skip

CABINET = Shape(
    Cabinet,
    (
        Key("volume", "volume", "of the air in it, such as 300 L", 1, 1e5, needed="damp in the "
            "stand", worth=35),
        Key("openings", "area", "that let air through, half of them low and half high", 0, 10),
        Key("leak", "flow", "the air that passes cracks without a fan; openings add to it", 0, 1e7,
            default="0.5 m3/h"),
        Key("temperature", "temperature", "of its air", -10, 60),
        Key("coldest_wall", "temperature", "of its coldest wall", -20, 60),
        Key("humidity_limit", "share", "the mean humidity that you want to stay under",
            default="75 %"),
        Key("noise_limit", "noise", "that you want to stay under, at 1 m", 0, 120),
    ),
)  # fmt: skip

CIRCUIT = Shape(
    Circuit,
    (
        _NAME,
        Key("volts", "voltage", "of the mains", 50, 500, needed="load of the circuit", worth=45),
        Key("amps", "current", "of its breaker", 0.1, 200, needed="load of the circuit", worth=45),
        Key("share", "share", "of the breaker that you allow for hours on end", 0.1,
            default="80 %", reason="the rule for continuous loads where NEC holds; elsewhere "
            "your own figure"),
        Key("region", "text", "whose rule that is, such as US; left out, by the volts"),
        Key("protection", "leakage", "residual current that trips it; 0 mA, none", 0, 1000,
            wanted="whether people are protected", worth=55),
        Key("tested", "days", "how long ago its test button was pressed", 0, 1e5,
            attribute="tested_days_ago"),
    ),
)  # fmt: skip

SOCKET = Shape(
    Socket,
    (
        _NAME,
        Key("circuit", "text", "the circuit behind it", needed="what fails with it", worth=35),
        Key("strip", "flag", "whether it is a strip of sockets"),
        Key("drip_loops", "flag", "whether every cable hangs lower than it"),
        Key("height", "length", "above the room's floor", 0, 10),
    ),
)

LOAD = Shape(
    Load,
    (
        _NAME,
        Key("power", "power", "what it draws", 0, 1e5, needed="load of the circuit", worth=20),
        _factor("60 %"),
        _SOCKET,
        Key("circuit", "text", "where it hangs on no socket described here"),
        Key("season", "choice", "when it runs, where not all year", choices=("winter", "summer")),
        Key("hours", "hours", "a day", 0, 24, default="24 h"),
    ),
)

RESERVE = Shape(
    Reserve,
    (
        Key("battery", "energy", "what it holds when full", 0, 1e6),
        Key("usable", "share", "share of it that may be used", 0.05, default="80 %"),
        Key("load", "power", "what hangs on it", 0, 1e5),
        Key("air_pump", "text", "the pump or load that moves the surface then"),
        Key(
            "bubbles_from", "length", "depth of its air stone; left out, half the display's", 0, 20
        ),
    ),
)

ANIMALS = Shape(
    Stock,
    (
        Key("fish", "mass", "their weight together", 0, 1e6, wanted="how long the oxygen lasts",
            worth=45),
        Key("fish_rate", "oxygen by weight", "what they breathe", 10, 2000,
            default="250 mg/kg/h", reason="150 to 400 at rest is usual for tens of grams, from "
            "memory"),
        Key("others", "oxygen", "what corals, rock and bacteria breathe; left out, 1 mg/h for each "
            "litre", 0, 1e6),
    ),
)  # fmt: skip

FLOOR = Shape(
    Floor,
    (
        Key("length", "length", "of the footprint; left out, the display's", 0.05, 20),
        Key("width", "length", "of the footprint; left out, the display's", 0.05, 20),
        Key("legs", "count", "that it stands on; left out, the whole footprint", 1, 100),
        Key("leg_area", "area", "under one leg", 1e-6, 10),
        Key("stand", "mass", "of the stand", 0, 1e8, default="60 kg"),
        Key("rock", "mass", "in the water", 0, 1e8),
        Key("sand", "mass", "in the water", 0, 1e8),
        Key("gear", "mass", "of lamps, pumps, bottles", 0, 1e8, default="25 kg"),
        Key("glass", "mass", "of the vessels; left out, from their walls", 0, 1e8),
    ),
)
