"""pH, CO2 and saturation of a pour against an independent program, closed and open to the air."""

from __future__ import annotations

from typing import Any

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brinebook.planning.pours import aired, calcified, course, in_balance, poured, water_of
from brinebook.water.quantities import DKH_PER_MEQ

#: Carbon that a salt brings for each equivalent of alkalinity.
BICARBONATE, CARBONATE, HYDROXIDE = 1.0, 0.5, 0.0
RISE = 1.2 / DKH_PER_MEQ


@pytest.mark.parametrize(
    ("carbon", "ph", "omega", "pco2"),
    # PyCO2SYS (Lueker, Dickson, Perez & Fraga, Uppstroem), 35 PSU and 25 °C, 6.9 dKH over air of
    # 420 uatm, then 1.2 dKH more at once: NBS pH to 0.005 (the scale's own agreement), saturation
    # to 0.02, pCO2 to 1 uatm.
    [
        (BICARBONATE, 8.122, 3.75, 582.0),
        (CARBONATE, 8.401, 6.05, 259.0),
        (HYDROXIDE, 8.630, 8.37, 125.0),
    ],
)
def test_a_pour_moves_ph_by_what_it_is_and_air_by_what_it_leaves(
    carbon: float, ph: float, omega: float, pco2: float
) -> None:
    start = water_of(6.9 / DKH_PER_MEQ, pco2=420.0)
    assert float(start.state().ph_nbs) == pytest.approx(8.179, abs=0.005)
    assert float(start.state().omega_aragonite) == pytest.approx(3.53, abs=0.02)
    after = poured(start, alkalinity=RISE, carbon=carbon * RISE)
    assert float(after.state().ph_nbs) == pytest.approx(ph, abs=0.005)
    assert float(after.state().omega_aragonite) == pytest.approx(omega, abs=0.02)
    assert float(after.state().pco2) == pytest.approx(pco2, abs=1.0)
    settled = in_balance(after, 420.0).state()
    # After the air has had its way every salt has done the same: above the start.
    assert float(settled.ph_nbs) == pytest.approx(8.238, abs=0.005)
    assert float(settled.omega_aragonite) == pytest.approx(4.62, abs=0.02)


def _oracle(alkalinity: Any, dic: Any, calcium: Any, **at: Any) -> dict[str, Any]:
    return dict(
        PyCO2SYS.sys(
            alkalinity,
            dic,
            1,
            2,
            salinity=at["salinity"],
            temperature=at["temperature"],
            total_calcium=calcium,
            opt_k_carbonic=10,
            opt_k_bisulfate=1,
            opt_total_borate=1,
            opt_k_fluoride=2,
        )
    )


def test_every_point_of_a_course_is_the_independent_programs_state() -> None:
    # Forty waters and pours, all their points asked at once.
    drawn = np.random.default_rng(11)
    low = np.array([1.8, 250.0, 30.0, 22.0, 0.0])
    high = np.array([4.5, 1500.0, 38.0, 29.0, 0.8])
    states, asked = [], []
    for alkalinity, pco2, salinity, temperature, rise in drawn.uniform(low, high, (40, 5)).tolist():
        carbon = float(drawn.choice([BICARBONATE, CARBONATE, HYDROXIDE]))
        water = water_of(
            alkalinity, salinity=salinity, temperature=temperature, calcium=420.0, pco2=pco2
        )
        pours = [(0.0, rise, carbon * rise, 0.0)]
        found = course(water, pours, until=6.0, pco2=pco2, air_hours=5.0, every=3.0)
        points = [*found.closed, *found.open]
        states += points
        calcium = 420.0 / 40.078 * 1000.0 / water.kilograms
        asked += [(salinity, temperature, calcium)] * len(points)
    salinities, temperatures, calcia = np.array(asked).T
    told = _oracle(
        np.array([float(state.alkalinity) for state in states]),
        np.array([float(state.dic) for state in states]),
        calcia,
        salinity=salinities,
        temperature=temperatures,
    )
    # The same constants: 5e-4 of pH, and 0.005 of saturation, relative where that is high.
    ph = np.array([float(state.ph_total) for state in states])
    omega = np.array([float(state.omega_aragonite) for state in states])
    assert ph == pytest.approx(told["pH_total"], abs=5e-4)
    assert omega == pytest.approx(told["saturation_aragonite"], abs=0.005, rel=0.005)


