"""Losses, the power that holds a temperature, and where a stuck heater ends."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.lifesupport.evaporation import Surface
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
    with_air_speed,
    with_lid,
)
from brinebook.lifesupport.humid_air import Air

#: The reference system of the worked examples: 300 L of 35 PSU, 13.3 W/K of walls, 0.72 m2 of
#: display with 0.1 m/s over it and 0.32 m2 of sump; its pumps give 45 W.
REEF = Body(
    capacity=capacity_of(300.0, kilograms_per_litre=1.0233436, specific_heat=3.999),
    conductances={"glass": 13.3},
    surfaces=(Surface(0.72, 0.1), Surface(0.32)),
)
ROOM = Air(21.0, 0.40)
PUMPS = 45.0


def test_holding_25_degrees_takes_the_worked_watts() -> None:
    # Worked by hand: 216 W = 53 glass + 208 evaporation - 45 pumps; 1 %.
    ways = losses(REEF, 25.0, air=ROOM).by_way
    assert ways["glass"] == pytest.approx(53.2, rel=0.01)
    assert ways["evaporation"] == pytest.approx(208, rel=0.01)
    assert power_needed(REEF, 25.0, air=ROOM, gains=PUMPS) == pytest.approx(216, rel=0.01)


def test_a_colder_room_takes_more_and_a_lid_most_of_it_away() -> None:
    # Worked by hand: 291 W in a room of 16 °C and 50 %; 60 W under a lid that leaves 0.25; 1 %.
    cold = power_needed(REEF, 25.0, air=Air(16.0, 0.50), gains=PUMPS)
    assert cold == pytest.approx(291, rel=0.01)
    lidded = power_needed(with_lid(REEF, open_share=0.25), 25.0, air=ROOM, gains=PUMPS)
    assert lidded == pytest.approx(60, rel=0.01)


@pytest.mark.parametrize(("heater", "ends_at"), [(150, 22.8), (300, 27.6), (500, 33.0), (0, 17.4)])
def test_a_heater_that_sticks_ends_where_it_was_worked_out(heater: float, ends_at: float) -> None:
    # Worked by hand for an open top in a room of 21 °C and 40 %; 0.1 K.
    settled = settled_temperature(REEF, air=ROOM, heat=PUMPS + heater)
    assert settled == pytest.approx(ends_at, abs=0.1)


def test_a_lid_makes_the_same_stuck_heater_cook() -> None:
    open_top = settled_temperature(REEF, air=ROOM, heat=PUMPS + 300)
    lidded = settled_temperature(with_lid(REEF, open_share=0.25), air=ROOM, heat=PUMPS + 300)
    assert lidded > open_top + 4


def test_walls_alone_cool_with_the_worked_time_constant() -> None:
    # 400 L of seawater (409.34 kg), 7.0 W/m2/K over 2.5 m2: 25.98 h, arithmetic with 3.999; 0.1 %.
    body = Body(capacity=409.34 * 3.999, conductances={"walls": 7.0 * 2.5})
    assert time_constant(body, 25.0, air=ROOM) == pytest.approx(25.98, rel=1e-3)


def test_specific_heat_is_the_standards() -> None:
    # TEOS-10 by gsw 3.6.23: 3.9990 kJ/kg/K; CoolProp's Sharqawy 2010 has 4.001, and 1 % between.
    assert specific_heat_teos_2010(35.0, 25.0) == pytest.approx(3.9990, abs=5e-5)


def test_new_water_of_18_degrees_cools_by_the_worked_degree() -> None:
    # 45 L of 18 °C swapped into 300 L of 25 °C: 23.95; 0.01 K.
    mixed = mixed_temperature(300.0, 25.0, added_litres=45.0, added_temperature=18.0)
    assert mixed == pytest.approx(23.95, abs=0.01)


def test_two_litres_of_ice_take_seven_tenths_of_a_degree() -> None:
    # Common practice has “2 L, about 0.7 K” for 300 L. By gsw 3.6.23: 2 kg from -18 °C to 25 °C
    # take 2 (18 x 2.03 + 333.4 + 25 x 4.19) = 949 kJ; ours within 1 %.
    by_gsw = 2 * (
        18 * float(gsw.cp_ice(-9, 0)) / 1000
        + float(gsw.latentheat_melting(0, 0)) / 1000
        + 25 * float(gsw.cp_t_exact(0, 12, 0)) / 1000
    )
    taken = ice_cooling(2.0, from_temperature=-18.0, water_temperature=25.0)
    assert taken == pytest.approx(by_gsw, rel=0.01)
    assert taken / REEF.capacity == pytest.approx(0.7, abs=0.1)


@given(
    st.floats(14, 32), st.floats(0.2, 0.9), st.floats(0, 800), st.floats(0.1, 2.0),
    st.floats(0.25, 1.0),
)  # fmt: skip
def test_where_the_water_settles_its_books_of_energy_close(
    room: float, humidity: float, heat: float, factor: float, open_share: float
) -> None:
    # Conservation: what goes in is what goes out, to 1e-6 W (the point is found to 1e-9 K or so).
    air = Air(room, humidity)
    lidded = with_lid(REEF, open_share=open_share)
    body = Body(lidded.capacity, lidded.conductances, lidded.surfaces, factor=factor)
    settled = settled_temperature(body, air=air, heat=heat)
    assert losses(body, settled, air=air).total == pytest.approx(heat, abs=1e-6)


def test_air_moved_over_the_water_cools_dry_rooms_and_hardly_wet_ones() -> None:
    # Keepers' question 32: a fan is little use at 80 % humidity. The gain follows pw - pa, so from
    # 40 to 80 % in a room of 30 °C it falls by (3.11 - 0.8 x 4.25)/(3.11 - 0.4 x 4.25): below zero.
    blown = with_air_speed(REEF, 1.5)

    def gained(humidity: float) -> float:
        air = Air(30.0, humidity)
        return losses(blown, 25.0, air=air).total - losses(REEF, 25.0, air=air).total

    assert gained(0.40) > 30
    assert gained(0.80) < 0
