"""Un-ionised ammonia, on the total scale throughout."""

from __future__ import annotations

import pytest

from brinebook.water.ammonia import (
    pk_ammonium_clegg_whitfield_1995,
    range_notes,
    unionised_fraction,
)
from brinebook.water.carbonate.scales import convert_ph


@pytest.mark.parametrize(
    ("temperature", "salinity", "expected"),
    [(25, 35, 9.24585), (26, 35, 9.21171), (25, 30, 9.23727), (20, 30, 9.40905),
     (25, 20, 9.22340)],
)  # fmt: skip
def test_the_constant_is_that_of_the_paper(
    temperature: float, salinity: float, expected: float
) -> None:
    # Clegg & Whitfield 1995 eq. 18, per kg of seawater, as PyCO2SYS 1.8.3 has it; 1e-5.
    got = pk_ammonium_clegg_whitfield_1995(salinity, temperature)
    assert got == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(
    ("ph", "percent"),
    [(7.8, 3.458), (8.0, 5.372), (8.1, 6.671), (8.2, 8.255), (8.3, 10.175)],
)
def test_the_fraction_at_35_and_25_degrees(ph: float, percent: float) -> None:
    # Clegg & Whitfield 1995 by PyCO2SYS 1.8.3, total scale; half a unit of the last digit.
    assert 100 * unionised_fraction(ph, 35, 25) == pytest.approx(percent, abs=0.001)


def test_an_nbs_reading_means_a_quarter_less_than_the_same_total_one() -> None:
    # Clegg & Whitfield 1995 with the pH converted: 6.17 % at NBS 8.2, 8.26 % if taken as total.
    # The NBS offset is known to 0.005 here, which is 1 % of the fraction.
    total = convert_ph(8.2, "NBS", "total", salinity=35, temperature=25)
    assert 100 * unionised_fraction(total, 35, 25) == pytest.approx(6.17, abs=0.07)
    assert 100 * unionised_fraction(8.2, 35, 25) == pytest.approx(8.26, abs=0.01)


def test_fresh_water_is_the_freshwater_constants() -> None:
    # Emerson et al. 1975: pKa 9.24638 at 25 °C, 9.40255 at 20 °C. Another fit of the same: 0.003.
    for temperature, expected in ((25, 9.24638), (20, 9.40255)):
        got = pk_ammonium_clegg_whitfield_1995(0, temperature)
        assert got == pytest.approx(expected, abs=0.003)


def test_leaving_the_range_is_said() -> None:
    assert range_notes(35, 25) == ()
    assert "Clegg" in range_notes(45, 25)[0]
