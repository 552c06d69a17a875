"""Limewater, calcium reactor and the residue of two-part dosing against worked figures."""

from __future__ import annotations

import math

import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.limewater import (
    grams_a_day,
    saturated_strength,
    strength_for,
    strength_of,
    supply,
)
from brinebook.planning.reactor import EffluentWeak, ph_under_excess, reactor
from brinebook.planning.residue import of_demand, ratios_after, residue, share_that_undoes
from brinebook.planning.substances import Substance, of_additive
from brinebook.system import Additive
from brinebook.water.quantities import DKH_PER_MEQ

DKH = 1.0 / DKH_PER_MEQ


def _bottle(salt: str, grams: float) -> Substance:
    found = of_additive(Additive(salt, salt, grams))
    assert found is not None
    return found


PAIR = (_bottle("NaHCO3", 80.0), _bottle("CaCl2.2H2O", 70.0))


def test_saturated_limewater_holds_what_an_independent_program_says() -> None:
    # phreeqpython 1.6.2, pitzer.dat, 25 C: 0.0201 mol/kg of water, 40.2 meq; 3 %.
    assert saturated_strength(25.0) == pytest.approx(40.2, rel=0.03)
    assert saturated_strength(15.0) > saturated_strength(25.0)


@pytest.mark.parametrize(
    ("evaporates", "rise"),
    # 300 L, saturated (40.2 meq/kg): arithmetic, within the 3 % of the solubility.
    [(3.80, 1.43), (8.24, 3.10)],
)
def test_limewater_is_bounded_by_what_evaporates(evaporates: float, rise: float) -> None:
    found = supply(
        evaporation=evaporates, strength=saturated_strength(25.0), demand=1.0 * DKH, litres=300.0
    )
    assert found.brings * DKH_PER_MEQ == pytest.approx(rise, rel=0.03)
    assert found.brings + found.rest == pytest.approx(1.0 * DKH)


def test_more_lime_than_dissolves_brings_no_more() -> None:
    assert strength_of(5.0, temperature=25.0) == saturated_strength(25.0)
    # 26.993 meq in a gram of Ca(OH)2 (74.092 g/mol): arithmetic, half a digit.
    assert strength_of(1.0, temperature=25.0) == pytest.approx(26.993, abs=0.001)


@given(
    evaporation=st.floats(0.5, 20.0), demand=st.floats(0.01, 0.5), litres=st.floats(50.0, 1500.0)
)
def test_the_strength_that_meets_the_demand_meets_it(
    evaporation: float, demand: float, litres: float
) -> None:
    grams = strength_for(evaporation=evaporation, demand=demand, litres=litres)
    found = supply(evaporation=evaporation, strength=grams * 26.993, demand=demand, litres=litres)
    assert found.share == pytest.approx(1.0, rel=1e-4)
    lime = grams_a_day(evaporation=evaporation, strength=found.strength)
    assert lime == pytest.approx(grams * evaporation, rel=1e-4)


def test_a_reactor_brings_what_its_effluent_holds_above_the_tank() -> None:
    # (25 - 8) dKH x 2 L/h x 24 h over 300 L is 2.72 dKH a day; one CO2 for two meq: 17 dKH x 48 L
    # are 291.0 meq, 145.5 mmol, 6.404 g of CO2 and 14.563 g of chalk. Arithmetic (IUPAC).
    found = reactor(effluent=25 * DKH, tank=8 * DKH, demand=1 * DKH, litres=300.0, flow=2.0)
    assert found.brings * DKH_PER_MEQ == pytest.approx(2.72, rel=1e-9)
    assert found.carbon_dioxide == pytest.approx(6.404, abs=0.002)
    assert found.media == pytest.approx(14.563, abs=0.002)
    assert found.flow_needed == pytest.approx(300.0 / (24 * 17), rel=1e-9)


