"""Weirs against the formulas' own figures, worked by hand and by a second program."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.weirs import (
    notch_iso_1980,
    toothed_weir_flow,
    weir_francis_1868,
    weir_head,
    weir_kindsvater_carter_1957,
    weir_rehbock_1929,
)

AN_HOUR = 3.6e6


def test_a_full_width_weir_by_each_formula() -> None:
    # fluids 1.3.1: b 1 m, h 0.2 m, P 0.5 m: Kindsvater and Carter 0.16798, Rehbock 0.16934 m3/s;
    # Francis by hand 1.84 x 0.2^1.5 = 0.16457. A unit of the last digit.
    assert weir_kindsvater_carter_1957(1.0, 0.2, 0.5) == pytest.approx(0.16798, abs=1e-5)
    assert weir_rehbock_1929(1.0, 0.2, 0.5) == pytest.approx(0.16934, abs=1e-5)
    assert weir_francis_1868(1.0, 0.2) == pytest.approx(0.16457, abs=1e-5)


def test_the_formulas_agree_with_the_fluids_library() -> None:
    fluids = pytest.importorskip("fluids", reason="the fluids library is a development tool")
    for head, below, length in ((0.03, 0.3, 0.3), (0.1, 0.4, 0.8), (0.02, 0.2, 0.3)):
        theirs = fluids.open_flow.Q_weir_rectangular_full_Rehbock(head, below, length)
        assert weir_rehbock_1929(length, head, below) == pytest.approx(theirs, rel=1e-5)
        theirs = fluids.open_flow.Q_weir_rectangular_full_Kindsvater_Carter(head, below, length)
        assert weir_kindsvater_carter_1957(length, head, below) == pytest.approx(theirs, rel=1e-5)


def test_a_right_angled_notch() -> None:
    # By hand, coefficient 0.578: 0.7632 L/s at 0.05 m and 4.317 L/s at 0.10 m; 2 % (ISO 1438).
    assert 1000 * notch_iso_1980(90, 0.05) == pytest.approx(0.7632, rel=1e-3)
    assert 1000 * notch_iso_1980(90, 0.10) == pytest.approx(4.317, rel=1e-3)


@pytest.mark.parametrize(
    ("litres_an_hour", "length", "open_share", "millimetres"),
    [
        (2500, 0.40, 1.0, 9.62), (2500, 0.40, 0.6, 13.5), (3000, 0.40, 1.0, 10.9),
        (3000, 0.40, 0.6, 15.3), (2500, 0.15, 1.0, 18.5),
    ],
)  # fmt: skip
def test_the_head_over_a_home_weir(
    litres_an_hour: float, length: float, open_share: float, millimetres: float
) -> None:
    # h = (Q/1.84 b)^(2/3), by hand; half a unit of the last digit.
    head = 1000 * weir_head(litres_an_hour / AN_HOUR, length, open_share=open_share)
    assert head == pytest.approx(millimetres, abs=0.005 if millimetres < 10 else 0.05)


@pytest.mark.parametrize("flow", [1e-5, 4e-4, 1e-3, 5e-3])
def test_the_head_and_the_flow_are_one_another_the_other_way_round(flow: float) -> None:
    head = weir_head(flow, 0.4, open_share=0.6, tooth_height=0.012)
    back = toothed_weir_flow(0.4, head, open_share=0.6, tooth_height=0.012)
    assert back == pytest.approx(flow, rel=1e-9)


def test_over_the_tips_of_its_teeth_a_weir_runs_on_its_whole_length() -> None:
    without = weir_head(2e-3, 0.4, open_share=0.6)
    assert weir_head(2e-3, 0.4, open_share=0.6, tooth_height=0.01) < without
    assert weir_head(2e-3, 0.4) < weir_head(2e-3, 0.4, open_share=0.6, tooth_height=0.01)
