"""The water's temperature hour by hour: heaters that hold, stick or stay cold, fans, lamps, rooms.

The classical method of Runge and Kutta at a fixed step. Heat that goes in and out is summed by the
same rule as the temperature, so that the books of energy close to the last digits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from brinebook.lifesupport.evaporation import latent_heat
from brinebook.lifesupport.heat import Body, losses, vapour_leaving, with_air_speed
from brinebook.lifesupport.humid_air import Air

_STEP = 300.0  # s; a reef's slowest answer is a day, its fastest (a thermostat's band) half an hour
_BAND = 0.2  # K over which a thermostat goes from nothing to all (common practice, no source)
_MOST_PARTS, _MOST_OF_SMALL = 40, 400  # for quick thermostats, and for a glass of water
_NO_GAINS: Mapping[str, float] = MappingProxyType({})

#: Air of the room at an hour from the start.
Weather = Callable[[float], Air]


def steady_weather(air: Air) -> Weather:
    """A room that stays as it is."""
    return lambda _hour: air


def daily_weather(
    mean: Air, *, swing: float, warmest_at: float = 16.0, starts_at: float = 0.0
) -> Weather:
    """A room that goes up and down with the day by ``swing`` K either way of its mean.

    The vapour in its air stays the same, so the humidity falls as it warms. Hours of the clock.
    """
    from brinebook.lifesupport.humid_air import humidity_of_ratio, humidity_ratio

    ratio = humidity_ratio(mean)

    def at(hour: float) -> Air:
        phase = 2.0 * math.pi * (hour + starts_at - warmest_at) / 24.0
        temperature = mean.temperature + swing * math.cos(phase)
        humidity = humidity_of_ratio(temperature, ratio, pressure=mean.pressure)
        return Air(temperature, min(humidity, 1.0), mean.pressure)

    return at


@dataclass(frozen=True, slots=True)
class Heating:
    """One heater: W, where its thermostat is set, and whether it obeys it.

    ``cut_out`` is the temperature at which a second controller, of its own, takes its power away.
    """

    power: float
    set_at: float
    fault: Literal["", "stuck on", "stuck off"] = ""
    cut_out: float | None = None

    def heat(self, temperature: float, band: float = _BAND) -> float:
        """What it gives at this temperature of the water, W."""
        if self.fault == "stuck off":
            return 0.0
        if self.cut_out is not None and temperature >= self.cut_out:
            return 0.0
        if self.fault == "stuck on":
            return self.power
        return self.power * min(max((self.set_at - temperature) / band + 0.5, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Lighting:
    """A lamp's heat in the water (W) while it is on, by hours of the clock."""

    heat: float
    on_at: float
    hours: float

    def heat_at(self, clock: float) -> float:
        """What it gives at this hour of the clock, W."""
        return self.heat if (clock - self.on_at) % 24.0 < self.hours else 0.0