def test_the_exchange_with_air_follows_the_flux_on_dissolved_carbon_dioxide() -> None:
    # The same differential equation by the midpoint rule in steps of six minutes, each state by
    # PyCO2SYS (asked at once for a grid of inorganic carbon, and read between its points): the flux
    # is proportional to the gap of dissolved CO2. 0.005 of pH.
    start = poured(water_of(2.6, calcium=420.0, pco2=600.0), alkalinity=0.35, carbon=0.175)
    total, calcium = float(start.alkalinity), float(start.calcium)
    at = {"salinity": 35.0, "temperature": 25.0}
    air = PyCO2SYS.sys(total, np.array([600.0, 606.0]), 1, 4, **at, opt_k_carbonic=10)
    slope = float((air["dic"][1] - air["dic"][0]) / (0.01 * air["CO2"][0]))
    balance, dic, length = float(air["CO2"][0]), float(start.dic), 0.1
    grid = np.linspace(dic - 400.0, dic + 400.0, 801)
    dissolved = _oracle(total, grid, calcium, **at)["CO2"]

    def flux(carbon: float) -> float:
        return slope / 6.0 * (float(np.interp(carbon, grid, dissolved)) - balance)

    for _ in range(30):
        dic -= length * flux(dic - length / 2.0 * flux(dic))
    told = _oracle(total, dic, calcium, **at)
    ours = aired(start, 3.0, pco2=600.0, air_hours=6.0).state()
    assert float(ours.ph_total) == pytest.approx(float(told["pH_total"]), abs=0.005)
    long = aired(start, 200.0, pco2=600.0, air_hours=6.0).state()
    assert float(long.pco2) == pytest.approx(600.0, abs=0.5)


@settings(max_examples=60, deadline=None)
@given(
    alkalinity=st.floats(1.8, 4.5),
    pour=st.floats(0.0, 1.0),
    carbon=st.floats(0.0, 1.0),
    hours=st.floats(0.0, 30.0),
)
def test_alkalinity_and_calcium_are_kept_while_carbon_comes_and_goes(
    alkalinity: float, pour: float, carbon: float, hours: float
) -> None:
    water = water_of(alkalinity, calcium=410.0, pco2=500.0)
    after = poured(water, alkalinity=pour, carbon=carbon, calcium=3.0)
    free = aired(after, hours, pco2=500.0, air_hours=4.0)
    assert float(free.alkalinity) == float(after.alkalinity)
    assert float(free.calcium) == float(after.calcium)
    scale = 1000.0 / water.kilograms
    assert float(after.alkalinity - water.alkalinity) == pytest.approx(pour * scale, abs=1e-9)
    assert float(after.dic - water.dic) == pytest.approx(carbon * scale, abs=1e-9)


def test_laying_down_chalk_takes_half_as_much_carbon_and_calcium_as_alkalinity() -> None:
    water = water_of(np.array([2.8]), calcium=np.array([420.0]), pco2=500.0)
    after = calcified(water, 0.2)
    scale = 1000.0 / water.kilograms
    assert water.alkalinity - after.alkalinity == pytest.approx(0.2 * scale)
    assert water.dic - after.dic == pytest.approx(0.1 * scale)
    # 20.039 mg of calcium for each meq: half the atomic weight, 40.078 (IUPAC).
    fell = (water.calcium - after.calcium) * 40.078 / scale
    assert fell == pytest.approx(0.2 * 20.039, rel=1e-6)
