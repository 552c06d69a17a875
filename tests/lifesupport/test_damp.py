"""The flat's own moisture, and where it condenses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.lifesupport.damp import (
    changes_for_humidity,
    humidity_added,
    humidity_at_surface,
    inner_surface_temperature,
    settled_room,
)
from brinebook.lifesupport.humid_air import Air, dry_air_density, humidity_ratio

WINTER = Air(0.0, 0.80)


def test_the_flat_gains_the_ratio_that_the_balance_of_moisture_gives() -> None:
    # W_room - W_out = w/(rho V ACH): 0.26 kg/h into 150 m3 at 0.5 changes an hour and 1.199 kg of
    # dry air a cubic metre (21 °C, 1 atm, arithmetic) adds 0.002891 kg/kg; 0.5 % for the density.
    air = settled_room(WINTER, 21.0, vapour=0.26, volume=150.0, changes=0.5)
    assert air.ratio - humidity_ratio(WINTER) == pytest.approx(0.26 / (1.195 * 75), rel=5e-3)


def test_humidity_added_is_what_the_ratio_makes_of_it() -> None:
    # 0.002891 kg/kg in air of 21 °C is 463 Pa of 2487 Pa (ASHRAE 2017, table 3): 18.6 points; 2 %.
    added = humidity_added(Air(21.0, 0.35), vapour=0.26, volume=150.0, changes=0.5)
    assert added == pytest.approx(0.186, rel=0.02)


@given(st.floats(-10, 12), st.floats(0.3, 0.95), st.floats(0, 1.0), st.floats(0.2, 3))
def test_the_rooms_books_of_vapour_close(
    outside: float, humidity: float, vapour: float, changes: float
) -> None:
    # Conservation at rest: the air that leaves takes along what came in and what evaporated; 1e-9.
    fresh = Air(outside, humidity)
    air = settled_room(fresh, 21.0, vapour=vapour, volume=150.0, changes=changes)
    moved = (
        dry_air_density(
            Air(21.0, settled_room(fresh, 21.0, vapour=0.0, volume=150.0, changes=changes).humidity)
        )
        * 150.0
        * changes
    )
    assert moved * (air.ratio - humidity_ratio(fresh)) == pytest.approx(vapour, rel=1e-9, abs=1e-12)


def test_the_changes_that_hold_a_limit_hold_it() -> None:
    changes = changes_for_humidity(WINTER, 21.0, vapour=0.26, volume=150.0, humidity=0.5)
    assert changes is not None
    held = settled_room(WINTER, 21.0, vapour=0.26, volume=150.0, changes=changes)
    assert held.humidity == pytest.approx(0.5, abs=1e-9)


def test_when_it_is_as_wet_outside_no_airing_helps() -> None:
    muggy = Air(24.0, 0.9)
    assert changes_for_humidity(muggy, 24.0, vapour=0.2, volume=150.0, humidity=0.5) is None


def test_a_double_pane_is_as_cold_as_its_transmittance_makes_it() -> None:
    # 21 - 2.8 x 0.13 x (21 - 0) = 13.36 °C (ISO 6946, arithmetic).
    pane = inner_surface_temperature(21.0, 0.0, transmittance=2.8)
    assert pane == pytest.approx(13.356, abs=1e-9)


def test_air_of_its_dew_point_wets_a_surface() -> None:
    air = settled_room(WINTER, 21.0, vapour=0.4, volume=120.0, changes=0.5)
    assert humidity_at_surface(air.ratio, air.dew_point, pressure=101_325) == pytest.approx(1.0)
