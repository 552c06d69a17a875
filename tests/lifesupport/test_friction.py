"""Friction in pipes against printed figures and the `fluids` library."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.fluid import Fluid, seawater, viscosity_sharqawy_2010
from brinebook.lifesupport.friction import (
    friction_colebrook_1939,
    friction_factor,
    friction_haaland_1983,
    friction_laminar,
    friction_swamee_jain_1976,
    regime,
)

fluids = pytest.importorskip("fluids", reason="the fluids library is a development tool")


@pytest.mark.parametrize(
    ("reynolds", "rough", "colebrook", "haaland", "swamee_jain"),
    [
        (1e4, 0.0, 0.0308830, 0.0308862, 0.0309720),
        (5e4, 0.0, 0.0208914, 0.0207135, 0.0207606),
        (1e5, 0.0, 0.0179898, 0.0178249, 0.0178626),
        (1e5, 1e-4, 0.0185139, 0.0182651, 0.0184524),
        (1e6, 1e-4, 0.0134414, 0.0133261, 0.0135077),
    ],
)
def test_turbulent_friction_is_that_of_its_author(
    reynolds: float, rough: float, colebrook: float, haaland: float, swamee_jain: float
) -> None:
    # Colebrook 1939, Haaland 1983, Swamee and Jain 1976, computed with fluids 1.3.1; a unit of the
    # sixth decimal for the first, and the explicit forms are the library's own to its last digits.
    assert friction_colebrook_1939(reynolds, rough) == pytest.approx(colebrook, abs=1e-6)
    assert friction_haaland_1983(reynolds, rough) == pytest.approx(haaland, rel=1e-4)
    assert friction_swamee_jain_1976(reynolds, rough) == pytest.approx(swamee_jain, rel=1e-4)


@pytest.mark.parametrize("reynolds", [4000.0, 9000.0, 3e4, 2e5, 1e7])
@pytest.mark.parametrize("rough", [0.0, 1e-5, 1e-3, 0.03])
def test_colebrook_is_solved_as_the_fluids_library_solves_it(reynolds: float, rough: float) -> None:
    theirs = fluids.friction.friction_factor(reynolds, eD=rough, Method="Colebrook")
    assert friction_colebrook_1939(reynolds, rough) == pytest.approx(theirs, rel=1e-9)


def test_laminar_friction_is_64_over_re() -> None:
    assert friction_laminar(1000.0) == 0.064  # Hagen and Poiseuille
    assert friction_factor(1000.0, 0.01)[0] == 0.064


@pytest.mark.parametrize("reynolds", [300.0, 2000.0, 2001.0, 2700.0, 3999.0, 4000.0, 5e4])
def test_the_factor_and_its_slope_belong_together_everywhere(reynolds: float) -> None:
    step = 1e-4 * reynolds
    below, above = (friction_factor(reynolds + s, 1e-4)[0] for s in (-step, step))
    slope = friction_factor(reynolds, 1e-4)[1]
    # A difference over 0.02 % of Re; the joints at 2000 and 4000 have one slope but two curvatures.
    assert (above - below) / (2 * step) == pytest.approx(slope, rel=1e-2, abs=1e-10)


def test_what_kind_of_flow_it_is_gets_a_word() -> None:
    words = [regime(reynolds) for reynolds in (0.0, 1500.0, 3000.0, 5000.0)]
    assert words == ["still", "laminar", "transition", "turbulent"]


@pytest.mark.parametrize(
    ("litres_an_hour", "bore", "head"), [(2000, 0.02096, 0.14550), (4000, 0.02664, 0.15849),
                                         (4000, 0.04094, 0.020272)],
)  # fmt: skip
def test_head_lost_in_a_metre_of_pipe(litres_an_hour: float, bore: float, head: float) -> None:
    # Darcy-Weisbach with Colebrook, water of 20 C (998.2 kg/m3, 1.002e-3 Pa s), roughness
    # 1.5e-6 m; computed with fluids 1.3.1, half a unit of the last digit.
    from brinebook.lifesupport.links import Run
    from brinebook.lifesupport.network import link_loss

    water = Fluid(998.2, 1.002e-3 / 998.2)
    loss = link_loss(Run("a", "b", "c", bore, 1.0), litres_an_hour / 3.6e6, water)
    assert loss == pytest.approx(head, rel=1e-4)


def test_seawater_is_as_thick_as_a_second_set_of_equations_says() -> None:
    # CoolProp 8.0.0, MITSW, 35 g/kg: 1.08514e-3, 0.96423e-3, 0.90143e-3 Pa s; the equations state
    # 1.5 %, and two fits of the same data are held to 1 %.
    for temperature, theirs in ((20.0, 1.08514e-3), (25.0, 0.96423e-3), (28.0, 0.90143e-3)):
        ours = viscosity_sharqawy_2010(35 / 1.00471543, temperature)
        assert ours == pytest.approx(theirs, rel=0.01)


def test_a_metre_of_seawater_presses_with_10_kilopascal() -> None:
    # 1023.3436 kg/m3 (TEOS-10) x 9.80665 m/s2 = 10.0356 kPa.
    assert seawater(35.0, 25.0).pressure(1.0) == pytest.approx(10.0356, abs=5e-4)
