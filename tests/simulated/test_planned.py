"""The judge of plans sees what it should, and both keepers start from the same reef."""

from __future__ import annotations

import numpy as np
import pytest

from tests.simulated import planned
from tests.simulated.chemistry import DKH
from tests.simulated.life import Life
from tests.simulated.planned import BANDS, PAST, Planned, Tally, by_plans, habit, live, scenario


def _judged(levels: list[float], plan: Planned) -> tuple[str, ...]:
    """A plan from the day ``PAST`` on, over alkalinity in dKH that is given every half day."""
    life = Life(scenario(1))
    days = np.arange(round((PAST + 20) / life.dt)) * life.dt
    half = np.clip(np.round((days - PAST) / 0.5).astype(int) + 2, 0, len(levels) - 1)
    alkalinity = np.array(levels)[half] / DKH
    tally = Tally(plans=[plan])
    planned._judge(life, tally, np.column_stack([alkalinity, np.full(days.size, 425.0)]))
    return tally.plans[0].passed


def _plan(saturation: list[tuple[float, float]] | None = None) -> Planned:
    return Planned("alkalinity", float(PAST), PAST + 0.4, saturation=saturation or [(4.0, 5.0)])


def test_a_correction_within_every_limit_is_no_miss() -> None:
    assert _judged([7.5, 7.5, 7.5, 8.1, 8.3, 8.3, 8.2], _plan()) == ()


def test_a_rise_of_more_than_the_limit_in_a_day_is_a_miss() -> None:
    assert _judged([7.4, 7.4, 7.4, 8.3, 8.6, 8.6, 8.5], _plan()) == ("a day",)


def test_a_level_over_the_band_is_a_miss_unless_it_was_there_before() -> None:
    assert _judged([8.5, 8.5, 8.5, 9.2, 9.2, 9.1, 9.1], _plan()) == ("edge",)
    assert BANDS["alkalinity"][1] * DKH == pytest.approx(9.0)
    assert _judged([9.2, 9.2, 9.2, 9.4, 9.4, 9.3, 9.3], _plan()) == ()


def test_a_pour_over_its_cap_is_a_miss() -> None:
    passed = _judged([7.5, 7.5, 7.5, 7.9, 8.0, 8.0, 8.0], _plan([(4.0, 5.0), (5.2, 5.0)]))
    assert passed == ("saturation",)


def test_two_keepers_of_one_reef_differ_by_what_they_do_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(planned, "AFTER", 5)
    first, again, other = live(7, habit), live(7, habit), live(7, by_plans)
    assert (first.tests, first.grams, first.inside) == (again.tests, again.grams, again.inside)
    assert first.tests == 6  # one sitting of everything
    assert other.tests != first.tests or other.grams != first.grams
