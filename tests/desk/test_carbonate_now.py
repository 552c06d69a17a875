"""The carbonate state of the answer, and its intervals, against an independent program."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import numpy as np
import PyCO2SYS
import pytest

from brinebook.desk.carbonate_now import carbonate_now
from brinebook.measure import Measure
from brinebook.water.salinity import density

NOW = datetime(2026, 3, 10, tzinfo=UTC)
BELIEVED = {
    "alkalinity": Measure(2.85, 0.03, "meq/L"),
    "ph": Measure(8.15, 0.03, "NBS"),
    "salinity": Measure(35.0, 0.3, "PSU"),
    "temperature": Measure(25.0, 0.2, "C"),
    "calcium": Measure(420.0, 6.0, "mg/L"),
}


def _answer(**believed: Measure) -> Any:
    return SimpleNamespace(
        at=NOW, quantities={name: SimpleNamespace(now=one) for name, one in believed.items()}
    )


def _program(values: dict[str, Any]) -> dict[str, Any]:
    """PyCO2SYS with the same constants: Lueker 2000, Dickson 1990, Uppstrom 1974."""
    kilograms = density(35.0, 25.0) / 1000.0
    found: dict[str, Any] = PyCO2SYS.sys(
        par1=values["alkalinity"] * 1e3 / kilograms, par1_type=1,
        par2=values["ph"], par2_type=3, opt_pH_scale=4,
        salinity=values["salinity"], temperature=values["temperature"],
        total_calcium=values["calcium"] * 1e3 / 40.078 / kilograms,
        opt_k_carbonic=10, opt_k_bisulfate=1, opt_total_borate=1,
    )  # fmt: skip
    return found


def test_what_follows_agrees_with_an_independent_program() -> None:
    found = carbonate_now(_answer(**BELIEVED))
    assert found is not None
    expected = _program({name: one.value for name, one in BELIEVED.items()})
    by_name = {one.name: one.measure for one in found.derived}
    # The two convert NBS by activity coefficients of their own; 2 % is 0.01 of a pH.
    assert by_name["pco2"].value == pytest.approx(float(expected["pCO2"]), rel=0.02)
    assert by_name["omega_aragonite"].value == pytest.approx(
        float(expected["saturation_aragonite"]), rel=0.02
    )


def test_the_intervals_are_those_of_many_drawn_inputs() -> None:
    found = carbonate_now(_answer(**BELIEVED))
    assert found is not None
    chance = np.random.default_rng(1)
    drawn = {name: chance.normal(one.value, one.sd, 4000) for name, one in BELIEVED.items()}
    many = _program(drawn)
    by_name = {one.name: one.measure for one in found.derived}
    for name, theirs in (("pco2", "pCO2"), ("omega_aragonite", "saturation_aragonite")):
        spread = float(np.std(np.log(many[theirs])))
        # Slopes at one point against a draw of 4000: a twentieth either way.
        assert by_name[name].sd / by_name[name].value == pytest.approx(spread, rel=0.06)


def test_water_in_balance_with_more_co2_stands_lower() -> None:
    found = carbonate_now(_answer(**BELIEVED))
    assert found is not None
    levels = [ph.value for _, ph in found.in_air]
    assert levels == sorted(levels, reverse=True)
    expected = PyCO2SYS.sys(
        par1=2.85e3 / (density(35.0, 25.0) / 1000.0), par1_type=1, par2=1000.0, par2_type=4,
        salinity=35.0, temperature=25.0, opt_k_carbonic=10, opt_total_borate=1, opt_pH_scale=1,
    )  # fmt: skip
    # On the NBS scale: 0.02 for the two conversions from the total scale.
    assert dict(found.in_air)[1000].value == pytest.approx(float(expected["pH_nbs"]), abs=0.02)


def test_without_a_ph_only_the_balance_with_air_follows() -> None:
    known = {name: one for name, one in BELIEVED.items() if name != "ph"}
    found = carbonate_now(_answer(**known))
    assert found is not None
    assert found.derived == ()
    assert len(found.in_air) == 5
    assert carbonate_now(_answer(calcium=BELIEVED["calcium"])) is None


def test_what_was_not_tested_is_taken_as_usual_and_said() -> None:
    found = carbonate_now(_answer(alkalinity=BELIEVED["alkalinity"], ph=BELIEVED["ph"]))
    assert found is not None
    assert set(found.assumed) == {"salinity", "temperature", "calcium"}