def test_the_carbon_of_an_effluent_is_an_independent_programs() -> None:
    found = reactor(
        effluent=25 * DKH, tank=8 * DKH, demand=1 * DKH, litres=300.0, flow=1.0,
        effluent_ph=6.6, tank_ph=8.2,
    )  # fmt: skip
    scale = 1.0233436  # kg/L at 35 PSU and 25 C, TEOS-10
    told = [
        float(PyCO2SYS.sys(alk * DKH * 1000 / scale, ph, 1, 3, opt_pH_scale=4, salinity=35,
                           temperature=25, opt_k_carbonic=10)["dic"]) * scale / 1000
        for alk, ph in ((25, 6.6), (8, 8.2))
    ]  # fmt: skip
    gas = (told[0] - told[1] - 17 * DKH / 2) * 24.0 * 44.009 / 1000.0
    # The NBS scale itself is known to 0.005 of pH: 1 % of the free CO2 at 6.6.
    assert found.carbon_dioxide_all == pytest.approx(gas, rel=0.01)


def test_carbon_left_over_lowers_ph_and_none_leaves_it() -> None:
    calm, same = ph_under_excess(alkalinity=2.85, excess=0.0, pco2=500.0, air_hours=6.0)
    assert calm == pytest.approx(same, abs=1e-9)
    _, lower = ph_under_excess(alkalinity=2.85, excess=0.4, pco2=500.0, air_hours=6.0)
    _, lid = ph_under_excess(alkalinity=2.85, excess=0.4, pco2=500.0, air_hours=12.0)
    assert calm > lower > lid


def test_an_effluent_like_the_tank_is_refused() -> None:
    with pytest.raises(EffluentWeak):
        reactor(effluent=8 * DKH, tank=8 * DKH, demand=1 * DKH, litres=300.0)


def test_salt_left_behind_by_a_balanced_pair() -> None:
    # 30 mL a day of 80 g/L and its pair in 300 L: 1.670 g of NaCl a day, 609 g and 2.03 g/L in a
    # year, 1.99 PSU if nothing leaves: arithmetic on molar masses; 0.1 %, the last to its digits.
    found = residue([(PAIR[0], 30.0), (PAIR[1], 30.0)], litres=300.0)
    assert found.grams_a_day == pytest.approx(1.670, rel=1e-3)
    assert found.grams_a_day * 365 == pytest.approx(609.0, rel=1e-3)
    assert found.per_litre == pytest.approx(2.03, rel=1e-3)
    assert found.salinity == pytest.approx(1.99, abs=0.0051)


@pytest.mark.parametrize(
    ("demand", "salinity", "steady", "thinned"),
    # dKH a day; PSU a year unremoved; g/L steady with a tenth weekly; % the others are thinned if
    # salinity is held by fresh water. Arithmetic, 0.5 % (the digits given, where those are fewer).
    [(0.27, 2.0, 0.39, 5.6), (1.0, 7.4, 1.46, 19.1), (3.0, 22.3, 4.38, 47.0)],
)
def test_residue_by_demand(demand: float, salinity: float, steady: float, thinned: float) -> None:
    dosed = of_demand(demand * DKH, litres=300.0, carbonate=PAIR[0], calcium=PAIR[1])
    found = residue(dosed, litres=300.0, share=0.1, every=7.0)
    assert found.salinity == pytest.approx(salinity, abs=0.05)
    assert found.steady == pytest.approx(steady, abs=0.005)
    assert 100 * found.diluted == pytest.approx(thinned, abs=0.2)


@given(demand=st.floats(0.05, 3.0), litres=st.floats(50.0, 2000.0))
def test_the_change_that_undoes_it_holds_it_where_it_was_asked(
    demand: float, litres: float
) -> None:
    dosed = of_demand(demand * DKH, litres=litres, carbonate=PAIR[0], calcium=PAIR[1])
    plain = residue(dosed, litres=litres)
    share = share_that_undoes(plain, litres=litres, every=7.0, rise=1.0)
    held = residue(dosed, litres=litres, share=share, every=7.0)
    assert held.steady is not None
    assert held.steady / 1.0233436 == pytest.approx(1.0, rel=1e-4)
    # What is only thinned keeps its own ratios.
    ratios = ratios_after(plain)
    assert ratios["magnesium"][1] == pytest.approx(ratios["potassium"][1])
    assert math.isclose(ratios["magnesium"][1], 1.0 - plain.diluted, rel_tol=1e-12)
