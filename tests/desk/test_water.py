"""The state of a sample from typed numbers."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from brinebook.desk.water import Known, water_state
from brinebook.errors import UsageProblem
from brinebook.units import (
    NumberUnreadable,
    OutOfRange,
    TemperatureNeeded,
    UnitAmbiguous,
    UnitMissing,
)
from brinebook.water.carbonate.problems import InputsImpossible, PairNeeded

REEF = Known(alkalinity="8 dKH", pco2="420 uatm", salinity="35", temperature="25 C")
ALWAYS = [
    "alkalinity", "dic", "ph_total", "ph_nbs", "pco2", "bicarbonate", "carbonate",
    "omega_aragonite", "omega_calcite", "density", "oxygen_saturation",
]  # fmt: skip


def test_the_answer_has_the_promised_figures_and_units() -> None:
    state = water_state(REEF)
    assert list(state.figures) == ALWAYS
    units = [state.figures[name].unit for name in ALWAYS]
    assert units == ["umol/kg", "umol/kg", "total", "NBS", "uatm", "umol/kg", "umol/kg", "", "",
                     "kg/m3", "mg/L"]  # fmt: skip
    assert state.notes == ()
    assert state.assumed == {}


def test_the_figures_are_an_independent_programs() -> None:
    # PyCO2SYS 1.8.3: 8 dKH (2788.13 umol/kg) under 420 uatm at 35 and 25 °C; density and oxygen by
    # gsw 3.6.23. Tolerances as promised: 0.3 umol/kg, 0.0005, NBS and saturation 0.005.
    figures = {name: figure.value for name, figure in water_state(REEF).figures.items()}
    assert figures["alkalinity"] == pytest.approx(2788.13, abs=0.05)
    assert figures["dic"] == pytest.approx(2407.71, abs=0.3)
    assert figures["ph_total"] == pytest.approx(8.0965, abs=0.0005)
    assert figures["ph_nbs"] == pytest.approx(8.2331, abs=0.005)
    assert figures["omega_aragonite"] == pytest.approx(4.5237, abs=0.005)
    assert figures["omega_calcite"] == pytest.approx(6.8631, abs=0.008)
    assert figures["density"] == pytest.approx(1023.3436, abs=0.002)
    assert figures["oxygen_saturation"] == pytest.approx(6.771, abs=0.001)


def test_every_pair_says_the_same() -> None:
    figures = water_state(REEF).figures
    typed = {
        "alkalinity": f"{figures['alkalinity'].value!r} umol/kg",
        "dic": f"{figures['dic'].value!r} umol/kg",
        "ph": f"{figures['ph_nbs'].value!r} NBS",
        "pco2": "420 uatm",
    }
    for pair in combinations(typed, 2):
        again = water_state(
            Known(**{name: typed[name] for name in pair}, salinity="35", temperature="25")
        )
        for name in ALWAYS:
            assert again.figures[name].value == pytest.approx(figures[name].value, rel=1e-7)


def test_the_scale_of_a_ph_counts() -> None:
    # PyCO2SYS 1.8.3: aragonite 4.55 at total 8.10; the same as NBS is 0.13 lower in pH.
    total = water_state(Known(alkalinity="8 dKH", ph="8.10 total"))
    nbs = water_state(Known(alkalinity="8 dKH", ph="8.10 NBS"))
    bare = water_state(Known(alkalinity="8 dKH", ph="8.10"))
    assert total.figures["omega_aragonite"].value == pytest.approx(4.5512, abs=0.005)
    assert nbs.figures["omega_aragonite"].value < 3.7
    assert bare.figures == nbs.figures


def test_what_was_not_said_is_assumed_and_named() -> None:
    state = water_state(Known(alkalinity="8 dKH", pco2="420 uatm"))
    assert state.assumed == {"salinity": 35.0, "temperature": 25.0}
    assert state.figures == water_state(REEF).figures


def test_measured_calcium_moves_saturation_alone() -> None:
    # PyCO2SYS 1.8.3: 420 mg/L for the natural 421.8 gives 4.5317 for 4.5512 at total 8.10.
    state = water_state(Known(alkalinity="8 dKH", ph="8.10 total", calcium="420 mg/L"))
    assert state.figures["omega_aragonite"].value == pytest.approx(4.5317, abs=0.005)
    assert state.figures["dic"].value == pytest.approx(2405.19, abs=0.3)


def test_phosphate_and_silicate_count_in_alkalinity_and_ammonia_does_not() -> None:
    plain = water_state(REEF).figures["bicarbonate"].value
    for more, moved in (
        ({"phosphate": "1 mg/L"}, True),
        ({"silicate": "5 mg/L"}, True),
        ({"ammonia": "5 mg/L N"}, False),
    ):
        state = water_state(replace(REEF, **more))
        assert (state.figures["bicarbonate"].value != plain) is moved


def test_ammonia_comes_with_its_toxic_part() -> None:
    # Clegg & Whitfield 1995 by PyCO2SYS 1.8.3: 6.671 % at total 8.1, 35 and 25 °C.
    state = water_state(Known(alkalinity="8 dKH", ph="8.1 total", ammonia="0.5 mg/L N"))
    assert state.figures["ammonia_unionised_fraction"].value == pytest.approx(0.06671, abs=1e-5)
    assert state.figures["ammonia_unionised"].value == pytest.approx(0.033355, abs=1e-5)
    assert state.figures["ammonia_unionised"].unit == "mg/L"


@pytest.mark.parametrize(
    "known",
    [
        Known(),
        Known(alkalinity="8 dKH"),
        Known(alkalinity="8 dKH", ph="8.1", pco2="420 uatm"),
        Known(calcium="420 mg/L", salinity="35"),
    ],
)
def test_anything_but_a_pair_is_refused_and_the_pairs_are_told(known: Known) -> None:
    with pytest.raises(PairNeeded) as refusal:
        water_state(known)
    assert "pH with pCO2" in refusal.value.hint


@pytest.mark.parametrize(
    ("changed", "error"),
    [
        ({"alkalinity": "8 ppm"}, UnitAmbiguous),
        ({"alkalinity": "8"}, UnitMissing),
        ({"alkalinity": "-1 dKH"}, OutOfRange),
        ({"alkalinity": "142 dKH"}, OutOfRange),
        ({"alkalinity": "nan dKH"}, NumberUnreadable),
        ({"salinity": "1.025"}, UnitMissing),
        ({"salinity": "53 mS/cm", "temperature": None}, TemperatureNeeded),
        ({"salinity": "350"}, OutOfRange),
        ({"temperature": "77"}, OutOfRange),
        ({"pco2": "-5 uatm"}, OutOfRange),
        ({"pco2": "0 uatm"}, OutOfRange),
        ({"pco2": "1e9 uatm"}, OutOfRange),
        ({"pco2": "420"}, UnitMissing),
        ({"pco2": "420 bar"}, UsageProblem),
        ({"calcium": "1e9 mg/L"}, OutOfRange),
        ({"phosphate": "30 ppb"}, UnitAmbiguous),
        ({"ammonia": "0.5 ppm"}, UnitAmbiguous),
    ],
)
def test_a_number_that_can_not_be_or_be_read_is_refused(
    changed: dict[str, str | None], error: type[UsageProblem]
) -> None:
    with pytest.raises(error) as refusal:
        water_state(replace(REEF, **changed))
    assert refusal.value.exit_status == 2
    assert refusal.value.hint


@pytest.mark.parametrize(
    "known",
    [
        Known(dic="5 umol/kg", pco2="420 uatm"),
        Known(alkalinity="0.1 dKH", ph="9 NBS"),
    ],
)
def test_a_pair_that_no_seawater_has_is_refused(known: Known) -> None:
    with pytest.raises(InputsImpossible):
        water_state(known)


def test_other_units_of_the_same_are_read() -> None:
    # 101.325 kPa an atmosphere; DIC by the litre with TEOS-10's density.
    pascal = water_state(replace(REEF, pco2="42.5565 Pa"))
    assert pascal.figures["pco2"].value == pytest.approx(420.0, rel=1e-9)
    litre = water_state(Known(alkalinity="8 dKH", dic="2.4 mmol/L"))
    assert litre.figures["dic"].value == pytest.approx(2400 / 1.0233436, rel=1e-6)


def test_leaving_a_range_is_noted() -> None:
    state = water_state(replace(REEF, salinity="50", ammonia="0.5 mg/L"))
    assert any("Lueker" in note for note in state.notes)
    assert any("TEOS-10" in note for note in state.notes)
    assert any("Clegg" in note for note in state.notes)
