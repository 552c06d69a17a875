"""A dosing pump that doesn't stop: worked rises, chemistry of an independent program, books."""

from __future__ import annotations

import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.lifesupport.dosing_course import (
    Pouring,
    WaterNow,
    most_for,
    pouring_course,
    rise,
)
from brinebook.lifesupport.dosing_drills import dosing_drills, pouring_of
from brinebook.lifesupport.ranges import Range
from brinebook.rig import Doser, Rig
from brinebook.system import Additive

#: 1 meq/L is 2.80385 dKH.
MEQ_PER_DKH = 1 / 2.80385
CARBONATE = Additive("carbonate solution", "NaHCO3", 80.0)
CALCIUM = Additive("calcium solution", "CaCl2.2H2O", 70.0)
LEFT = Doser("left", "carbonate solution", 1.0, flow=3.0)
RIGHT = Doser("right", "calcium solution", 1.0, flow=3.0)
#: The reference system: 300 L at 6.9 dKH with the calcium of natural seawater, air of 420 uatm.
WATER = WaterNow(
    litres=Range(300, 270, 330),
    alkalinity=Range(6.9 * MEQ_PER_DKH, 2.4, 2.5),
    calcium=Range(421.7, 410, 434),
    room_co2=420.0,
)


def bottle(doser: Doser = LEFT, *additives: Additive) -> Pouring:
    found = pouring_of(doser, additives or (CARBONATE, CALCIUM))
    assert found is not None
    return found


@pytest.mark.parametrize(("millilitres", "degrees"), [(1000, 8.90), (420, 3.74)])
def test_a_bottle_of_80_grams_a_litre_raises_300_litres_by_the_worked_degrees(
    millilitres: float, degrees: float
) -> None:
    # Worked: the whole reservoir of 80 g/L into 300 L, half a unit of the last digit.
    up = rise(bottle().per_ml["alkalinity"], millilitres, litres=300.0)
    assert up / MEQ_PER_DKH == pytest.approx(degrees, abs=0.005)


@pytest.mark.parametrize(("degrees", "millilitres"), [(1.4, 157), (2.0, 225)])
def test_what_may_be_left_in_the_bottle_is_the_worked_amount(
    degrees: float, millilitres: float
) -> None:
    # Worked: to stay within +1.4 dKH no more than 157 mL, within +2.0 no more than 225; 0.5 mL.
    most = most_for(bottle().per_ml["alkalinity"], degrees * MEQ_PER_DKH, litres=300.0)
    assert most == pytest.approx(millilitres, abs=0.5)


def test_hour_by_hour_the_carbonate_system_is_that_of_an_independent_program() -> None:
    # PyCO2SYS 1.8.3, the same constants (10 Lueker 2000, Dickson 1990, Perez & Fraga 1987, Uppström
    # 1974). Without exchange with air, so that DIC is what was there and what came in; pH 0.002,
    # saturation 0.5 %.
    course = pouring_course(WATER, (bottle(),), hours=3, air_hours=1e9)
    kilograms = 1.0233436
    start = PyCO2SYS.sys(
        par1=WATER.alkalinity.value * 1000 / kilograms, par1_type=1, par2=420, par2_type=4,
        temperature=25, salinity=35, total_calcium=421.7 / 40.078 * 1000 / kilograms,
        opt_k_carbonic=10, opt_k_fluoride=2, opt_total_borate=1,
    )  # fmt: skip
    for hour in course[1:]:
        carbon = hour.poured * bottle().carbon_worst * 1000 / 300 / kilograms
        theirs = PyCO2SYS.sys(
            par1=hour.alkalinity * 1000 / kilograms, par1_type=1,
            par2=float(start["dic"]) + carbon, par2_type=2, temperature=25, salinity=35,
            total_calcium=hour.calcium / 40.078 * 1000 / kilograms,
            opt_k_carbonic=10, opt_k_fluoride=2, opt_total_borate=1,
        )  # fmt: skip
        saturation = float(theirs["saturation_aragonite"])
        assert hour.omega_aragonite == pytest.approx(saturation, rel=5e-3)
        assert hour.ph_nbs == pytest.approx(float(theirs["pH_nbs"]), abs=0.02)


