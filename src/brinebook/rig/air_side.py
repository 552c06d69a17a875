"""What warms, lights, airs, feeds and carries the rig: heat, damp, power, outage, floor.

Temperatures in °C, powers in W, flows of air in L/h like every flow, humidity and shares from 0 to
1, times in s where they are named so and else in h.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heater:
    """A heater in the water."""

    name: str
    power: float
    place: str = ""  # a vessel or "vessel/section"
    set_at: float | None = None
    cut_out: float | None = None  # of a controller of its own that would stop it when it sticks
    power_factor: float = 1.0
    socket: str = ""


@dataclass(frozen=True, slots=True)
class Fan:
    """A fan: over the water (evaporates and cools), or out of the cabinet (carries damp away)."""

    name: str
    kind: str  # surface, exhaust
    flow: float
    power: float | None = None
    on_seconds: float | None = None
    off_seconds: float | None = None
    starts_at: float | None = None  # temperature of the water
    air_speed: float | None = None  # over the water, m/s
    noise: float | None = None  # dB(A) at 1 m
    power_factor: float = 0.6
    socket: str = ""


@dataclass(frozen=True, slots=True)
class Cooler:
    """A chiller: the heat it takes out of the water, and the power that it needs."""

    name: str
    cooling: float
    power: float | None = None
    starts_at: float | None = None
    power_factor: float = 0.8
    socket: str = ""


@dataclass(frozen=True, slots=True)
class Lamp:
    """A lamp over the water."""

    name: str
    power: float
    hours: float  # a day at full power, ramps counted by their share
    heat_to_water: float = 0.5
    power_factor: float = 0.9
    socket: str = ""


@dataclass(frozen=True, slots=True)
class Room:
    """The room by month, January first, and the flat around it."""

    temperature: tuple[float, ...]  # 12 monthly means
    humidity: tuple[float, ...]  # 12 monthly means, shares
    volume: float | None = None  # of the flat's air, m3
    air_changes: float = 0.5  # an hour
    outside_temperature: tuple[float, ...] = ()
    outside_humidity: tuple[float, ...] = ()
    altitude: float = 0.0  # m above the sea
    pane: float | None = None  # temperature of the coldest pane or wall of the room, in winter
    coldest: float | None = None  # the coldest that the room gets for days; left out, the month
    heat_wave: float | None = None  # its afternoons; left out, the warmest month and 8 K
    swing: float = 1.5  # by which it goes up and down with the day


@dataclass(frozen=True, slots=True)
class Cabinet:
    """The stand as a box around the sump: its air, its leaks, its coldest wall."""

    volume: float  # L
    openings: float = 0.0  # area that lets air through, m2
    leak: float = 500.0  # air that passes without a fan, L/h
    temperature: float | None = None
    coldest_wall: float | None = None
    humidity_limit: float = 0.75
    noise_limit: float | None = None  # dB(A)


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit of the house: the fuse or breaker, its protection, what the keeper allows."""

    name: str
    volts: float
    amps: float
    share: float = 0.8  # of the breaker, that the keeper allows for hours on end
    region: str = ""  # whose rule that share is
    protection: float | None = None  # residual current that trips it, mA; 0: none
    tested_days_ago: float | None = None


@dataclass(frozen=True, slots=True)
class Socket:
    """A socket or a strip, the circuit behind it, and what hangs on it."""

    name: str
    circuit: str
    strip: bool = False
    drip_loops: bool | None = None  # whether every cable hangs lower than the socket
    height: float | None = None


@dataclass(frozen=True, slots=True)
class Load:
    """Something else on the circuit: a controller, a room heater in winter."""

    name: str
    power: float
    power_factor: float = 0.6
    socket: str = ""
    circuit: str = ""
    season: str = ""  # "", winter, summer
    hours: float = 24.0


@dataclass(frozen=True, slots=True)
class Floor:
    """What the rig stands on, and the masses that its water doesn't tell."""

    length: float | None = None  # of the footprint
    width: float | None = None
    legs: int | None = None
    leg_area: float | None = None  # m2 under one leg
    stand: float = 60_000.0  # g
    rock: float = 0.0
    sand: float = 0.0
    gear: float = 25_000.0
    glass: float | None = None  # left out, from the walls


@dataclass(frozen=True, slots=True)
class Reserve:
    """What still runs when the house is dark."""

    battery: float = 0.0  # Wh
    usable: float = 0.8
    load: float | None = None  # W that hangs on it
    air_pump: str = ""  # name of the pump or load that moves the surface
    bubbles_from: float | None = None  # depth of an air stone; left out, half the display's water


#: Corals, rock and bacteria where nothing is said of them, mg of oxygen an hour in a litre of
#: system (common practice, no source).
OTHERS_A_LITRE = 1.0


@dataclass(frozen=True, slots=True)
class Stock:
    """What breathes in the water."""

    fish: float = 0.0  # g
    fish_rate: float = 250.0  # mg of oxygen per kg and hour
    others: float | None = None  # mg of oxygen an hour: corals, rock, bacteria
