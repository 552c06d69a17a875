"""pH from scale to scale, and the refusal to guess one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.water.carbonate.constants import constants_at
from brinebook.water.carbonate.scales import SCALES, ScaleUnknown, convert_ph, offset_from_total
from brinebook.water.carbonate.state import Sample, solve


@pytest.mark.parametrize(
    ("salinity", "temperature", "nbs", "free"),
    [
        (35.0, 20.0, 0.1251, 0.0913),
        (35.0, 25.0, 0.1365, 0.1077),
        (35.0, 28.0, 0.1436, 0.1182),
        (33.0, 25.0, 0.1386, 0.1055),
    ],
)
def test_offsets_from_the_total_scale_are_those_of_an_independent_program(
    salinity: float, temperature: float, nbs: float, free: float
) -> None:
    # PyCO2SYS 1.8.3 with Takahashi 1982; NBS 0.005: it takes the fluoride constant otherwise.
    constants = constants_at(salinity, temperature)
    assert offset_from_total("NBS", constants) == pytest.approx(nbs, abs=0.005)
    assert offset_from_total("free", constants) == pytest.approx(free, abs=1e-4)


def test_the_fluoride_constant_is_read_as_the_guide_reads_it() -> None:
    # Guide 2007: Perez & Fraga 1987 on the total scale puts seawater 0.0129 below total at 35/25
    # (arithmetic), and NBS 0.1337 above it.
    constants = constants_at(35.0, 25.0)
    assert offset_from_total("sws", constants) == pytest.approx(-0.0129, abs=5e-5)
    assert offset_from_total("NBS", constants) == pytest.approx(0.1337, abs=5e-5)


def test_the_activity_factor_is_takahashis() -> None:
    # Takahashi et al. 1982, page 80; arithmetic of the equation at 35/25.
    assert constants_at(35.0, 25.0).activity_factor == pytest.approx(0.7134, abs=5e-5)


@given(
    ph=st.floats(7, 9),
    salinity=st.floats(5, 42),
    temperature=st.floats(5, 35),
    scale=st.sampled_from(SCALES),
    to_scale=st.sampled_from(SCALES),
)
def test_there_and_back_is_the_same_ph(
    ph: float, salinity: float, temperature: float, scale: str, to_scale: str
) -> None:
    there = convert_ph(ph, scale, to_scale, salinity=salinity, temperature=temperature)
    back = convert_ph(there, to_scale, scale, salinity=salinity, temperature=temperature)
    assert back == pytest.approx(ph, abs=1e-12)


def test_the_same_number_on_two_scales_is_two_waters() -> None:
    # 8 dKH at 35 and 25 °C, PyCO2SYS 1.8.3: 4.58 when 8.24 is NBS, 5.75 when it is total. The
    # Guide's fluoride constant moves the first by 0.022.
    as_nbs = solve(Sample(alkalinity=2788.13, ph=8.24, scale="NBS")).omega_aragonite
    as_total = solve(Sample(alkalinity=2788.13, ph=8.24, scale="total")).omega_aragonite
    assert as_nbs == pytest.approx(4.58, abs=0.03)
    assert as_total == pytest.approx(5.75, abs=0.01)


def test_a_ph_without_a_scale_is_refused() -> None:
    with pytest.raises(ScaleUnknown, match="two waters"):
        solve(Sample(alkalinity=2300.0, ph=8.1))
    with pytest.raises(ScaleUnknown, match='"nbs2"'):
        solve(Sample(alkalinity=2300.0, ph=8.1, scale="nbs2"))
    with pytest.raises(ScaleUnknown):
        convert_ph(8.1, "NBS", "other", salinity=35.0, temperature=25.0)
