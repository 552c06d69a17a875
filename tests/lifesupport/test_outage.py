"""What an outage leaves of the oxygen, as a range; what buys time."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.outage import (
    ACT_BELOW,
    GRAVE_BELOW,
    Bubbles,
    StillWater,
    battery_hours,
    demand_range,
    exchange_range,
    oxygen_by_hour,
    oxygen_ends_at,
    oxygen_hours,
)
from brinebook.lifesupport.outage_answer import outage_answer
from tests.lifesupport import described

#: The worked reef: 150 g of fish at 250 mg/kg/h and 300 mg/h of everything else.
DEMAND = demand_range(150, rate=250, others=300, volume=300)
WATER = StillWater(300, 0.72, DEMAND, 25.0, 6.771)
START = 0.95 * 6.771


def test_the_middle_of_the_demand_is_the_worked_one() -> None:
    assert DEMAND[1] == pytest.approx(337.5)
    # Real life is off by a factor of two either way: the ends are no narrower.
    assert DEMAND[0] >= 1.6 * DEMAND[1]
    assert DEMAND[2] <= DEMAND[1] / 2


def test_covered_water_lasts_the_worked_hours_in_the_middle() -> None:
    # Worked: 2.2 h to 4 mg/L and 3.9 h to 2 mg/L; 1 % of 2.162 and 3.940.
    none = (0.0, 0.0, 0.0)
    act = oxygen_hours(WATER, START, limit=ACT_BELOW, exchange=none)
    grave = oxygen_hours(WATER, START, limit=GRAVE_BELOW, exchange=none)
    assert act.middle == pytest.approx(2.162, rel=0.01)
    assert grave.middle == pytest.approx(3.940, rel=0.01)
    assert act.short is not None
    assert act.middle is not None
    assert act.long is not None
    assert act.short < act.middle < act.long


def test_every_help_lengthens_every_end() -> None:
    still = exchange_range(WATER)
    moved = exchange_range(WATER, moved=True)
    bubbled = exchange_range(WATER, bubbles=Bubbles(150, 0.4))
    for better in (moved, bubbled):
        assert all(more > less for more, less in zip(better, still, strict=True))
    assert oxygen_ends_at(WATER, exchange=moved).middle > 0  # type: ignore[operator]


def test_a_lid_takes_away_what_the_surface_let_in() -> None:
    covered = StillWater(300, 0.0, DEMAND, 25.0, 6.771)
    assert exchange_range(covered) == (0.0, 0.0, 0.0)


def test_the_hours_of_the_table_run_through_the_limits() -> None:
    table = oxygen_by_hour(
        WATER, START, hours=6, exchange=(0.0, 0.0, 0.0), saturation=lambda _hour: 6.771
    )
    assert len(table) == 7
    assert table[0].middle == pytest.approx(START)
    assert table[2].middle == pytest.approx(START - 2 * 337.5 / 300)
    assert table[6].short == 0.0


def test_a_battery_lasts_its_usable_share() -> None:
    # 12 V x 7 Ah of lead, half of it usable, 4 W: 84 x 0.5/4 = 10.5 h, arithmetic.
    assert battery_hours(84, usable=0.5, load=4) == pytest.approx(10.5)


def test_a_battery_of_which_only_the_size_is_told_is_reckoned_with_a_small_air_pump() -> None:
    rig = described.rig(described.PLAIN + '[power.reserve]\nbattery = "90 Wh"\n')
    found = outage_answer(rig, 300.0, month=1)
    # 90 Wh x 80 % / 4 W.
    assert found.battery_hours == pytest.approx(18.0)
    assert found.battery_load == 4.0
    told = described.rig(described.PLAIN + '[power.reserve]\nbattery = "90 Wh"\nload = "12 W"\n')
    assert outage_answer(told, 300.0, month=1).battery_hours == pytest.approx(6.0)
