"""Sums of heat and evaporation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from brinebook.desk.reckon import (
    AmountUnreadable,
    Input,
    Reckoned,
    Sum,
    amount,
    named_amount,
)
from brinebook.lifesupport.electricity import energy_of_month
from brinebook.lifesupport.evaporation import (
    SECONDS_A_DAY,
    Surface,
    evaporation,
    evaporation_shah_2014,
    factor_range,
    latent_heat,
    latent_heat_of_pure_water,
    water_activity,
)
from brinebook.lifesupport.heat import (
    Body,
    capacity_of,
    ice_cooling,
    losses,
    mixed_temperature,
    power_needed,
    settled_temperature,
    specific_heat_teos_2010,
    time_constant,
)
from brinebook.lifesupport.heat_course import Regime, course, steady_weather
from brinebook.lifesupport.humid_air import Air, pressure_at_height
from brinebook.lifesupport.ranges import Range, spread
from brinebook.lifesupport.walls import (
    CONDUCTIVITY,
    FILM_DOWN,
    FILM_SIDEWAYS,
    FILM_UP,
    transmittance_iso_2017,
)
from brinebook.plan import Figure
from brinebook.texts import say
from brinebook.water.salinity import kilograms_per_litre

WATER = Input("water", "temperature", "temperature of the water", "25 C", low=0, high=45)
ROOM = Input("room", "temperature", "temperature of the room's air", needed=True, low=-30, high=60)
HUMIDITY = Input("humidity", "share", "relative humidity of the room", needed=True, high=1)
DISPLAY = Input("display", "area", "surface of the display", needed=True)
SUMP = Input("sump", "area", "further surface, over which the air stands still", "0 m2")
AIR_SPEED = Input("air-speed", "speed", "over the display", "0.1 m/s", high=20)
OPEN = Input("open", "share", "of the surfaces that lids leave open", "100 %", high=1)
FACTOR = Input("factor", "number", "on the formula: still water 0.74, stirred up to 1.7", "1",
               high=10)  # fmt: skip
SALINITY = Input("salinity", "salinity", "of the water, PSU", "35", high=60)
ALTITUDE = Input("altitude", "length", "of the room above the sea", "0 m", low=-500, high=6000)
SURFACES = (WATER, ROOM, HUMIDITY, DISPLAY, SUMP, AIR_SPEED, OPEN, FACTOR, SALINITY, ALTITUDE)


def air_of(given: Mapping[str, Any]) -> Air:
    """The room's air as typed."""
    return Air(given["room"], given["humidity"], pressure_at_height(given.get("altitude") or 0.0))


def surfaces_of(given: Mapping[str, Any]) -> tuple[Surface, ...]:
    """Display and sump as typed."""
    return (
        Surface(given["display"], given["air-speed"], given["open"]),
        Surface(given["sump"], 0.0, given["open"]),
    )


def figure(name: str, value: float | None, unit: str) -> Figure | None:
    """A figure, or None where there is none."""
    return None if value is None else Figure(name, value, unit)


def ranged(name: str, found: Range, unit: str) -> Figure:
    """A figure with the ends of its range."""
    return Figure(name, found.value, unit, found.low, found.high)


def listed(*figures: Figure | None) -> dict[str, Figure | None]:
    """Figures by name, in order; those that don't exist are left out."""
    return {one.name: one for one in figures if one is not None}


def _evaporation(given: Mapping[str, Any]) -> Reckoned:
    air, surfaces = air_of(given), surfaces_of(given)
    water, salinity, factor = given["water"], given["salinity"], given["factor"]
    spread_of = factor_range(surfaces, water, air=air, salinity=salinity)

    def litres(by: float) -> float:
        return SECONDS_A_DAY * sum(
            evaporation(one, water, air=air, salinity=salinity, factor=by) for one in surfaces
        )

    daily = spread(litres(factor * by) for by in (spread_of.low, 1.0, spread_of.high))
    watts = daily.scaled(latent_heat(water) * 1000.0 / SECONDS_A_DAY)
    still = (
        SECONDS_A_DAY
        * evaporation_shah_2014(water, air, activity=water_activity(salinity))
        * sum(one.area * one.open_share for one in surfaces)
    )
    return Reckoned(
        listed(
            ranged("evaporation", daily, "L/day"),
            ranged("heat", watts, "W"),
            Figure("undisturbed_water", still, "L/day"),
            Figure("latent_heat", latent_heat(water), "kJ/kg"),
            Figure("latent_heat_of_pure_water", latent_heat_of_pure_water(water), "kJ/kg"),
        ),
        notes=_EVAPORATION_NOTES,
    )


_EVAPORATION_NOTES = (
    "Your own litres of top-off beat any formula: still pools lost 74 % of it, stirred ones half "
    "as much again and more.",
)


