"""One sample: published states, every pair, and what no seawater has."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brinebook.water.air import after_addition
from brinebook.water.carbonate.problems import InputNotPositive, InputsImpossible, PairNeeded
from brinebook.water.carbonate.scales import SCALES
from brinebook.water.carbonate.state import CarbonateState, Sample, solve

# PyCO2SYS 1.8.3 at 35 PSU, 25 °C, no nutrients: alkalinity, second known, DIC, total pH, NBS pH,
# pCO2, HCO3, CO3, aragonite, calcite. Tolerances: 0.3 umol/kg, 0.0005, 0.5 uatm, 0.005.
STATES = [
    (2300, {"ph": 8.10}, 1967.15, 8.1000, 8.2365, 340.11, 1722.93, 234.59, 3.7223, 5.6472),
    (2300, {"dic": 2000}, 2000, 8.0459, 8.1824, 396.95, 1775.35, 213.42, 3.3863, 5.1375),
    (2300, {"pco2": 420}, 2011.68, 8.0259, 8.1624, 420, 1793.86, 205.93, 3.2675, 4.9573),
    (2788.13, {"ph": 8.10}, 2405.19, 8.1000, 8.2365, 415.84, 2106.59, 286.83, 4.5512, 6.9047),
    (2788.13, {"pco2": 420}, 2407.71, 8.0965, 8.2331, 420, 2110.71, 285.10, 4.5237, 6.8631),
    (2790, {"pco2": 800}, 2558.02, 7.8633, 7.9998, 800, 2349.86, 185.52, 2.9436, 4.4659),
]


@pytest.mark.parametrize("row", STATES)
def test_a_state_is_that_of_an_independent_program(row: tuple[float, ...]) -> None:
    alkalinity, known, *expected = row
    assert isinstance(known, dict)
    state = solve(Sample(alkalinity=alkalinity, scale="total", **known))
    dic, ph_total, ph_nbs, pco2, bicarbonate, carbonate, aragonite, calcite = expected
    assert state.dic == pytest.approx(dic, abs=0.3)
    assert state.ph_total == pytest.approx(ph_total, abs=0.0005)
    assert state.ph_nbs == pytest.approx(ph_nbs, abs=0.005)
    assert state.pco2 == pytest.approx(pco2, abs=0.5)
    assert state.bicarbonate == pytest.approx(bicarbonate, abs=0.3)
    assert state.carbonate == pytest.approx(carbonate, abs=0.3)
    assert state.omega_aragonite == pytest.approx(aragonite, abs=0.005)
    assert state.omega_calcite == pytest.approx(calcite, abs=0.008)
    assert state.notes == ()


def test_a_degree_warmer_is_the_independent_programs_state_too() -> None:
    # PyCO2SYS 1.8.3 at 26 °C: DIC 2398.93, total pH 8.0957, aragonite 4.6692.
    state = solve(Sample(alkalinity=2790.0, pco2=420.0, temperature=26.0))
    assert state.dic == pytest.approx(2398.93, abs=0.3)
    assert state.ph_total == pytest.approx(8.0957, abs=0.0005)
    assert state.omega_aragonite == pytest.approx(4.6692, abs=0.005)


def test_saturation_follows_measured_calcium() -> None:
    # PyCO2SYS 1.8.3: 420 mg/L of calcium, alkalinity 2788.13, total pH 8.10 gives 4.5317.
    calcium = 420 / 40.078 / 1.0233436 * 1000
    sample = Sample(alkalinity=2788.13, ph=8.10, scale="total", calcium=calcium)
    assert solve(sample).omega_aragonite == pytest.approx(4.5317, abs=0.005)
    doubled = solve(replace(sample, calcium=2 * calcium)).omega_aragonite
    assert doubled == pytest.approx(2 * solve(sample).omega_aragonite, rel=1e-12)


@pytest.mark.parametrize(
    ("dic", "ph_total", "omega", "pco2"),
    [(200.0, 8.0705, 4.180, 437.5), (0.0, 8.3283, 6.361, 203.0)],
)
def test_a_dose_in_a_closed_vessel_moves_ph_as_in_an_independent_program(
    dic: float, ph_total: float, omega: float, pco2: float
) -> None:
    # PyCO2SYS 1.8.3, from alkalinity 2500 and total pH 8.10: 200 umol/kg of bicarbonate lower pH,
    # of hydroxide raise it.
    start = Sample(alkalinity=2500.0, ph=8.10, scale="total")
    assert solve(start).dic == pytest.approx(2146.63, abs=0.3)
    state = after_addition(start, alkalinity=200.0, dic=dic)
    assert state.ph_total == pytest.approx(ph_total, abs=5e-4)
    assert state.omega_aragonite == pytest.approx(omega, abs=0.005)
    assert state.pco2 == pytest.approx(pco2, abs=0.5)


def test_a_young_reef_in_good_order_stands_near_outdoor_air() -> None:
    # Common practice, no source: 25 °C and pH 8.24 stand in good order. 8 dKH at 35 on the NBS
    # scale is then about outdoor air's CO2 and a saturation near 4.6 (computed).
    state = solve(Sample(alkalinity=2788.13, ph=8.24, scale="NBS"))
    assert state.omega_aragonite == pytest.approx(4.6, abs=0.05)
    assert 395 < state.pco2 < 425


def carbonate_alkalinity(state: CarbonateState[float]) -> float:
    return state.bicarbonate + 2 * state.carbonate


def test_phosphate_and_silicate_count_in_alkalinity() -> None:
    sample = Sample(alkalinity=2500.0, ph=8.1, scale="total")
    without = carbonate_alkalinity(solve(sample))
    # At pH 8.1 most phosphate holds one proton (pK 6.0 and 8.8): 1 mol counts a little over 1.
    # Of silicate (pK 9.4) a few per cent are ionised.
    phosphate = without - carbonate_alkalinity(solve(replace(sample, phosphate=10.0)))
    silicate = without - carbonate_alkalinity(solve(replace(sample, silicate=100.0)))
    assert 10 < phosphate < 13
    assert 3 < silicate < 7


@st.composite
def seas(draw: st.DrawFn) -> Sample[float]:
    """Any sea, and some that are none: alkalinity with pH on any scale."""
    return Sample(
        alkalinity=draw(st.floats(500, 6000)),
        ph=draw(st.floats(7.0, 9.2)),
        scale=draw(st.sampled_from(SCALES)),
        salinity=draw(st.floats(20, 42)),
        temperature=draw(st.floats(10, 33)),
        phosphate=draw(st.floats(0, 20)),
        silicate=draw(st.floats(0, 100)),
    )


def solved_or_passed_over(sample: Sample[float]) -> CarbonateState[float]:
    try:
        state = solve(sample)
    except InputsImpossible:
        assume(False)
        raise
    assume(state.dic > 1)
    return state


@given(sample=seas())
def test_every_pair_gives_the_same_state(sample: Sample[float]) -> None:
    state = solved_or_passed_over(sample)
    around = replace(sample, alkalinity=None, ph=None, scale="total")
    known: dict[str, Any] = {
        "alkalinity": state.alkalinity,
        "dic": state.dic,
        "ph": state.ph_total,
        "pco2": state.pco2,
    }
    for first, second in combinations(known, 2):
        again = solve(replace(around, **{first: known[first], second: known[second]}))
        assert again.alkalinity == pytest.approx(state.alkalinity, rel=1e-8)
        assert again.dic == pytest.approx(state.dic, rel=1e-8)
        assert again.ph_total == pytest.approx(state.ph_total, abs=1e-8)
        assert again.omega_aragonite == pytest.approx(state.omega_aragonite, rel=1e-7)


@given(sample=seas())
def test_carbon_and_alkalinity_are_conserved(sample: Sample[float]) -> None:
    state = solved_or_passed_over(sample)
    total = state.co2 + state.bicarbonate + state.carbonate
    assert total == pytest.approx(state.dic, rel=1e-12)
    assert state.alkalinity == pytest.approx(sample.alkalinity, rel=1e-12)


@given(alkalinity=st.floats(1500, 5000), pco2=st.floats(100, 3000))
def test_more_co2_lowers_ph_and_saturation(alkalinity: float, pco2: float) -> None:
    before = solve(Sample(alkalinity=alkalinity, pco2=pco2))
    after = solve(Sample(alkalinity=alkalinity, pco2=1.1 * pco2))
    assert after.ph_total < before.ph_total
    assert after.omega_aragonite < before.omega_aragonite
    assert after.dic > before.dic


@pytest.mark.parametrize(
    "given_names",
    [(), ("alkalinity",), ("dic", "ph", "pco2"), ("alkalinity", "dic", "ph", "pco2")],
)
def test_anything_but_two_knowns_is_refused_and_the_pairs_are_told(
    given_names: tuple[str, ...],
) -> None:
    values = {"alkalinity": 2300.0, "dic": 2000.0, "ph": 8.1, "pco2": 420.0}
    known: dict[str, Any] = {name: values[name] for name in given_names}
    with pytest.raises(PairNeeded) as refusal:
        solve(Sample(**known, scale="total"))
    assert "alkalinity with pCO2" in refusal.value.hint
    assert refusal.value.exit_status == 2


@pytest.mark.parametrize(
    "known",
    [
        {"dic": 10.0, "pco2": 420.0},  # the dissolved gas alone is 12 umol/kg
        {"alkalinity": 50.0, "ph": 9.0},  # borate and hydroxide alone need more
        {"alkalinity": 1e6, "dic": 1.0},  # would be lye
    ],
)
def test_two_numbers_that_no_seawater_has_together_are_refused(known: dict[str, Any]) -> None:
    with pytest.raises(InputsImpossible, match="No seawater has"):
        solve(Sample(**known, scale="total"))


@pytest.mark.parametrize(
    "known",
    [
        {"alkalinity": -1.0, "ph": 8.1},
        {"dic": 0.0, "ph": 8.1},
        {"alkalinity": 2300.0, "pco2": -5.0},
        {"alkalinity": math.nan, "dic": 2000.0},
        {"alkalinity": math.inf, "dic": 2000.0},
        {"alkalinity": 2300.0, "ph": 15.0},
        {"alkalinity": 2300.0, "ph": 8.1, "salinity": -1.0},
        {"alkalinity": 2300.0, "ph": 8.1, "temperature": 100.0},
        {"alkalinity": 2300.0, "ph": 8.1, "phosphate": -1.0},
    ],
)
def test_an_impossible_number_is_refused(known: dict[str, Any]) -> None:
    with pytest.raises(InputNotPositive, match="can't be"):
        solve(Sample(**known, scale="total"))


@pytest.mark.parametrize(
    ("salinity", "temperature", "word"),
    [(10.0, 25.0, "Salinity 10"), (35.0, 1.0, "2 to 35"), (35.0, 34.0, "9 to 33")],
)
def test_leaving_a_range_flags_the_state_and_does_not_stop_it(
    salinity: float, temperature: float, word: str
) -> None:
    state = solve(Sample(alkalinity=2300.0, dic=2000.0, salinity=salinity, temperature=temperature))
    assert any(word in note for note in state.notes)
    assert state.pco2 > 0


def test_a_strange_ph_is_flagged() -> None:
    state = solve(Sample(alkalinity=2300.0, ph=10.0, scale="total"))
    assert any("far from any sea" in note for note in state.notes)
