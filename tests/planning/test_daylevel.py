"""A level swings within a day by the hours of its pump, and a plan keeps under its peak."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from brinebook.balance.drawn import Drawn, draw, draw_plain
from brinebook.balance.estimate import estimate
from brinebook.book.description import read_description
from brinebook.book.history_csv import read_history
from brinebook.demo import history_csv, system_toml
from brinebook.measure import Measure
from brinebook.planning.daylevel import day_level
from brinebook.timeline import Fact

FAR = datetime(2100, 1, 1, tzinfo=UTC)
CARBONATE = "carbonate solution"


def _at(hours: str, when: datetime) -> Drawn:
    """The demo's belief, had its carbonate gone in at these hours all the time."""
    system = read_description(system_toml()).system
    zone = ZoneInfo(system.timezone)
    facts = read_history(history_csv().encode(), zone=zone, now=FAR).facts
    told = [_with_hours(fact, hours) for fact in facts]
    return draw(estimate(system, told, when)[0], count=1000)


def _with_hours(fact: Fact, hours: str) -> Fact:
    if fact.kind != "dosing" or fact.what != CARBONATE:
        return fact
    return replace(fact, detail={**fact.detail, "hours": hours} if hours else {})


def test_dosing_by_night_makes_the_morning_the_days_highest() -> None:
    morning = datetime(2025, 1, 31, 5, tzinfo=UTC)  # 06:00 there
    drawn = _at("22-06", morning)
    found = day_level(drawn, "alkalinity")
    # 191 mL of 80 g/L in some 510 L are 0.357 meq/L a day (molar masses); in a third of the day
    # they lift it by two thirds of that over what an even use takes, and by more where animals
    # use more in the light.
    given = 191.0 * 80.0 / 84.007 / float(np.median(drawn.litres))
    assert 0.6 * given < found.swing < 1.0 * given
    assert found.high < 0.15 * found.swing
    evening = day_level(_at("22-06", datetime(2025, 1, 31, 21, tzinfo=UTC)), "alkalinity")
    assert evening.low > -0.15 * evening.swing
    assert evening.swing == pytest.approx(found.swing, rel=0.15)


def test_dosing_round_the_clock_leaves_the_animals_own_swing_alone() -> None:
    when = datetime(2025, 1, 31, 5, tzinfo=UTC)
    by_night = day_level(_at("22-06", when), "alkalinity")
    always = day_level(_at("", when), "alkalinity")
    assert always.swing < 0.4 * by_night.swing


def test_a_stated_belief_has_no_hours() -> None:
    drawn = draw_plain(
        {"alkalinity": Measure(2.9, 0.1, "")}, {"alkalinity": Measure(0.3, 0.0, "")},
        Measure(300.0, 0.0, "L"),
    )  # fmt: skip
    assert day_level(drawn, "alkalinity").swing == pytest.approx(0.0, abs=1e-9)
