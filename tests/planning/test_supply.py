"""Packs of salt: what a used kilogram costs, and from which use on the larger one pays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brinebook.planning.supply import Pack, cost_per_used, pays_from

SMALL, MIDDLE, LARGE = Pack(1.0, 9.0, 6.0), Pack(5.0, 24.0, 9.0), Pack(25.0, 60.0, 25.0)


@pytest.mark.parametrize(
    ("years", "costs"), [(3.0, (15.0, 12.56, 32.34)), (1.0, (17.12, 37.67, 97.03))]
)
def test_a_kilogram_costs_what_is_paid_over_what_is_used(
    years: float, costs: tuple[float, float, float]
) -> None:
    # Arithmetic: 30 mL a day of 80 g/L are 0.876 kg a year; 33 over 2.628 kg; 0.1 %.
    found = [cost_per_used(one, a_year=0.876, years=years) for one in (SMALL, MIDDLE, LARGE)]
    assert found == pytest.approx(costs, rel=1e-3)


def test_a_years_supply_at_once_saves_money_where_use_is_high_enough() -> None:
    # Common practice, no source: that it saves. From where: arithmetic, 33 x 1/(15 x 3) = 0.733 and
    # 85 x 5/(33 x 3) = 4.29 kg a year; 0.1 %.
    assert pays_from(MIDDLE, SMALL, years=3.0) == pytest.approx(0.7333, rel=1e-3)
    assert pays_from(LARGE, MIDDLE, years=3.0) == pytest.approx(4.293, rel=1e-3)
    assert pays_from(Pack(2.0, 40.0), SMALL, years=3.0) is None
    assert pays_from(Pack(2.0, 10.0), SMALL, years=3.0) == 0.0


_PACKS = st.builds(Pack, st.floats(0.1, 30.0), st.floats(1.0, 100.0), st.floats(0.0, 20.0))


@given(_PACKS, _PACKS, st.floats(0.5, 5.0), st.floats(0.01, 30.0))
def test_where_it_pays_it_is_the_cheaper_one_on_either_side(
    one: Pack, other: Pack, years: float, a_year: float
) -> None:
    smaller, larger = sorted((one, other), key=lambda pack: pack.kilograms)
    found = pays_from(larger, smaller, years=years)
    costs = [cost_per_used(pack, a_year=a_year, years=years) for pack in (smaller, larger)]
    if found is None or a_year < found * (1.0 - 1e-9):
        assert costs[0] <= costs[1] * (1.0 + 1e-9)
    elif a_year > found * (1.0 + 1e-9):
        assert costs[1] <= costs[0] * (1.0 + 1e-9)