def _heat(given: Mapping[str, Any]) -> Reckoned:
    air, water = air_of(given), given["water"]
    bodies = _bodies(given, air)
    if time_constant(bodies[1], water, air=air) < _QUICKEST:
        raise AmountUnreadable(
            "volume",
            f"{given['volume']:g} L",
            say("is so little for such surfaces that it follows its room within a minute"),
        )
    gains, heater = given["gains"], given["heater"] or 0.0

    def settles(heat: float) -> Range:
        return spread(settled_temperature(one, air=air, heat=heat) for one in bodies)

    lost = [losses(one, water, air=air) for one in bodies]
    needed = spread(power_needed(one, water, air=air, gains=gains) for one in bodies)
    figures = listed(
        Figure("dry_loss", lost[1].by_way["dry"], "W"),
        ranged("evaporation_loss", spread(one.by_way["evaporation"] for one in lost), "W"),
        Figure("gains", gains, "W"),
        ranged("needed", needed, "W"),
        ranged("evaporation", spread(one.litres_a_day for one in lost), "L/day"),
        ranged("settles_without_heater", settles(gains), "C"),
        ranged("stuck_on_ends_at", settles(gains + heater), "C"),
    )
    for name, heat in (("stuck_on", gains + heater), ("without_heater", gains)):
        key = f"{name}_reaches_until"
        figures[key] = figure(key, _reaches(bodies[1], water, given["until"], air, heat), "h")
    figures |= listed(
        Figure("time_constant", min(time_constant(bodies[1], water, air=air), 1e6), "h"),
        Figure("heat_capacity", bodies[1].capacity, "kJ/K"),
    )
    return Reckoned(figures, _EVAPORATION_NOTES, ("mains",))


#: A body that follows its room as quickly (h) has no course that could be told in hours.
_QUICKEST = 1.0 / 60.0


def _bodies(given: Mapping[str, Any], air: Air) -> list[Body]:
    """The water that evaporates little, as the factor says, and much."""
    water, surfaces = given["water"], surfaces_of(given)
    body = Body(
        capacity_of(
            given["volume"],
            kilograms_per_litre=kilograms_per_litre(given["salinity"], water),
            specific_heat=specific_heat_teos_2010(given["salinity"], water),
        ),
        {"dry": given["loss"]},
        surfaces,
        salinity=given["salinity"],
        factor=given["factor"],
    )
    ends = factor_range(surfaces, water, air=air, salinity=given["salinity"])
    return [replace(body, factor=body.factor * by) for by in (ends.low, 1.0, ends.high)]


def _reaches(body: Body, start: float, until: float, air: Air, heat: float) -> float | None:
    """Hours to a temperature with this heat for good; None where ten days don't reach it."""
    regime = Regime(gains={"gains": heat})
    weather = steady_weather(air)
    went = course(body, start, hours=240.0, weather=weather, regime=regime, step=1800.0)
    return went.hours_until(until)


_FACING = {"sideways": FILM_SIDEWAYS, "up": FILM_UP, "down": FILM_DOWN}


def _wall(given: Mapping[str, Any]) -> Reckoned:
    conductivity = given["conductivity"] or CONDUCTIVITY.get(given["material"])
    if conductivity is None:
        known = ", ".join(CONDUCTIVITY)
        raise AmountUnreadable(
            "material", given["material"], say("is none of {known}", known=known)
        )
    film = _FACING.get(given["facing"])
    if film is None:
        known = ", ".join(_FACING)
        raise AmountUnreadable("facing", given["facing"], say("is none of {known}", known=known))
    transmittance = transmittance_iso_2017(
        given["thickness"],
        conductivity,
        film=film,
        insulation=given["foam"] / CONDUCTIVITY["foam"],
    )
    figures = listed(Figure("transmittance", transmittance, "W/m2/K"))
    if given["area"] is not None:
        conductance = transmittance * given["area"]
        figures["conductance"] = Figure("conductance", conductance, "W/K")
        if given["room"] is not None:
            lost = conductance * (given["water"] - given["room"])
            figures["heat"] = Figure("heat", lost, "W")
    return Reckoned(figures, notes=(say("Water inside, still air outside; vapour isn't in it."),))


def _swap(given: Mapping[str, Any]) -> Reckoned:
    if given["added"] > given["volume"]:
        raise AmountUnreadable("added", f"{given['added']:g} L", say("is more than there is"))
    mixed = mixed_temperature(
        given["volume"],
        given["water"],
        added_litres=given["added"],
        added_temperature=given["added-temperature"],
    )
    return Reckoned(
        listed(Figure("temperature", mixed, "C"), Figure("change", mixed - given["water"], "dC"))
    )


