"""What an event leaves to see is reckoned by living without it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.simulated.draw import base
from tests.simulated.keeper import simulate, without_noise
from tests.simulated.scenario import Mishap
from tests.simulated.traces import Trace, left, table, without


def test_what_is_left_starts_as_what_happened_and_fades_with_the_use_that_answers() -> None:
    _, scenario = base("check", 7, days=60, use=0.3)
    exact = replace(without_noise(scenario), corrects=False, retune_every=999.0)
    case = simulate(replace(exact, mishaps=(Mishap("precipitation", 40.0, 0.5),)))
    (event,) = case.truth.unlogged
    other = without(case, event)
    assert other.truth.unlogged == ()
    hour = timedelta(hours=1)
    assert left(case, other, "alkalinity", event.start - hour) == pytest.approx(0.0, abs=1e-9)
    soon = left(case, other, "alkalinity", event.end + hour)
    assert soon == pytest.approx(event.change["alkalinity"], rel=0.05)
    later = left(case, other, "alkalinity", event.end + timedelta(days=8))
    assert abs(later) < 0.8 * abs(soon)


def test_events_are_told_by_what_was_left_of_them() -> None:
    rows = table([Trace("a", 10.0, 2.0, 4, 0), Trace("b", 12.0, 9.0, 5, 5)]).splitlines()
    assert rows[2] == "| 0 to 3 deviations | 1 | 10.0 | 2.0 | 0 % (0/4) |"
    assert rows[3] == "| 6 or more deviations | 1 | 12.0 | 9.0 | 100 % (5/5) |"
    assert rows[4] == "| all | 2 | 11.0 | 5.5 | 56 % (5/9) |"
