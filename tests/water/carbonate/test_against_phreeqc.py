"""Saturation against an independent geochemical model with its own activities (Pitzer)."""

from __future__ import annotations

import math

import phreeqpython
import pytest

from brinebook.water.carbonate.state import Sample, solve

#: Seawater of Nordstrom et al. 1979, ppm, as in Parkhurst & Appelo 2013 (USGS TM 6-A43), example 1.
SEAWATER = {
    "units": "ppm",
    "density": 1.023,
    "temp": 25,
    "pH": 8.22,
    "Ca": 412.3,
    "Mg": 1291.8,
    "Na": 10768,
    "K": 399.1,
    "Cl": 19353,
    "S(6)": "2712 as SO4",
    "Alkalinity": "141.682 as HCO3",
}


@pytest.fixture(scope="module")
def aragonite_by_phreeqc() -> float:
    program = phreeqpython.PhreeqPython(database="pitzer.dat")
    return float(program.add_solution(SEAWATER).si("Aragonite"))


def test_the_model_gives_its_published_figure(aragonite_by_phreeqc: float) -> None:
    # 0.5602 by phreeqpython 1.6.2 with pitzer.dat; half a unit of the last digit.
    assert aragonite_by_phreeqc == pytest.approx(0.5602, abs=1e-4)


def test_our_aragonite_saturation_is_the_models_within_a_tenth(
    aragonite_by_phreeqc: float,
) -> None:
    # Another model of the same water: 0.05 in the logarithm. Ppm is mg/kg; HCO3 is 61.017 g/mol.
    # Only this phase and database agree: its calcite is 0.10 off, phreeqc.dat's aragonite 0.05.
    alkalinity = 141.682 / 61.017 * 1000
    calcium = 412.3 / 40.078 * 1000
    state = solve(Sample(alkalinity=alkalinity, ph=8.22, scale="NBS", calcium=calcium))
    assert math.log10(state.omega_aragonite) == pytest.approx(aragonite_by_phreeqc, abs=0.05)
    # PyCO2SYS 1.8.3 at the same state: 0.5627, and pCO2 360.2; the NBS scale apart: 0.005 of pH.
    assert math.log10(state.omega_aragonite) == pytest.approx(0.5627, abs=0.005)
    assert state.pco2 == pytest.approx(360.2, rel=0.01)
