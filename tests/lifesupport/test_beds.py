"""Beds of grains against the `fluids` library and published exponents."""

from __future__ import annotations

import math

import pytest

from brinebook.lifesupport.beds import (
    bed_flow,
    ergun_1952,
    lifting_velocity,
    richardson_zaki_1954,
    settling_velocity_haider_levenspiel_1989,
)
from brinebook.lifesupport.fluid import GRAVITY, USUAL_SEA
from brinebook.rig import Bed

fluids = pytest.importorskip("fluids", reason="the fluids library is a development tool")

GRAINS = Bed("granules", 0.15, 0.001, 1250.0, 0.45, 0.8)
BORE = 0.09


@pytest.mark.parametrize("velocity", [1e-4, 1e-3, 5e-3, 2e-2])
def test_the_pressure_of_a_bed_is_that_of_the_fluids_library(velocity: float) -> None:
    theirs = fluids.packed_bed.Ergun(
        dp=GRAINS.grain, voidage=GRAINS.void, vs=velocity, rho=USUAL_SEA.density,
        mu=USUAL_SEA.density * USUAL_SEA.viscosity, L=1.0,
    )  # fmt: skip
    round_grains = Bed("balls", 0.15, 0.001, 1250.0, 0.45, 1.0)
    assert ergun_1952(velocity, round_grains, USUAL_SEA) == pytest.approx(theirs, rel=1e-9)


def test_the_bed_lifts_where_the_drag_is_its_weight() -> None:
    velocity = lifting_velocity(GRAINS, USUAL_SEA)
    weight = 0.55 * (1250.0 - USUAL_SEA.density) * GRAVITY
    assert ergun_1952(velocity, GRAINS, USUAL_SEA) == pytest.approx(weight, rel=1e-9)


def test_a_grain_falls_as_fast_as_the_drag_of_the_fluids_library_lets_it() -> None:
    ball = Bed("balls", 0.1, 0.0015, 1300.0, 0.45, 1.0)
    speed = settling_velocity_haider_levenspiel_1989(ball, USUAL_SEA)
    theirs = fluids.drag.v_terminal(
        D=ball.grain, rhop=ball.density, rho=USUAL_SEA.density,
        mu=USUAL_SEA.density * USUAL_SEA.viscosity,
    )  # fmt: skip
    # The library's law for balls is another one (Barati 2014); both carry 5 % of scatter in the
    # drag, so half of that in the speed each.
    assert speed == pytest.approx(theirs, rel=0.05)


def test_a_flat_grain_falls_more_slowly_than_a_ball() -> None:
    ball = Bed("balls", 0.1, 0.0015, 1300.0, 0.45, 1.0)
    flake = Bed("flakes", 0.1, 0.0015, 1300.0, 0.45, 0.6)
    assert settling_velocity_haider_levenspiel_1989(
        flake, USUAL_SEA
    ) < 0.8 * settling_velocity_haider_levenspiel_1989(ball, USUAL_SEA)


def test_the_exponent_has_its_published_ends() -> None:
    # Richardson and Zaki 1954: 4.65 in creeping flow, 2.39 above Re 500; the pieces nearly meet.
    assert richardson_zaki_1954(0.01) == 4.65
    assert richardson_zaki_1954(1000.0) == 2.39
    for edge in (0.2, 1.0, 500.0):
        below, above = richardson_zaki_1954(edge * 0.999), richardson_zaki_1954(edge * 1.001)
        assert below == pytest.approx(above, rel=0.03)


def test_a_bed_lies_still_tumbles_lifts_and_leaves_as_the_flow_grows() -> None:
    area = math.pi * BORE**2 / 4
    lifts = lifting_velocity(GRAINS, USUAL_SEA)
    falls = settling_velocity_haider_levenspiel_1989(GRAINS, USUAL_SEA)
    speeds = (0.5 * lifts, 1.05 * lifts, 2.0 * lifts, 1.1 * falls)
    found = [bed_flow(speed * area, BORE, GRAINS, USUAL_SEA) for speed in speeds]
    assert [one.state for one in found] == ["still", "just tumbling", "lifted", "carried out"]
    assert found[0].depth == 0.15
    assert found[2].depth is not None
    assert found[2].depth > 1.1 * 0.15


def test_a_lifted_bed_takes_its_own_weight_as_pressure_whatever_the_flow() -> None:
    area = math.pi * BORE**2 / 4
    lifts = lifting_velocity(GRAINS, USUAL_SEA)
    one = bed_flow(1.2 * lifts * area, BORE, GRAINS, USUAL_SEA)
    other = bed_flow(2.0 * lifts * area, BORE, GRAINS, USUAL_SEA)
    assert one.pressure == other.pressure
    assert one.pressure == pytest.approx(
        0.55 * (1250 - USUAL_SEA.density) * GRAVITY * 0.15 / 1000, rel=1e-9
    )