@dataclass(frozen=True, slots=True)
class Blowing:
    """A fan over the first surface: its air speed there (m/s), and from where on it runs."""

    air_speed: float
    starts_at: float

    def share(self, temperature: float, band: float = _BAND) -> float:
        """How much of the time it runs, by its own thermostat."""
        return min(max((temperature - self.starts_at) / band + 0.5, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Chilling:
    """A chiller: the heat that it takes out (W), and from where on it runs."""

    cooling: float
    starts_at: float

    def heat(self, temperature: float, band: float = _BAND) -> float:
        """What it takes out at this temperature of the water, W."""
        return self.cooling * min(max((temperature - self.starts_at) / band + 0.5, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Regime:
    """All that puts heat in or takes it out on purpose; ``gains`` are steady, W by name."""

    heaters: tuple[Heating, ...] = ()
    lamps: tuple[Lighting, ...] = ()
    fan: Blowing | None = None
    chiller: Chilling | None = None
    gains: Mapping[str, float] = field(default_factory=lambda: _NO_GAINS)
    starts_at: float = 0.0  # hour of the clock


@dataclass(frozen=True, slots=True)
class Moment:
    """The water at one hour from the start."""

    hour: float
    temperature: float
    room: float
    litres: float  # evaporated since the start


@dataclass(frozen=True, slots=True)
class Course:
    """How the temperature goes: a moment a step, and the energy by name since the start in kJ.

    Energies are positive where they warm the water; they sum to what the water gained.
    """

    moments: tuple[Moment, ...]
    energy: Mapping[str, float]

    def at(self, hour: float) -> Moment:
        """The moment nearest to this hour."""
        return min(self.moments, key=lambda moment: abs(moment.hour - hour))

    def hours_until(self, temperature: float) -> float | None:
        """When the water first passes this temperature from where it started; None if it doesn't.

        Between two moments the temperature is taken to go straight.
        """
        rising = temperature > self.moments[0].temperature
        for before, after in zip(self.moments, self.moments[1:], strict=False):
            reached = (
                after.temperature >= temperature if rising else (after.temperature <= temperature)
            )
            if reached:
                span = after.temperature - before.temperature
                part = (temperature - before.temperature) / span if span else 0.0
                return before.hour + part * (after.hour - before.hour)
        return None

    @property
    def highest(self) -> Moment:
        """The warmest moment."""
        return max(self.moments, key=lambda moment: moment.temperature)

    @property
    def lowest(self) -> Moment:
        """The coldest moment."""
        return min(self.moments, key=lambda moment: moment.temperature)


@dataclass(frozen=True, slots=True)
class _Rates:
    """Flows at one moment: heat by name in W, and vapour in kg/s."""

    heat: Mapping[str, float]
    vapour: float


def course(
    body: Body,
    start: float,
    *,
    hours: float,
    weather: Weather,
    regime: Regime,
    step: float = _STEP,
) -> Course:
    """The temperature from ``start`` (°C) on, a moment a step (s).

    The fan blows over the body's first surface. Lamps switch at the ends of steps. Where a
    thermostat is quick for the water that it holds, each step is taken in smaller ones; where it is
    quicker than forty of them, its band is widened to what they can follow.
    """
    blown = with_air_speed(body, regime.fan.air_speed) if regime.fan else body
    temperature, litres = start, 0.0
    energy: dict[str, float] = {}
    moments = [Moment(0.0, start, weather(0.0).temperature, 0.0)]
    parts, band = _parts_of_step(body, blown, regime, step=step, at=start, air=weather(0.0))
    small = step / parts
    for number in range(max(round(hours * 3600.0 / step), 1) * parts):
        begin = number * small
        lit = sum(
            lamp.heat_at(regime.starts_at + (begin + small / 2.0) / 3600.0) for lamp in regime.lamps
        )

        def rates(second: float, at: float, lit: float = lit) -> _Rates:
            air = weather(second / 3600.0)
            return _rates(body, blown, regime, lit=lit, air=air, at=at, band=band)

        mean = _runge_kutta(rates, begin, temperature, step=small, capacity=body.capacity)
        for name, watts in mean.heat.items():
            energy[name] = energy.get(name, 0.0) + watts * small / 1000.0
        temperature += sum(mean.heat.values()) * small / 1000.0 / body.capacity
        litres += mean.vapour * small
        if (number + 1) % parts == 0:
            hour = (begin + small) / 3600.0
            moments.append(Moment(hour, temperature, weather(hour).temperature, litres))
    return Course(tuple(moments), MappingProxyType(energy))


def _parts_of_step(
    body: Body, blown: Body, regime: Regime, *, step: float, at: float, air: Air
) -> tuple[int, float]:
    """How many parts a step needs, and the band in K that its thermostats get.

    No thermostat goes through its band within a part, and none is longer than half the time in
    which the water itself follows its room.
    """
    kilojoules = body.capacity * 1000.0
    follows = abs(losses(blown, at + 1.0, air=air).total - losses(blown, at, air=air).total)
    by_loss = math.ceil(2.0 * step * follows / kilojoules)
    obeying = sum(heater.power for heater in regime.heaters if not heater.fault)
    obeying += regime.chiller.cooling if regime.chiller else 0.0
    if regime.fan is not None:
        dry = Air(at, 0.2)
        more = vapour_leaving(blown, at, air=dry) - vapour_leaving(body, at, air=dry)
        obeying += more * latent_heat(at) * 1000.0
    by_band = math.ceil(step * obeying / (1.5 * kilojoules * _BAND))
    parts = max(min(max(by_loss, by_band), _MOST_PARTS), min(by_loss, _MOST_OF_SMALL), 1)
    return parts, _BAND * max(by_band / parts, 1.0)


def _rates(
    body: Body, blown: Body, regime: Regime, *, lit: float, air: Air, at: float, band: float
) -> _Rates:
    vapour = vapour_leaving(body, at, air=air)
    if regime.fan is not None:
        share = regime.fan.share(at, band)
        if share > 0.0:
            vapour += share * (vapour_leaving(blown, at, air=air) - vapour)
    warmer = at - air.temperature
    heat = {name: -conductance * warmer for name, conductance in body.conductances.items()}
    heat["evaporation"] = -vapour * latent_heat(at) * 1000.0
    heat["heaters"] = sum(heater.heat(at, band) for heater in regime.heaters)
    heat["lamps"] = lit
    if regime.chiller is not None:
        heat["chiller"] = -regime.chiller.heat(at, band)
    return _Rates({**heat, **regime.gains}, vapour)


def _runge_kutta(
    rates: Callable[[float, float], _Rates],
    second: float,
    temperature: float,
    *,
    step: float,
    capacity: float,
) -> _Rates:
    """The mean flows over one step, weighed 1, 2, 2, 1 as the method has it.

    Source: hairer1993 (chapter II.1, table 1.2)
    """

    def ahead(flows: _Rates, part: float) -> float:
        return temperature + sum(flows.heat.values()) * part * step / 1000.0 / capacity

    first = rates(second, temperature)
    second_half = rates(second + step / 2.0, ahead(first, 0.5))
    third = rates(second + step / 2.0, ahead(second_half, 0.5))
    fourth = rates(second + step, ahead(third, 1.0))
    weighed = ((first, 1.0), (second_half, 2.0), (third, 2.0), (fourth, 1.0))
    heat = {
        name: sum(weight * flows.heat[name] for flows, weight in weighed) / 6.0
        for name in first.heat
    }
    return _Rates(heat, sum(weight * flows.vapour for flows, weight in weighed) / 6.0)
