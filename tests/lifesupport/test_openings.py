"""Holes, drains and siphons against figures worked by hand and by the `fluids` library."""

from __future__ import annotations

import math

import pytest

from brinebook.lifesupport.fluid import GRAVITY, USUAL_SEA
from brinebook.lifesupport.links import Run
from brinebook.lifesupport.openings import (
    full_pipe_flow,
    hole_flow_torricelli_1644,
    loss_for_flow,
    siphon_limit,
)

AN_HOUR = 3.6e6


@pytest.mark.parametrize(
    ("bore", "head", "litres_an_hour"),
    [(0.02664, 0.70, 3794), (0.02664, 0.60, 3506), (0.02096, 0.70, 2269), (0.04094, 0.70, 9362)],
)
def test_a_drain_as_a_full_siphon(bore: float, head: float, litres_an_hour: float) -> None:
    # v2/2g (K + f L/D) = H with Colebrook, 1 m of pipe, K 3.06, seawater of 35 PSU at 25 C; 0.1 %
    # for the viscosity, whose published fits differ by half a hundredth.
    found = full_pipe_flow(head, bore=bore, length=1.0, loss=3.06)
    assert AN_HOUR * found.flow == pytest.approx(litres_an_hour, rel=1e-3)
    speed = found.flow / (math.pi * bore**2 / 4)
    assert speed == pytest.approx(found.speed)


def test_what_a_valve_has_to_add_for_exactly_the_pumps_flow() -> None:
    run = Run("drain", "box", "sump", 0.02664, 1.0, loss=3.06)
    added = loss_for_flow(2500 / AN_HOUR, 0.70, run)
    assert added == pytest.approx(4.93, abs=0.01)  # by the same formula, by hand
    assert loss_for_flow(4500 / AN_HOUR, 0.70, run) is None


def test_a_hole_under_a_head() -> None:
    # 0.61 A sqrt(2 g h) for 25 mm under 0.3 m is 2614.8 L/h by hand (Torricelli).
    assert AN_HOUR * hole_flow_torricelli_1644(0.025, 0.3) == pytest.approx(2614.8, rel=1e-4)


def test_a_short_wide_pipe_without_losses_runs_as_fast_as_water_falls() -> None:
    found = full_pipe_flow(0.5, bore=0.05, length=0.0, loss=1.0)
    assert found.speed == pytest.approx(math.sqrt(2 * GRAVITY * 0.5), rel=1e-6)


def test_how_far_a_siphon_can_lift() -> None:
    # (101325 - 3169)/(1023.34 x 9.80665) = 9.78 m
    assert siphon_limit(USUAL_SEA) == pytest.approx(9.78, abs=0.005)