def _ice(given: Mapping[str, Any]) -> Reckoned:
    water = given["water"]
    capacity = capacity_of(
        given["volume"],
        kilograms_per_litre=kilograms_per_litre(35.0, water),
        specific_heat=specific_heat_teos_2010(35.0, water),
    )
    kilograms = given["ice"] / 1000.0
    # The bottle ends at the water's own temperature, which it has lowered by then.
    low, high = 0.0, water
    if ice_cooling(kilograms, from_temperature=given["from"], water_temperature=0.0) >= (
        capacity * water
    ):
        high = 0.0  # some of it doesn't melt
    for _ in range(60):
        end = (low + high) / 2.0
        taken = ice_cooling(kilograms, from_temperature=given["from"], water_temperature=end)
        if taken > capacity * (water - end):
            high = end
        else:
            low = end
    end = (low + high) / 2.0
    return Reckoned(
        listed(
            Figure("temperature", end, "C"),
            Figure("change", end - water, "dC"),
            Figure("heat_taken", capacity * (water - end), "kJ"),
        ),
        notes=(say("Float it closed; no faster than your own limit for the temperature."),),
    )


def _electricity(given: Mapping[str, Any]) -> Reckoned:
    figures: dict[str, Figure | None] = {}
    total = 0.0
    for text in given["part"]:
        power, _, hours = text.partition("@")
        name, watts = named_amount(power, "power", option="part")
        a_day = amount(hours, "hours", option="part") if hours else 24.0
        if a_day > 24.0:
            raise AmountUnreadable("part", text, say("has more hours than a day"))
        energy = energy_of_month(watts, hours_a_day=a_day, days=given["days"])
        total += energy
        key = name if name not in figures else f"{name} {len(figures) + 1}"
        figures[key] = Figure(key, energy, "kWh")
    figures["total"] = Figure("total", total, "kWh")
    if given["price"] is not None:
        figures["cost"] = Figure("cost", total * given["price"], "")
    return Reckoned(
        figures,
        notes=(say("Heaters run by what the room asks: “brinebook rig heat” tells it by month."),),
    )


VOLUME = Input("volume", "volume", "net volume of the water", needed=True, low=0.1)
HEAT_SUMS: Mapping[str, Sum] = {
    "evaporation": Sum(
        "water lost from open surfaces, and the heat that it takes",
        SURFACES,
        _evaporation,
        '--display "0.72 m2" --sump "0.32 m2" --room "22 C" --humidity "50 %"',
    ),
    "heat": Sum(
        "power that holds a temperature, and where a stuck heater ends",
        (
            VOLUME,
            Input("loss", "conductance", "by walls, surface and pipes, without vapour",
                  needed=True),
            *SURFACES,
            Input("gains", "power", "from pumps and lamps", "0 W"),
            Input("heater", "power", "of a heater that sticks on", low=0),
            Input("until", "temperature", "whose hour is asked for", "28.5 C", low=-2, high=60),
        ),
        _heat,
        '--volume "300 L" --loss "13.3 W/K" --display "0.72 m2" --sump "0.32 m2" '
        '--room "21 C" --humidity "40 %" --gains "45 W" --heater "500 W" --until "28 C"',
    ),
    "wall": Sum(
        "heat through a wall between water and still air",
        (
            Input("thickness", "length", "of the wall", needed=True, low=1e-4, high=1),
            Input("material", "word", f"of {', '.join(CONDUCTIVITY)}", "glass"),
            Input("conductivity", "number", "W/m/K, in place of the material", low=0.001,
                  high=500),
            Input("facing", "word", "the way the heat goes: sideways, up or down", "sideways"),
            Input("foam", "length", "thickness of foam on it", "0 mm", high=1),
            Input("area", "area", "of the wall"),
            WATER,
            Input("room", "temperature", "of the room's air", low=-30, high=60),
        ),
        _wall,
        '--thickness "10 mm" --area "1.9 m2" --room "21 C"',
    ),
    "swap": Sum(
        "temperature after a part of the water was swapped",
        (
            VOLUME,
            WATER,
            Input("added", "volume", "swapped in", needed=True),
            Input("added-temperature", "temperature", "of what is swapped in", needed=True,
                  low=-2, high=60),
        ),
        _swap,
        '--volume "300 L" --added "45 L" --added-temperature "18 C"',
    ),
    "ice": Sum(
        "what a bottle of ice does",
        (
            VOLUME,
            WATER,
            Input("ice", "mass", "of closed bottles of fresh water", needed=True),
            Input("from", "temperature", "of the freezer", "-18 C", low=-40, high=0),
        ),
        _ice,
        '--volume "300 L" --water "30 C" --ice "2 kg" --from "-18 C"',
    ),
    "electricity": Sum(
        "a month of electricity, by part",
        (
            Input("part", "text", "such as “return=45 W@24 h”; as many as you like",
                  needed=True, several=True),
            Input("days", "number", "that are counted; left out, an average month", "30.4375",
                  high=3660),
            Input("price", "number", "of a kWh"),
        ),
        _electricity,
        '--part "return=45 W" --part "lamp=180 W@10 h" --price 0.30',
    ),
}  # fmt: skip
