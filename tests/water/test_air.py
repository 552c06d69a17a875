"""CO2 of the room, and what a dose or a window does to pH."""

from __future__ import annotations

import pytest

from brinebook.water.air import (
    after_addition,
    in_balance_with_air,
    pco2_of_dry_air,
    pco2_of_room_air,
    ph_change_by_air,
)
from brinebook.water.carbonate.state import Sample, solve

#: umol/kg for one dKH at 35 PSU and 25 °C: arithmetic of 1/2.80385 meq/L and 1.0233436 kg/L.
DKH = 1000 / 2.80385 / 1.0233436
START = Sample(alkalinity=6.9 * DKH, pco2=420.0)


def test_water_under_outdoor_air_stands_at_its_balance() -> None:
    # PyCO2SYS 1.8.3: 6.9 dKH under 420 uatm is NBS 8.179 and aragonite 3.53.
    state = solve(START)
    assert state.ph_nbs == pytest.approx(8.179, abs=0.005)
    assert state.omega_aragonite == pytest.approx(3.53, abs=0.02)


@pytest.mark.parametrize(
    ("carbon", "ph_nbs", "omega", "pco2"),
    [(1.0, 8.122, 3.75, 582), (0.5, 8.401, 6.05, 259), (0.0, 8.630, 8.37, 125)],
    ids=["bicarbonate", "carbonate", "hydroxide"],
)
def test_what_a_dose_of_alkalinity_does_at_once_depends_on_the_carbon_it_brings(
    carbon: float, ph_nbs: float, omega: float, pco2: float
) -> None:
    # PyCO2SYS 1.8.3: 1.2 dKH on the water above, before any CO2 comes or goes; the hydroxide's
    # pCO2 from our own run.
    state = after_addition(START, alkalinity=1.2 * DKH, dic=carbon * 1.2 * DKH)
    assert state.ph_nbs == pytest.approx(ph_nbs, abs=0.005)
    assert state.omega_aragonite == pytest.approx(omega, abs=0.02)
    assert state.pco2 == pytest.approx(pco2, abs=1)


def test_once_the_air_has_had_its_way_all_doses_are_one() -> None:
    # PyCO2SYS 1.8.3: back under 420 uatm 8.1 dKH stands at NBS 8.238, aragonite 4.62.
    for carbon in (1.0, 0.5, 0.0):
        poured = after_addition(START, alkalinity=1.2 * DKH, dic=carbon * 1.2 * DKH)
        settled = in_balance_with_air(Sample(alkalinity=poured.alkalinity, dic=poured.dic), 420.0)
        assert settled.ph_nbs == pytest.approx(8.238, abs=0.005)
        assert settled.omega_aragonite == pytest.approx(4.62, abs=0.02)


def test_a_sample_known_by_other_numbers_keeps_its_alkalinity_under_air() -> None:
    before = solve(Sample(dic=2400.0, ph=8.0, scale="NBS"))
    after = in_balance_with_air(Sample(dic=2400.0, ph=8.0, scale="NBS"), 420.0)
    assert after.alkalinity == pytest.approx(before.alkalinity, rel=1e-9)
    assert after.pco2 == pytest.approx(420.0)


def test_a_stuffy_room_costs_a_quarter_of_a_ph() -> None:
    # PyCO2SYS 1.8.3: alkalinity 2788-2790 from 420 to 800 uatm, total pH 8.0965 to 7.8633.
    assert ph_change_by_air(2789.0, 420.0, 800.0) == pytest.approx(-0.233, abs=0.002)


def test_a_meter_in_the_room_reads_partial_pressure() -> None:
    assert pco2_of_room_air(1000.0) == 1000.0
    assert pco2_of_room_air(1000.0, pressure=0.9) == 900.0


def test_a_figure_for_dry_air_loses_the_vapours_share() -> None:
    # Weiss & Price 1980: 0.0307 atm of vapour over 35 PSU at 25 °C.
    assert pco2_of_dry_air(420.0) == pytest.approx(420 * (1 - 0.0307), abs=0.1)
