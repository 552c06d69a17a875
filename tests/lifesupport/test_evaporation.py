"""Evaporation, against the published relations and worked values."""

from __future__ import annotations

import gsw
import pytest
from CoolProp.CoolProp import PropsSI

from brinebook.lifesupport.evaporation import (
    AS_WRITTEN,
    SECONDS_A_DAY,
    STILL,
    STIRRED,
    Surface,
    evaporation,
    evaporation_carrier_1918,
    evaporation_shah_2014,
    factor_range,
    latent_heat,
    latent_heat_of_pure_water,
    water_activity,
)
from brinebook.lifesupport.humid_air import Air, saturation_pressure, vapour_pressure

#: Of the reference system: 1.20 x 0.60 m of display with 0.1 m/s over it, 0.80 x 0.40 m of sump.
DISPLAY, SUMP = Surface(0.72, 0.1), Surface(0.32, 0.0)


def litres_a_day(air: Air, *, factor: float = AS_WRITTEN) -> float:
    return SECONDS_A_DAY * sum(
        evaporation(surface, 25.0, air=air, factor=factor) for surface in (DISPLAY, SUMP)
    )


@pytest.mark.parametrize(
    ("water", "air", "latent", "kilograms_an_hour"),
    [
        (25.0, Air(22.0, 0.5), 2441.7, 0.24234),
        (26.0, Air(24.0, 0.5), 2439.3, 0.24570),
    ],
)
def test_a_still_square_metre_of_pool_loses_what_the_formula_gives(
    water: float, air: Air, latent: float, kilograms_an_hour: float
) -> None:
    # Smith, Löf & Jones 1998, the formula turned into SI by hand; latent heats of IAPWS-95; 0.2 %.
    loss = evaporation_carrier_1918(
        saturation_pressure(water), vapour_pressure(air), air_speed=0.0, latent=latent
    )
    assert loss * 3600 == pytest.approx(kilograms_an_hour, rel=2e-3)


@pytest.mark.parametrize(
    ("water", "room", "expected"),
    [(28, 28, 0.1360), (28, 29, 0.1171), (28, 30, 0.0968), (29, 28, 0.1651), (29, 29, 0.1463),
     (29, 30, 0.1268), (30, 28, 0.1959), (30, 29, 0.1771)],
)  # fmt: skip
def test_an_undisturbed_pool_loses_what_the_papers_table_says(
    water: float, room: float, expected: float
) -> None:
    # Shah 2014, look-up table for 50 % humidity, kg/h/m2, as transcribed in a public program. His
    # air properties are of another source: 0.5 %.
    loss = evaporation_shah_2014(water, Air(room, 0.5))
    assert loss * 3600 == pytest.approx(expected, rel=5e-3)


def test_into_warm_dry_air_the_slow_currents_of_the_room_carry_it() -> None:
    # Air of 35 °C and 20 % is lighter than air right over water of 20 °C, so nothing rises by
    # itself: 0.00005 (pw - pa) remains, 2338.8 and 0.2 x 5628 Pa (ASHRAE 2017, table 3).
    loss = evaporation_shah_2014(20.0, Air(35.0, 0.2))
    assert loss * 3600 == pytest.approx(0.00005 * (2338.8 - 0.2 * 5628), rel=2e-3)


@pytest.mark.parametrize(
    ("air", "kilograms"), [(Air(26, 0.6), 3.80), (Air(22, 0.5), 6.22), (Air(22, 0.28), 8.24)]
)
def test_a_reef_of_300_litres_loses_the_worked_litres(air: Air, kilograms: float) -> None:
    # Worked by hand from the formula of 1918 with the water's activity 0.9813; 0.5 %.
    assert litres_a_day(air) == pytest.approx(kilograms, rel=5e-3)


def test_still_water_loses_a_quarter_less_than_the_formula_says() -> None:
    # Smith, Löf & Jones 1998: measured still pools, 74 % of the formula.
    assert litres_a_day(Air(22, 0.5), factor=STILL) == pytest.approx(4.60, rel=5e-3)


@pytest.mark.parametrize("room", [16.0, 19.0, 22.0, 25.0, 28.0])
def test_the_range_that_we_show_holds_both_published_relations(room: float) -> None:
    # Shah 2014 for undisturbed water; Smith, Löf & Jones 1998 for still and stirred pools.
    air = Air(room, 0.45)
    pool = (Surface(1.0),)
    shown = factor_range(pool, 25.0, air=air)
    written = evaporation(pool[0], 25.0, air=air)
    by_shah = evaporation_shah_2014(25.0, air, activity=water_activity(35.0))
    assert shown.low * written <= by_shah * (1 + 1e-12) or shown.low == STILL
    assert shown.low <= STILL < shown.middle < shown.high == STIRRED


@pytest.mark.parametrize("temperature", [0, 10, 20, 25, 30, 40])
def test_latent_heat_follows_the_standard(temperature: float) -> None:
    # TEOS-10 by gsw 3.6.23, seawater of 35 PSU; 0.1 %.
    theirs = float(gsw.latentheat_evap_t(35.16504, temperature)) / 1000
    assert latent_heat(temperature) == pytest.approx(theirs, rel=1e-3)


def test_sea_water_holds_its_water_a_little_tighter() -> None:
    # 0.9813 at 35 PSU and 25 °C by TEOS-10 (osmotic coefficient 0.903, molality 1.1606); 5e-4.
    assert water_activity(35.0) == pytest.approx(0.9813, abs=5e-4)


def test_a_lid_leaves_its_share() -> None:
    air = Air(21, 0.4)
    bare, lidded = (evaporation(Surface(0.72, 0.1, share), 25.0, air=air) for share in (1.0, 0.25))
    assert lidded == pytest.approx(bare / 4)


@pytest.mark.parametrize("temperature", [1, 10, 20, 25, 26, 28, 35, 45])
def test_latent_heat_of_pure_water_is_that_of_an_independent_program(temperature: float) -> None:
    # IAPWS-95 by CoolProp; the cubic goes through its values.
    kelvin = temperature + 273.15
    vapour, liquid = (PropsSI("H", "T", kelvin, "Q", part, "Water") for part in (1, 0))
    assert latent_heat_of_pure_water(temperature) == pytest.approx(
        (vapour - liquid) / 1000, abs=0.02
    )
