"""Loads on the floor, against the worked case."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.floor import floor_load, tank_mass

MASSES = {
    "water": 325 * 1.0233436, "rock": 40, "sand": 20, "glass": 86, "stand": 60, "sump": 18,
    "gear": 25,
}  # fmt: skip


def test_the_worked_reef_presses_with_eight_kilopascal() -> None:
    # Worked: 582 kg, 5.71 kN, 7.93 kPa (166 psf) on 0.72 m2, 4.1 times 1.92 kPa (40 psf, the
    # uniform figure of IRC table R301.5); 1 %.
    load = floor_load(MASSES, length=1.2, width=0.6, legs=4, leg_area=0.0025)
    assert load.mass == pytest.approx(582, rel=0.01)
    assert load.force == pytest.approx(5.71, rel=0.01)
    assert load.pressure == pytest.approx(7.93, rel=0.01)
    assert load.pressure_psf == pytest.approx(166, rel=0.01)
    assert load.of_uniform == pytest.approx(4.1, rel=0.01)


def test_legs_and_runners_share_the_whole() -> None:
    load = floor_load(MASSES, length=1.2, width=0.6, legs=4, leg_area=0.0025)
    assert load.leg is not None
    assert load.heaviest_leg is not None
    assert load.leg_pressure is not None
    assert load.leg * 4 == pytest.approx(load.force)
    # A stiff frame on four legs, one of which hangs free, rests on two of a diagonal.
    assert load.heaviest_leg * 2 == pytest.approx(load.force)
    assert load.leg_pressure == pytest.approx(load.leg / 0.0025)
    assert load.runner * 2 * 1.2 == pytest.approx(load.force)


def test_five_panes_weigh_what_their_glass_weighs() -> None:
    # 1.20 x 0.60 x 0.60 m inside, 10 mm: four walls (1.20 + 0.60 + 0.02) x 2 x 0.60 = 2.184 m2 and
    # a floor of 1.22 x 0.62 = 0.756 m2; times 10 mm and 2500 kg/m3 (ISO 10456): 73.5 kg.
    assert tank_mass(1.2, 0.6, 0.6, wall=0.01) == pytest.approx(73.51, abs=0.01)
