"""The air of the stand, against worked values, limits known in closed form, and its own books."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.lifesupport.cabinet import (
    Stand,
    air_of_stand,
    cycled_air,
    flow_for_dry_wall,
    flow_for_humidity,
    least_duty,
    mean_sound_level,
    settled_air,
    sound_level_at_speed,
    stack_flow,
)
from brinebook.lifesupport.evaporation import Surface, evaporation
from brinebook.lifesupport.heat_model import stand_of
from brinebook.lifesupport.humid_air import Air, humidity_ratio
from tests.lifesupport import described

#: The worked stand: 300 L of air at 23 °C, 0.32 m2 of sump at 25 °C, a room of 21 °C and 45 %.
STAND = Stand(300.0, 23.0, Surface(0.32), 25.0, Air(21.0, 0.45))


def test_the_rooms_air_holds_the_worked_vapour() -> None:
    assert humidity_ratio(STAND.room) == pytest.approx(0.006948, abs=5e-7)


@pytest.mark.parametrize(
    ("flow", "humidity"), [(500, 1.0), (2000, 0.92), (5000, 0.77), (10_000, 0.65), (20_000, 0.55)]
)
def test_the_stand_settles_at_the_worked_humidity(flow: float, humidity: float) -> None:
    # Worked by hand from the balance of vapour; 2 % of the value.
    assert settled_air(STAND, flow=flow).humidity == pytest.approx(humidity, rel=0.02)


def test_the_air_needed_is_what_was_worked_out() -> None:
    # 75 % takes 5.65 m3/h; dry walls of 20 °C take 3.5, of 18 °C 6.2; 2 %.
    assert flow_for_humidity(STAND, 0.75) == pytest.approx(5650, rel=0.02)
    assert flow_for_dry_wall(STAND, 20.0) == pytest.approx(3500, rel=0.02)
    assert flow_for_dry_wall(STAND, 18.0) == pytest.approx(6200, rel=0.02)


@pytest.mark.parametrize(
    ("on", "off", "mean", "highest", "saturated"),
    [(900, 6300, 0.93, 1.0, 0.81), (60, 420, 0.82, 1.0, None), (15, 105, 0.76, 0.84, 0.0)],
)
def test_long_cycles_of_one_duty_leave_the_stand_wet_most_of_the_time(
    on: float, off: float, mean: float, highest: float, saturated: float | None
) -> None:
    # Worked by hand: 40 m3/h for an eighth of the time, leaks of 0.5; 3 %.
    air = cycled_air(STAND, fan=40_000, on=on, off=off)
    assert air.mean == pytest.approx(mean, rel=0.03)
    assert air.highest == pytest.approx(highest, rel=0.03)
    if saturated is not None:
        assert air.saturated == pytest.approx(saturated, abs=0.03)


def test_the_same_air_passed_without_pause_does_best() -> None:
    # Worked: 75 % for 5 m3/h without pause, where the timer of the same duty gives 93 %; 3 %.
    steady = settled_air(STAND, flow=5000 + STAND.leak).humidity
    assert steady == pytest.approx(0.75, rel=0.03)
    assert steady < cycled_air(STAND, fan=40_000, on=15, off=105).mean


def test_ever_shorter_cycles_tend_to_the_steady_fan() -> None:
    # The limit of a fast cycle is the same mean flow without pause; 0.5 % at 2 s.
    fast = cycled_air(STAND, fan=40_000, on=0.25, off=1.75)
    assert fast.mean == pytest.approx(settled_air(STAND, flow=5500).humidity, rel=5e-3)


def test_with_the_fan_off_the_air_fills_as_the_closed_form_says() -> None:
    # Far from saturation p(W) is straight to 1 %, and the air fills like a vessel through a tube:
    # W = W1 + (W0 - W1) exp(-t/tau), tau = M/(takes + gives dp/dW). A cold stand over little water.
    stand = replace(STAND, surface=Surface(0.02), volume=300.0, leak=2000.0)
    full = cycled_air(stand, fan=40_000, on=3600, off=0.0)
    rest = settled_air(stand, flow=2000.0)
    per_pascal = 0.02 * 0.089 / 2438.96 * 101.325 * 0.621945 / (0.621945 + rest.ratio) ** 2
    takes = 2.0 * 1.187 / 3600
    tau = 0.3 * 1.187 / (takes + per_pascal)
    off = tau  # one time constant of rest after long blowing
    swing = cycled_air(stand, fan=40_000, on=3600, off=off)
    start = full.lowest
    expected = rest.humidity + (start - rest.humidity) * math.exp(-1)
    assert swing.highest == pytest.approx(expected, rel=0.01)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(2, 1200), st.floats(2, 4000), st.floats(500, 60_000), st.floats(0.2, 0.8),
    st.floats(0.3, 1.7),
)  # fmt: skip
def test_the_books_of_vapour_close_over_every_cycle(
    on: float, off: float, fan: float, humidity: float, factor: float
) -> None:
    # Conservation: what evaporated went out with the air, onto the walls, or is still there; 1e-9.
    stand = replace(STAND, room=Air(21.0, humidity), factor=factor)
    air = cycled_air(stand, fan=fan, on=on, off=off)
    rest = air.evaporated - air.carried - air.condensed - air.kept
    assert abs(rest) <= 1e-9 * max(air.evaporated, air.carried)


@given(st.floats(100, 50_000), st.floats(0.2, 0.8), st.floats(20, 30))
def test_the_books_of_vapour_close_at_rest(flow: float, humidity: float, water: float) -> None:
    stand = replace(STAND, room=Air(21.0, humidity), water_temperature=water)
    air = settled_air(stand, flow=flow)
    assert air.evaporated == pytest.approx(air.carried + air.condensed, rel=1e-9, abs=1e-9)


def test_the_surface_gives_what_the_room_of_evaporation_says_for_that_air() -> None:
    air = air_of_stand(STAND, flow=5000)
    grams = evaporation(STAND.surface, 25.0, air=air) * 3.6e6
    assert settled_air(STAND, flow=5000).evaporated == pytest.approx(grams, rel=1e-6)


def test_in_a_room_wetter_than_the_limit_no_fan_can() -> None:
    # Room air of 24 °C and 75 % holds more vapour than a stand of 23 °C at 75 %.
    muggy = replace(STAND, room=Air(24.0, 0.75))
    assert flow_for_humidity(muggy, 0.75) is None
    assert least_duty(muggy, fan=100_000, cycle=600, humidity=0.75) is None


def test_the_least_duty_grows_with_the_length_of_the_cycle_and_holds_the_limit() -> None:
    duties = [
        least_duty(STAND, fan=40_000, cycle=cycle, humidity=0.75) for cycle in (120, 600, 3600)
    ]
    assert None not in duties
    assert duties == sorted(duties)  # type: ignore[type-var]
    share = duties[1] or 0.0
    held = cycled_air(STAND, fan=40_000, on=share * 600, off=(1 - share) * 600)
    assert held.mean == pytest.approx(0.75, abs=1e-3)


def test_a_fan_at_half_speed_is_15_decibels_quieter() -> None:
    # Bies, Hansen & Howard 2017: 50 log10 of the ratio of speeds, 50 x 0.30103 = 15.05.
    assert sound_level_at_speed(40.0, 0.5) == pytest.approx(24.95, abs=0.005)
    # Running a tenth of the time: 10 log10 0.1 = -10 dB in the mean, but as loud while it runs.
    assert mean_sound_level(40.0, 0.1) == pytest.approx(30.0)


def test_warm_air_rises_through_openings_as_a_falling_body_would() -> None:
    # By hand: 200 cm2, 2 K over 21 °C: sqrt(2 g 0.3 x 2/296.15 / 2) = 0.141 m/s through 100 cm2 at
    # 0.65: 3.30 m3/h.
    found = stack_flow(0.02, warmer_by=2.0, room_temperature=21.0)
    assert found == pytest.approx(3300, rel=0.002)
    assert stack_flow(0.02, warmer_by=0.0, room_temperature=21.0) == 0.0
    assert stack_flow(0.02, warmer_by=8.0, room_temperature=15.0) == pytest.approx(
        2 * stack_flow(0.02, warmer_by=2.0, room_temperature=21.0), rel=1e-9
    )


def test_openings_dry_a_described_stand() -> None:
    room = Air(21.0, 0.45)
    shut = described.rig(described.PLAIN + '[heat.cabinet]\nvolume = "300 L"\n')
    text = described.PLAIN + '[heat.cabinet]\nvolume = "300 L"\nopenings = "200 cm2"\n'
    stands = [
        stand_of(rig, room=room, water=25.0, factor=1.0) for rig in (shut, described.rig(text))
    ]
    tight, open_ = (settled_air(one, flow=one.leak) for one in stands if one is not None)
    assert open_.humidity < tight.humidity - 0.1
