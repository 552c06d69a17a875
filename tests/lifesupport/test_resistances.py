"""Fittings and valves against handbook tables."""

from __future__ import annotations

import math

import pytest

from brinebook.lifesupport.resistances import (
    coefficient_from_kv_iec_2011,
    complete_turbulence_factor,
    fitting_coefficient,
    fittings_coefficient,
    sudden_expansion,
    valve_coefficient,
    valve_opening,
)
from brinebook.rig.water_side import FITTINGS, VALVES, Valve

#: Crane TP-410: K by nominal size ¾, 1, 1½, 2 inches, whose steel pipe has these bores in m.
_BORES = (0.02096, 0.02664, 0.04094, 0.05248)


@pytest.mark.parametrize(
    ("fitting", "printed"),
    [
        ("elbow_90", (0.75, 0.69, 0.63, 0.57)),
        ("tee_through", (0.50, 0.46, 0.42, 0.38)),
        ("tee_branch", (1.50, 1.38, 1.26, 1.14)),
        ("globe_valve", (8.5, 7.8, 7.1, 6.5)),
    ],
)
def test_fittings_have_the_coefficients_of_the_handbook(
    fitting: str, printed: tuple[float, ...]
) -> None:
    # Half a unit of the last printed digit.
    digit = 0.05 if printed[0] > 2 else 0.005
    found = [fitting_coefficient(fitting, bore) for bore in _BORES]
    assert found == pytest.approx(printed, abs=digit + 1e-12)


def test_every_fitting_that_can_be_described_has_a_coefficient() -> None:
    assert all(fitting_coefficient(name, 0.02) > 0 for name in FITTINGS)


def test_complete_turbulence_follows_the_bore() -> None:
    # fluids 1.3.1 from the bores: 0.02556, 0.02368, 0.02225, 0.02077, 0.02000, 0.01885; editions of
    # the table differ by up to 7 %.
    for bore, theirs in zip(
        (0.01576, 0.02096, 0.02664, 0.03508, 0.04094, 0.05248),
        (0.02556, 0.02368, 0.02225, 0.02077, 0.02000, 0.01885),
        strict=True,
    ):
        assert complete_turbulence_factor(bore) == pytest.approx(theirs, rel=0.07)


def test_the_drain_of_two_elbows_and_an_open_gate_valve() -> None:
    # By hand: 2 x 0.69 + 8 x 0.023, and 1.5 for entrance and exit, is 3.06.
    fittings = {"elbow_90": 2, "gate_valve": 1, "entrance": 1, "exit": 1}
    assert fittings_coefficient(fittings, 0.02664) == pytest.approx(3.064, abs=1e-9)


def test_a_kv_is_a_coefficient() -> None:
    # fluids 1.3.1: Kv 2.312 m3/h at 15 mm is 15.1534; Cv 10 (Kv 8.64978) at 50 mm is 133.657.
    assert coefficient_from_kv_iec_2011(2.312, 0.015) == pytest.approx(15.1534, rel=1e-5)
    assert coefficient_from_kv_iec_2011(8.64978, 0.050) == pytest.approx(133.657, rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "opening", "printed"),
    [
        ("gate", 1.0, 0.17), ("gate", 0.75, 0.9), ("gate", 0.5, 4.5), ("gate", 0.25, 24.0),
        ("diaphragm", 1.0, 2.3), ("diaphragm", 0.5, 4.3), ("diaphragm", 0.25, 21.0),
        ("globe", 0.25, 112.0),
        # A plug cock at 20, 40 and 60 degrees from open.
        ("ball", 70 / 90, 1.56), ("ball", 50 / 90, 17.3), ("ball", 30 / 90, 206.0),
    ],
)  # fmt: skip
def test_valves_have_the_coefficients_of_the_handbook(
    kind: str, opening: float, printed: float
) -> None:
    # Perry's Chemical Engineers' Handbook, 7th edition, table 6-4.
    assert valve_coefficient(Valve(kind, opening), 0.02) == pytest.approx(printed, rel=1e-9)


def test_a_ball_valve_half_shut_lies_where_weisbach_has_it() -> None:
    # From memory: Weisbach's cock at 45 degrees, 31.2; the table is read between 40 and 60.
    assert valve_coefficient(Valve("ball", 0.5), 0.02) == pytest.approx(31.2, rel=0.05)


@pytest.mark.parametrize("kind", VALVES)
def test_a_valve_resists_more_the_further_it_is_closed_until_nothing_passes(kind: str) -> None:
    openings = [at / 100 for at in range(100, 0, -1)]
    found = [valve_coefficient(Valve(kind, at), 0.02) for at in openings]
    assert found == sorted(found)
    assert math.isinf(valve_coefficient(Valve(kind, 0.0), 0.02))


@pytest.mark.parametrize("kind", VALVES)
@pytest.mark.parametrize("opening", [0.2, 0.35, 0.6, 0.9])
def test_the_opening_comes_back_from_the_coefficient(kind: str, opening: float) -> None:
    coefficient = valve_coefficient(Valve(kind, opening), 0.02)
    assert valve_opening(kind, coefficient) == pytest.approx(opening, abs=1e-6)


def test_a_valve_cannot_resist_less_than_when_open() -> None:
    assert valve_opening("globe", 1.0) is None


def test_a_sudden_widening_loses_what_borda_says() -> None:
    assert sudden_expansion(0.01, 0.02) == 0.5625  # (1 - 1/4)^2