def test_after_air_exchange_the_water_stands_where_its_alkalinity_and_the_air_put_it() -> None:
    # Worked: 1.2 dKH more of either salt, after air exchange: pH 8.238 (NBS), saturation 4.62;
    # 0.005 and 0.02.
    dose = Pouring("dose", {"alkalinity": 1.2 * MEQ_PER_DKH * 300.0}, None, 1.0, 10.0)
    end = pouring_course(WATER, (dose,), hours=24, air_hours=1.0)[-1]
    assert end.ph_nbs == pytest.approx(8.238, abs=0.005)
    assert end.omega_aragonite == pytest.approx(4.62, abs=0.02)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.01, 2.0), st.floats(0.01, 5.0), st.floats(50, 800))
def test_what_is_in_the_water_is_what_left_the_bottle(
    holds: float, flow: float, litres: float
) -> None:
    # Conservation: amounts, not concentrations; 1e-9.
    poured = Pouring("x", {"alkalinity": 0.95, "calcium": 20.0}, 0.0, holds * 1000, flow * 1000)
    for hour in pouring_course(WATER, (poured,), hours=3, litres=litres):
        assert hour.poured <= holds * 1000 * (1 + 1e-12)
        gained = (hour.alkalinity - WATER.alkalinity.value) * litres
        assert gained == pytest.approx(0.95 * hour.poured, rel=1e-9, abs=1e-9)


def test_the_drill_says_when_the_keepers_limit_is_passed_and_what_to_fill_in() -> None:
    rig = Rig(dosers=(LEFT, RIGHT))
    limit = 1.4 * MEQ_PER_DKH
    left, right, both = dosing_drills(
        rig, (CARBONATE, CALCIUM), water=WATER, limits={"alkalinity": limit}
    )
    # 157 mL at 3 L/h are in after 3.1 minutes; the drill's middle, arithmetic.
    assert left.within is not None
    assert left.within.middle == pytest.approx(0.157 / 3.0, rel=0.01)
    # In the least water that is believed, a tenth less may be filled in: 141 mL.
    assert "142 mL" in left.remedies[0].text or "141 mL" in left.remedies[0].text
    assert left.harm == 3
    assert right.harm < left.harm
    assert both.parts == ("left", "right")
    one, pair = (
        next(figure.value for figure in drill.figures if figure.name == "highest_saturation")
        for drill in (left, both)
    )
    assert pair > one


def test_a_bottle_that_holds_little_does_little() -> None:
    small = Doser("left", "carbonate solution", 1.0, holds=0.05, flow=3.0)
    (drill,) = dosing_drills(Rig(dosers=(small,)), (CARBONATE,), water=WATER, limits={})
    assert drill.harm == 0
    assert drill.within is None
    assert drill.remedies == ()


def test_a_doser_of_an_additive_that_nobody_described_is_left_out() -> None:
    assert pouring_of(Doser("x", "mystery", 1.0, flow=1.0), (CARBONATE,)) is None


def test_what_the_balance_does_not_know_stays_in_the_hours_after() -> None:
    rig = Rig(dosers=(LEFT,), pumps=())
    (drill,) = dosing_drills(rig, (CARBONATE,), water=WATER, limits={})
    alkalinity, calcium, _, saturation = drill.courses
    start, later = alkalinity.points[0], alkalinity.points[12]
    assert (start.low, start.high) == (WATER.alkalinity.low, WATER.alkalinity.high)
    # The whole litre is in: the lowest start in the most water, the highest in the least.
    whole = bottle().per_ml["alkalinity"] * 1000.0
    assert later.low == pytest.approx(2.4 + whole / 330.0)
    assert later.high == pytest.approx(2.5 + whole / 270.0)
    assert (calcium.points[0].low, calcium.points[0].high) == (410, 434)
    # Bicarbonate: what airs fast is the high end and what airs slowly the low one, at any hour.
    for at in saturation.points[1:]:
        assert at.low < at.value < at.high
