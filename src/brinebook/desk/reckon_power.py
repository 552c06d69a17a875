"""Sums of a circuit, an outage, a battery, the floor and a bottle of gas."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brinebook.desk.reckon import AmountUnreadable, Input, Reckoned, Sum, amount, named_amount
from brinebook.desk.reckon_heat import SALINITY, WATER, figure, listed
from brinebook.lifesupport.floor import UNIFORM_LIVE_LOAD, floor_load
from brinebook.lifesupport.outage import (
    Bubbles,
    StillWater,
    battery_hours,
    demand_range,
    exchange_range,
    oxygen_ends_at,
    oxygen_hours,
)
from brinebook.lifesupport.oxygen_course import Breathing, oxygen_course
from brinebook.lifesupport.power import Draw, held_against
from brinebook.plan import Figure
from brinebook.texts import say
from brinebook.water.oxygen import oxygen_saturation
from brinebook.water.salinity import kilograms_per_litre

#: A load that draws so little of its volts times amps isn't one that hangs on a wall socket.
LEAST_POWER_FACTOR = 0.05


def _circuit(given: Mapping[str, Any]) -> Reckoned:
    def draws(option: str, season: str) -> list[Draw]:
        found = []
        for text in given[option]:
            power, _, factor = text.partition("@")
            name, watts = named_amount(power, "power", option=option)
            by = amount(factor, "share", option=option) if factor else 1.0
            if not LEAST_POWER_FACTOR <= by <= 1.0:
                raise AmountUnreadable(option, text, say("has no power factor from 0.05 to 1"))
            found.append(Draw(name, watts, by, season=season))  # type: ignore[arg-type]
        return found

    all_year = draws("load", "")
    circuit = {key: given[key] for key in ("volts", "breaker", "share")}
    summer = held_against(all_year, **circuit)
    winter = held_against([*all_year, *draws("winter", "winter")], **circuit)
    figures = listed(
        Figure("power", summer.drawn.watts, "W"),
        Figure("apparent_power", summer.drawn.apparent, "VA"),
        Figure("current_at_power_factor_1", summer.drawn.least, "A"),
        Figure("current", summer.drawn.most, "A", summer.drawn.least, summer.drawn.most),
        Figure("limit", summer.limit, "A"),
        Figure("share_of_limit", summer.most_share * 100.0, "%"),
    )
    if given["winter"]:
        drawn = winter.drawn
        figures |= listed(
            Figure("winter_power", drawn.watts, "W"),
            Figure("winter_current_at_power_factor_1", drawn.least, "A"),
            Figure("winter_current", drawn.most, "A", drawn.least, drawn.most),
            Figure("winter_share_of_limit", winter.most_share * 100.0, "%"),
        )
    notes = [say("The limit: {source}.", source=summer.rule.source)]
    if winter.trips != "no":
        notes.append(
            say("With everything on in winter the breaker trips, just when it is cold.")
            if given["winter"]
            else say("The breaker trips with all of it on.")
        )
    return Reckoned(figures, tuple(notes), ("overload", "protection_trips", "mains"))


def _dark(given: Mapping[str, Any]) -> Reckoned:
    saturation = oxygen_saturation(given["salinity"], given["water"])
    demand = _demand(given)
    water = StillWater(given["volume"], given["surface"], demand, given["water"], saturation)
    start, exchange = given["start"] * saturation, _exchange(given, water)
    figures: dict[str, Figure | None] = listed(
        Figure("oxygen_at_saturation", saturation, "mg/L"),
        Figure("oxygen_at_start", start, "mg/L"),
        Figure("demand", demand[1], "mg/h", demand[2], demand[0]),
        Figure("exchange", exchange[1], "L/h", exchange[0], exchange[2]),
    )
    for limit in given["limit"] or ("4", "2"):
        at = amount(limit.removesuffix("mg/L").strip(), "number", option="limit")
        found = oxygen_hours(water, start, limit=at, exchange=exchange)
        for end in _ENDS:
            name = f"hours_to_{at:g}_{end}"
            figures[name] = figure(name, getattr(found, end), "h")
    for text in given["after"]:
        hours = amount(text, "hours", option="after")
        for end, breathes, lets_in in zip(_ENDS, demand, exchange, strict=True):
            level = _oxygen_after(Breathing(water.volume, breathes, lets_in), start, hours, water)
            name = f"oxygen_after_{hours:g}_h_{end}"
            figures[name] = Figure(name, level, "mg/L")
    ends = oxygen_ends_at(water, exchange=exchange)
    figures["ends_at"] = figure("ends_at", ends.middle, "mg/L")
    return Reckoned(
        figures,
        notes=(say("Plan by the short end; what breathes is known to a factor of two."),),
        cautions=("animals_first", "engines_outdoors", "batteries"),
    )


_ENDS = ("short", "middle", "long")


def _demand(given: Mapping[str, Any]) -> tuple[float, float, float]:
    """What breathes, most first: half to twice what was said in all, else from its parts."""
    if given["demand"] is not None:
        return 2.0 * given["demand"], given["demand"], given["demand"] / 2.0
    return demand_range(
        given["fish"], rate=given["fish-rate"], others=given["others"], volume=given["volume"]
    )


def _exchange(given: Mapping[str, Any], water: StillWater) -> tuple[float, float, float]:
    """Water that comes to balance with air, least first: as said, else by surface and bubbles."""
    if given["exchange"] is not None:
        return (given["exchange"],) * 3
    bubbles = None if given["air"] is None else Bubbles(given["air"], given["depth"])
    if water.open_area == 0.0 and bubbles is None:
        return 0.0, 0.0, 0.0
    return exchange_range(water, bubbles=bubbles, moved=bubbles is not None)


def _oxygen_after(breathing: Breathing, start: float, hours: float, water: StillWater) -> float:
    went = oxygen_course(
        breathing, start, hours=hours, saturation=lambda _hour: water.saturation, step=hours
    )
    return went.oxygen[-1]


def _battery(given: Mapping[str, Any]) -> Reckoned:
    hours = battery_hours(given["battery"], usable=given["usable"], load=given["load"])
    return Reckoned(listed(Figure("hours", hours, "h")), cautions=("batteries",))


def _floor(given: Mapping[str, Any]) -> Reckoned:
    masses = {"water": given["water-volume"] * kilograms_per_litre(given["salinity"], 25.0)}
    for text in given["mass"]:
        name, grams = named_amount(text, "mass", option="mass")
        masses[name] = masses.get(name, 0.0) + grams / 1000.0
    legs = None if given["legs"] is None else int(given["legs"])
    load = floor_load(
        masses,
        length=given["length"],
        width=given["width"],
        legs=legs,
        leg_area=given["leg-area"],
    )
    figures = listed(
        Figure("mass", load.mass, "kg"),
        Figure("force", load.force, "kN"),
        Figure("pressure", load.pressure, "kPa"),
        Figure("pressure_psf", load.pressure_psf, "psf"),
        Figure("uniform_live_load", UNIFORM_LIVE_LOAD, "kPa"),
        Figure("times_uniform", load.of_uniform, ""),
        Figure("runner", load.runner, "kN/m"),
        figure("leg", load.leg, "kN"),
        figure("heaviest_leg", load.heaviest_leg, "kN"),
        figure("leg_pressure", load.leg_pressure, "kPa"),
    )
    return Reckoned(
        figures,
        notes=(
            say(
                "Neither pass nor fail: that hangs on joists, span and local code. "
                "For a structural engineer."
            ),
        ),
        cautions=("floor",),
    )


#: Litres of carbon dioxide gas from a kilogram at 20 °C and 1 atm: 24.055 L/mol over 44.009 g/mol.
_GAS_LITRES = 24.055 / 44.009 * 1000.0


def _gas(given: Mapping[str, Any]) -> Reckoned:
    litres = given["gas"] / 1000.0 * _GAS_LITRES
    share = litres / given["space"]
    return Reckoned(
        listed(
            Figure("gas", litres, "L"),
            Figure("share", share * 100.0, "%"),
            Figure("ppm", share * 1e6 + 420.0, "ppm"),
            Figure("times_workplace_limit", share * 1e6 / 5000.0, ""),
            Figure("times_danger_to_life", share * 1e6 / 40_000.0, ""),
        ),
        notes=(
            say(
                "A full bottle that empties into a shut room, spread evenly; near "
                "the floor it is more. 5000 ppm is a workplace's limit over a day, "
                "40,000 ppm an immediate danger to life (NIOSH)."
            ),
        ),
        cautions=("gas_bottle",),
    )


POWER_SUMS: Mapping[str, Sum] = {
    "circuit": Sum(
        "current of loads on a circuit, and with what hangs there in winter",
        (
            Input("volts", "voltage", "of the mains", needed=True, low=50, high=500),
            Input("breaker", "current", "of its breaker", needed=True, low=0.1, high=200),
            Input("share", "share", "of it that may be used for hours on end", "80 %", low=0.1,
                  high=1),
            Input("load", "text", "such as “pump=45 W@0.6”, the power factor last", needed=True,
                  several=True),
            Input("winter", "text", "what hangs there in winter too", several=True),
        ),
        _circuit,
        '--volts "120 V" --breaker "15 A" --load "heaters=500 W" --load "rest=341 W@0.6" '
        '--winter "room heater=1500 W"',
    ),
    "dark": Sum(
        "hours that oxygen lasts when nothing moves, as a range",
        (
            Input("volume", "volume", "of the water", needed=True, low=0.1),
            Input("demand", "oxygen", "all that breathes; else from the next three"),
            Input("fish", "mass", "their weight", "0 g"),
            Input("fish-rate", "oxygen by weight", "what they breathe", "250 mg/kg/h"),
            Input("others", "oxygen", "corals, rock, bacteria; left out, 1 mg/h in a litre"),
            Input("start", "share", "of saturation at the start", "95 %", high=2),
            WATER,
            SALINITY,
            Input("surface", "area", "that air reaches; 0 m2 where nothing gets in", "0 m2"),
            Input("air", "flow", "of an air pump"),
            Input("depth", "length", "of its stone", "25 cm", high=20),
            Input("exchange", "flow", "of water that comes to balance with air, where it is known"),
            Input("limit", "text", "mg/L that are asked for; left out, 4 and 2", several=True),
            Input("after", "text", "hours at which the oxygen is asked for", several=True),
        ),
        _dark,
        '--volume "300 L" --fish "150 g" --others "300 mg/h" --limit 4 --limit 2',
    ),
    "battery": Sum(
        "how long a battery carries a load",
        (
            Input("battery", "energy", "what it holds when full", needed=True),
            Input("usable", "share", "of it: lead 50 %, lithium 80 %", "50 %", low=0.01, high=1),
            Input("load", "power", "that hangs on it", needed=True, low=1e-6),
        ),
        _battery,
        '--battery "84 Wh" --usable "50 %" --load "4 W"',
    ),
    "floor": Sum(
        "what presses on the floor, for a structural engineer",
        (
            Input("water-volume", "volume", "of the salt water", "0 L"),
            Input("mass", "text", "such as “rock=40 kg”; as many as you like", several=True),
            Input("length", "length", "of the footprint", needed=True, low=0.01),
            Input("width", "length", "of the footprint", needed=True, low=0.01),
            Input("legs", "number", "that it stands on", low=1, high=100),
            Input("leg-area", "area", "under one leg", low=1e-6),
            SALINITY,
        ),
        _floor,
        '--water-volume "325 L" --mass "rock=40 kg" --mass "glass=86 kg" --length "1.2 m" '
        '--width "0.6 m" --legs 4',
    ),
    "gas": Sum(
        "what a carbon dioxide bottle does to a shut room",
        (
            Input("gas", "mass", "of carbon dioxide in the bottle", needed=True),
            Input("space", "volume", "air of the room, such as “30 m3”", needed=True, low=1),
        ),
        _gas,
        '--gas "2 kg" --space "30 m3"',
    ),
}  # fmt: skip
