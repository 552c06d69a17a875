"""The temperature hour by hour, against solutions in closed form and its own books of energy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.lifesupport.evaporation import Surface
from brinebook.lifesupport.heat import Body, capacity_of, settled_temperature, with_lid
from brinebook.lifesupport.heat_course import (
    Blowing,
    Chilling,
    Heating,
    Lighting,
    Regime,
    course,
    daily_weather,
    steady_weather,
)
from brinebook.lifesupport.humid_air import Air

REEF = Body(
    capacity=capacity_of(300.0, kilograms_per_litre=1.0233436, specific_heat=3.999),
    conductances={"glass": 13.3},
    surfaces=(Surface(0.72, 0.1), Surface(0.32)),
)
ROOM = Air(21.0, 0.40)
PUMPS = {"pumps": 45.0}


def test_cooling_through_walls_alone_is_the_exponential_of_the_textbook() -> None:
    # T = Ta + (T0 - Ta) exp(-t UA/C), closed form; the method's error at 300 s is under 1e-9 K.
    body = Body(capacity=409.34 * 3.999, conductances={"walls": 17.5})
    went = course(body, 25.0, hours=48, weather=steady_weather(ROOM), regime=Regime())
    for moment in went.moments:
        exact = 21.0 + 4.0 * math.exp(-moment.hour * 3600 * 17.5 / (body.capacity * 1000))
        assert moment.temperature == pytest.approx(exact, abs=1e-9)


def test_a_room_that_swings_with_the_day_is_followed_by_its_closed_form() -> None:
    # C dT/dt = UA (Tm + s cos wt - T): in the end an amplitude s/sqrt(1 + (w tau)^2), late by
    # atan(w tau)/w; 1e-3 K after 20 time constants.
    body = Body(capacity=500.0, conductances={"walls": 20.0})
    tau = body.capacity * 1000 / 20.0
    omega = 2 * math.pi / 86_400
    weather = daily_weather(Air(22.0, 0.3), swing=3.0, warmest_at=0.0)
    went = course(body, 22.0, hours=240, weather=weather, regime=Regime())
    for hour in (200.0, 206.0, 212.0, 218.0):
        lag = math.atan(omega * tau)
        amplitude = 3.0 / math.sqrt(1 + (omega * tau) ** 2)
        exact = 22.0 + amplitude * math.cos(omega * hour * 3600 - lag)
        assert went.at(hour).temperature == pytest.approx(exact, abs=1e-3)


def test_500_watts_stuck_on_reach_28_degrees_in_the_worked_hours() -> None:
    # Worked by hand: 28 °C in 4.4 h, in a room of 21 °C and 40 % with an open top; 0.1 h.
    stuck = Regime(heaters=(Heating(500.0, 25.0, "stuck on"),), gains=PUMPS)
    went = course(REEF, 25.0, hours=24, weather=steady_weather(ROOM), regime=stuck)
    assert went.hours_until(28.0) == pytest.approx(4.4, abs=0.1)


def test_a_course_ends_where_the_steady_balance_says() -> None:
    stuck = Regime(heaters=(Heating(300.0, 25.0, "stuck on"),), gains=PUMPS)
    went = course(REEF, 25.0, hours=24 * 14, weather=steady_weather(ROOM), regime=stuck, step=1200)
    settled = settled_temperature(REEF, air=ROOM, heat=345.0)
    assert went.moments[-1].temperature == pytest.approx(settled, abs=1e-3)


def test_a_heater_that_obeys_holds_its_setting_within_its_band() -> None:
    held = Regime(heaters=(Heating(300.0, 25.0),), gains=PUMPS)
    went = course(REEF, 25.0, hours=72, weather=steady_weather(ROOM), regime=held)
    assert went.moments[-1].temperature == pytest.approx(25.0, abs=0.1)


def test_a_second_controller_stops_a_heater_that_sticks() -> None:
    stuck = Regime(heaters=(Heating(500.0, 25.0, "stuck on", cut_out=26.5),), gains=PUMPS)
    went = course(REEF, 25.0, hours=48, weather=steady_weather(ROOM), regime=stuck)
    assert went.highest.temperature < 26.7


@settings(max_examples=25, deadline=None)
@given(
    st.floats(16, 34), st.floats(0.2, 0.9), st.floats(0, 600), st.floats(0.25, 1.0),
    st.sampled_from(["", "stuck on", "stuck off"]),
)  # fmt: skip
def test_the_books_of_energy_close_whatever_happens(
    room: float, humidity: float, power: float, open_share: float, fault: str
) -> None:
    # Conservation: what went in and out by name is what the water gained; 1e-9 of what passed.
    regime = Regime(
        heaters=(Heating(power, 25.0, fault),),  # type: ignore[arg-type]
        lamps=(Lighting(80.0, 10.0, 10.0),),
        fan=Blowing(1.5, 25.5),
        chiller=Chilling(150.0, 27.0),
        gains=PUMPS,
        starts_at=8.0,
    )
    body = with_lid(REEF, open_share=open_share)
    weather = daily_weather(Air(room, humidity), swing=3.0, starts_at=8.0)
    went = course(body, 25.0, hours=30, weather=weather, regime=regime)
    gained = body.capacity * (went.moments[-1].temperature - 25.0)
    passed = sum(abs(energy) for energy in went.energy.values())
    assert abs(sum(went.energy.values()) - gained) <= 1e-9 * passed


def test_what_evaporates_is_the_latent_heat_that_left() -> None:
    # At 25 °C held, 2438.96 kJ left for each litre (TEOS-10); 1e-3, as the water sits in its band.
    held = Regime(heaters=(Heating(400.0, 25.0),), gains=PUMPS)
    went = course(REEF, 25.0, hours=24, weather=steady_weather(ROOM), regime=held)
    assert -went.energy["evaporation"] / went.moments[-1].litres == pytest.approx(2439, rel=1e-3)


def test_the_lamp_warms_only_while_it_is_on() -> None:
    # 100 W for 10 hours: 3600 kJ a day, whatever the hour at which the course begins.
    lit = Regime(lamps=(Lighting(100.0, 10.0, 10.0),), starts_at=3.0)
    went = course(REEF, 25.0, hours=24, weather=steady_weather(ROOM), regime=lit)
    assert went.energy["lamps"] == pytest.approx(3600.0)


def test_a_strong_heater_in_little_water_still_holds_its_setting() -> None:
    # 300 W in 40 L pass their band in two minutes, less than a step: no swinging from step to step.
    small = Body(
        capacity_of(40.0, kilograms_per_litre=1.0233, specific_heat=3.999),
        {"glass": 4.0},
        (Surface(0.12),),
    )
    held = Regime(heaters=(Heating(300.0, 25.0),))
    went = course(small, 25.0, hours=12, weather=steady_weather(ROOM), regime=held, step=900)
    late = [moment.temperature for moment in went.moments if moment.hour > 2]
    assert max(late) - min(late) < 1e-3
