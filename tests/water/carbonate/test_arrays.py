"""Many samples at once, against an independent program; derivatives against differences."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from brinebook.water.carbonate.arrays import (
    INPUTS,
    OUTPUTS,
    derivatives,
    solve_many,
    standard_deviations,
)
from brinebook.water.carbonate.problems import PairNeeded
from brinebook.water.carbonate.state import Sample, solve
from tests.water.agreement import COMPARED, PAIRS, Waters, greatest_differences, waters


@pytest.fixture(scope="module")
def some_waters() -> Waters:
    return waters(count=2000)


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_every_pair_agrees_with_an_independent_program_all_over_the_range(
    pair: tuple[str, str], some_waters: Waters
) -> None:
    # 30-40 PSU, 18-32 °C, total pH 7.5-8.6: the limits stand beside the names in COMPARED.
    differences = greatest_differences(some_waters, pair)
    too_far = {name: far for name, far in differences.items() if far > COMPARED[name][1]}
    assert too_far == {}


def test_many_are_the_same_as_one_by_one() -> None:
    alkalinity = np.linspace(1500.0, 4000.0, 23)
    many = solve_many(Sample(alkalinity=alkalinity, pco2=420.0, phosphate=1.0))
    for index, value in enumerate(alkalinity):
        one = solve(Sample(alkalinity=float(value), pco2=420.0, phosphate=1.0))
        for name in OUTPUTS:
            assert getattr(many, name)[index] == pytest.approx(getattr(one, name), rel=1e-10)


def test_shapes_broadcast() -> None:
    state = solve_many(Sample(alkalinity=np.full((3, 1), 2300.0), dic=np.array([1900.0, 2000.0])))
    assert state.ph_total.shape == (3, 2)
    assert state.omega_aragonite.shape == (3, 2)


def test_an_impossible_element_is_nan_and_the_others_stand() -> None:
    state = solve_many(
        Sample(
            alkalinity=np.array([2300.0, 2300.0, -5.0, np.nan, 1e7]),
            dic=np.array([2000.0, -1.0, 2000.0, 2000.0, 1.0]),
        )
    )
    assert np.isfinite(state.ph_total).tolist() == [True, False, False, False, False]
    assert state.ph_total[0] == pytest.approx(8.0458, abs=1e-4)


def test_an_element_out_of_range_is_noted() -> None:
    state = solve_many(Sample(alkalinity=2300.0, dic=2000.0, salinity=np.array([35.0, 5.0])))
    assert any("Salinity 5" in note for note in state.notes)


def test_no_elements_are_no_trouble() -> None:
    state = solve_many(Sample(alkalinity=np.array([]), dic=np.array([])))
    assert state.ph_total.shape == (0,)


def test_a_missing_pair_is_refused_here_too() -> None:
    with pytest.raises(PairNeeded):
        solve_many(Sample(alkalinity=np.array([2300.0])))


BASES: dict[str, Sample[float]] = {
    "+".join(pair): Sample(
        **{  # type: ignore[arg-type]
            name: {"alkalinity": 2500.0, "dic": 2150.0, "ph": 8.05, "pco2": 450.0}[name]
            for name in pair
        },
        scale="NBS",
        salinity=34.0,
        temperature=26.0,
        calcium=10300.0,
        phosphate=2.0,
        silicate=10.0,
    )
    for pair in PAIRS
}


@pytest.mark.parametrize(
    ("pair", "name"),
    [(pair, n) for pair, base in BASES.items() for n in INPUTS if getattr(base, n) is not None],
)
def test_derivatives_are_the_limits_of_differences(pair: str, name: str) -> None:
    base = BASES[pair]
    value = getattr(base, name)
    step = 1e-4 * max(abs(value), 1.0)
    above, below = (solve(replace(base, **{name: value + s})) for s in (step, -step))
    slopes = derivatives(base)
    for output in OUTPUTS:
        difference = (getattr(above, output) - getattr(below, output)) / (2 * step)
        # Central differences err by step²: 1e-6 of the slope, and rounding of the state beside it.
        rounding = 1e-9 * abs(getattr(above, output)) / step
        assert slopes[output][name] == pytest.approx(difference, rel=2e-5, abs=rounding)


def test_the_revelle_factor_is_that_of_an_independent_program() -> None:
    # PyCO2SYS 1.8.3: 9.597 at alkalinity 2300 and DIC 2000 (35 PSU, 25 °C).
    sample = Sample(alkalinity=2300.0, dic=2000.0)
    slope = derivatives(sample)["pco2"]["dic"]
    assert slope * 2000.0 / solve(sample).pco2 == pytest.approx(9.597, abs=0.005)


def test_derivatives_of_arrays_are_arrays() -> None:
    slopes = derivatives(Sample(alkalinity=np.array([2300.0, 2500.0]), dic=2000.0))
    assert slopes["ph_total"]["alkalinity"].shape == (2,)
    one = derivatives(Sample(alkalinity=2500.0, dic=2000.0))["ph_total"]["alkalinity"]
    assert slopes["ph_total"]["alkalinity"][1] == pytest.approx(one, rel=1e-12)


def test_uncertainty_is_the_spread_of_many_draws() -> None:
    random = np.random.default_rng(7)
    sample: Sample[Any] = Sample(alkalinity=2788.0, ph=8.2, scale="NBS")
    sd = {"alkalinity": 20.0, "ph": 0.01, "temperature": 0.2}
    drawn = solve_many(
        replace(
            sample,
            alkalinity=random.normal(2788.0, 20.0, 40_000),
            ph=random.normal(8.2, 0.01, 40_000),
            temperature=random.normal(25.0, 0.2, 40_000),
        )
    )
    spread = standard_deviations(sample, sd)
    # 40,000 draws know a standard deviation to 0.4 %; the rest is curvature.
    for name in ("dic", "pco2", "omega_aragonite"):
        assert spread[name] == pytest.approx(np.std(getattr(drawn, name)), rel=0.02)
