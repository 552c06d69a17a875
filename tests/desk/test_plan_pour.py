"""pH, CO2 and saturation of what was poured, against an independent program."""

from __future__ import annotations

import warnings

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brinebook.desk.plan_now import Said, WaterNow, water_now
from brinebook.desk.plan_pour import ph_figures
from brinebook.water.atoms import molar_mass


def _now(alkalinity: float, ph: float, salinity: float, celsius: float) -> WaterNow:
    said = Said(
        volume="300 L",
        alkalinity=f"{alkalinity:.6f} meq/L",
        ph=f"{ph:.6f}",
        salinity=f"{salinity:.6f}",
        temperature=f"{celsius:.6f} C",
        calcium="420 mg/L",
        co2="600 ppm",
    )
    return water_now("", said=said)


_WATERS = st.tuples(st.floats(1.8, 4.5), st.floats(7.7, 8.5), st.floats(30, 38), st.floats(22, 30))
_POURS = st.tuples(st.floats(0.05, 2.0), st.floats(0.0, 1.0), st.floats(0.9, 1.0))


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(_WATERS, _POURS)
def test_what_is_poured_has_the_chemistry_of_an_independent_program(
    water: tuple[float, float, float, float], pour: tuple[float, float, float]
) -> None:
    alkalinity, ph, salinity, celsius = water
    added, carbon, diluted = pour
    # PyCO2SYS with the same constants. 0.005 in pH: the NBS scale is told by another constant for
    # fluoride there. 0.5 % in CO2 and saturation, as the carbonate tests have it.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import PyCO2SYS
    now = _now(alkalinity, ph, salinity, celsius)
    found = {
        each.name: each.value
        for each in ph_figures(
            now, alkalinity, alkalinity=added, carbon=carbon * added, diluted=diluted
        )
    }
    scale = 1e3 / now.kilograms
    usual = {
        "temperature": celsius, "opt_k_carbonic": 10, "opt_k_bisulfate": 1, "opt_k_fluoride": 2,
        "opt_total_borate": 1,
    }  # fmt: skip
    before = PyCO2SYS.sys(
        alkalinity * scale, found["pco2_before"], 1, 4, salinity=salinity,
        total_calcium=420 / molar_mass("Ca") * scale, **usual,
    )  # fmt: skip
    assert found["ph_before"] == pytest.approx(float(before["pH_nbs"]), abs=0.005)
    thinner = {
        "salinity": salinity * diluted,
        "total_calcium": 420 * diluted / molar_mass("Ca") * scale,
    }
    ends = (alkalinity * diluted + added) * scale
    at_once = PyCO2SYS.sys(
        ends, float(before["dic"]) * diluted + carbon * added * scale, 1, 2, **thinner, **usual
    )
    aired = PyCO2SYS.sys(ends, 600.0, 1, 4, **thinner, **usual)
    for label, state in (("at_once", at_once), ("aired", aired)):
        assert found[f"ph_{label}"] == pytest.approx(float(state["pH_nbs"]), abs=0.005)
        assert found[f"pco2_{label}"] == pytest.approx(float(state["pCO2"]), rel=0.005)
        omega = float(state["saturation_aragonite"])
        assert found[f"omega_aragonite_{label}"] == pytest.approx(omega, rel=0.005)
