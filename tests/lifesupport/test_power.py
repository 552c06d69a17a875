"""Circuits: worked currents, the code's rule, and what goes dark together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.lifesupport.power import (
    Draw,
    continuous_limit_nec_2020,
    drawn_by,
    held_against,
    in_season,
    rule_for,
    shared_fate,
)

#: The worked loads: heaters at a power factor of 1, everything else taken at 0.6.
RIG = (
    Draw("heaters", 500),
    Draw("return", 45, 0.6),
    Draw("streams", 60, 0.6),
    Draw("lights", 180, 0.6),
    Draw("skimmer", 25, 0.6),
    Draw("dosers", 15, 0.6),
    Draw("fan", 6, 0.6),
    Draw("reactor", 10, 0.6),
)
ROOM_HEATER = Draw("room heater", 1500, season="winter")


def test_the_worked_rig_draws_the_worked_current() -> None:
    # 841 W at 120 V: 7.0 A at a power factor of 1, 8.9 A at 0.6 for all but the heaters; 0.5 %.
    drawn = drawn_by(RIG, volts=120)
    assert drawn.watts == 841
    assert drawn.least == pytest.approx(7.0, rel=5e-3)
    assert drawn.most == pytest.approx(8.9, rel=5e-3)


def test_in_winter_the_room_heater_trips_the_worked_circuit() -> None:
    # Worked: 19.5 A on a breaker of 15 A; 0.5 %. In summer the same circuit holds.
    winter = held_against(
        in_season((*RIG, ROOM_HEATER), "winter"), volts=120, breaker=15, share=0.8
    )
    assert winter.drawn.least == pytest.approx(19.5, rel=5e-3)
    assert winter.trips == "yes"
    summer = held_against(
        in_season((*RIG, ROOM_HEATER), "summer"), volts=120, breaker=15, share=0.8
    )
    assert summer.trips == "no"
    assert summer.most_share == pytest.approx(8.903 / 12, rel=1e-3)


@pytest.mark.parametrize(("breaker", "limit"), [(15, 12.0), (20, 16.0)])
def test_a_breaker_carries_four_fifths_for_hours_on_end(breaker: float, limit: float) -> None:
    # NEC 210.19(A)(1), 210.20(A): 15 A -> 12 A, 20 A -> 16 A; 1440 and 1920 W at 120 V.
    assert continuous_limit_nec_2020(breaker) == pytest.approx(limit)
    assert continuous_limit_nec_2020(breaker) * 120 == pytest.approx(limit * 120)


def test_the_law_holds_at_120_volts_and_the_keepers_share_at_230() -> None:
    assert rule_for(120, share=1.0).share == 0.8
    assert rule_for(120, share=0.7).share == 0.7
    assert rule_for(120, share=0.7).law
    assert rule_for(230, share=0.6).share == 0.6
    assert not rule_for(230, share=0.6).law
    # A dryer's circuit in the United States, and a socket of 100 V where that code isn't law.
    assert rule_for(240, share=1.0, region="US").share == 0.8
    assert rule_for(100, share=0.9).share == 0.9
    assert not rule_for(120, share=0.9, region="JP").law


@given(st.lists(st.tuples(st.floats(0, 2000), st.floats(0.3, 1.0)), min_size=1, max_size=9))
def test_the_true_current_lies_between_the_two_sums(loads: list[tuple[float, float]]) -> None:
    # Currents that lag by their power factors add as vectors: never less than the real parts, never
    # more than the plain sum of apparent powers.
    drawn = drawn_by([Draw("x", watts, factor) for watts, factor in loads], volts=230)
    reactive = sum(watts * (1 / factor**2 - 1) ** 0.5 for watts, factor in loads)
    vector = (drawn.watts**2 + reactive**2) ** 0.5 / 230
    assert drawn.least - 1e-9 <= vector <= drawn.most + 1e-9


def test_a_strip_that_holds_every_pump_takes_all_movement_along() -> None:
    groups = [("strip left", ["return", "stream 1", "stream 2"]), ("strip right", ["heater"])]
    functions = [
        ("moves the water", ["return", "stream 1", "stream 2"]),
        ("warms", ["heater"]),
        ("lights", []),
    ]
    assert shared_fate(groups, functions) == (
        ("strip left", "moves the water"),
        ("strip right", "warms"),
    )
