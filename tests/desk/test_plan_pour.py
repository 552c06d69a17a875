"""pH, CO2 and saturation of what was poured, against an independent program."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from brinebook.desk.plan_now import Said, WaterNow, water_now
from brinebook.desk.plan_pour import ph_figures
from brinebook.water.atoms import molar_mass

_WATERS = 60


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


def test_what_is_poured_has_the_chemistry_of_an_independent_program() -> None:
    # PyCO2SYS with the same constants, asked for all waters at once. 0.005 in pH: the NBS scale is
    # told by another constant for fluoride there. 0.5 % in CO2 and saturation, as the carbonate
    # tests have it.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import PyCO2SYS
    drawn = np.random.default_rng(7)
    low = np.array([1.8, 7.7, 30.0, 22.0, 0.05, 0.0, 0.9])
    high = np.array([4.5, 8.5, 38.0, 30.0, 2.0, 1.0, 1.0])
    waters = np.vstack([low, high, drawn.uniform(low, high, (_WATERS, low.size))]).round(6)
    scales, ours = [], []
    for alkalinity, ph, salinity, celsius, added, carbon, diluted in waters.tolist():
        now = _now(alkalinity, ph, salinity, celsius)
        figures = ph_figures(
            now, alkalinity, alkalinity=added, carbon=carbon * added, diluted=diluted
        )
        ours.append({each.name: each.value for each in figures})
        scales.append(1e3 / now.kilograms)
    found = {name: np.array([each[name] for each in ours]) for name in ours[0]}
    alkalinity, _, salinity, celsius, added, carbon, diluted = waters.T
    scale = np.array(scales)
    usual = {
        "temperature": celsius, "opt_k_carbonic": 10, "opt_k_bisulfate": 1, "opt_k_fluoride": 2,
        "opt_total_borate": 1,
    }  # fmt: skip
    calcium = 420.0 / molar_mass("Ca") * scale
    before = PyCO2SYS.sys(
        alkalinity * scale, found["pco2_before"], 1, 4, salinity=salinity, total_calcium=calcium,
        **usual,
    )  # fmt: skip
    assert found["ph_before"] == pytest.approx(before["pH_nbs"], abs=0.005)
    thinner = {"salinity": salinity * diluted, "total_calcium": calcium * diluted}
    ends = (alkalinity * diluted + added) * scale
    at_once = PyCO2SYS.sys(
        ends, before["dic"] * diluted + carbon * added * scale, 1, 2, **thinner, **usual
    )
    aired = PyCO2SYS.sys(ends, 600.0, 1, 4, **thinner, **usual)
    for label, state in (("at_once", at_once), ("aired", aired)):
        assert found[f"ph_{label}"] == pytest.approx(state["pH_nbs"], abs=0.005)
        assert found[f"pco2_{label}"] == pytest.approx(state["pCO2"], rel=0.005)
        omega = state["saturation_aragonite"]
        assert found[f"omega_aragonite_{label}"] == pytest.approx(omega, rel=0.005)
