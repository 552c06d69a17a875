"""What comes down when the pump stops, against a case worked by hand."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.drain_back import drain_backs, paths
from brinebook.lifesupport.ranges import Range
from tests.lifesupport import described

FLOW = Range(2500.0, 2250.0, 2750.0)
#: Volumes are arithmetic on the dimensions; half a unit of the last digit that was worked out.
TENTH = 0.05


def test_the_worked_case_with_its_hole_clear_and_blocked() -> None:
    # 0.72 m2 of display; weir head 9.62 mm; box 0.036 m2 by 0.20 m is 7.2 L; pipes 0.86 L.
    found = drain_backs(described.plain(), FLOW)
    assert found is not None
    clear, blocked = found.cases
    assert 1000 * found.weir_head.value == pytest.approx(9.62, abs=0.005)
    assert found.box == pytest.approx(7.2)
    assert found.pipes == pytest.approx(0.86, abs=0.005)
    assert clear.litres.value == pytest.approx(18.9, abs=TENTH)
    assert blocked.litres.value == pytest.approx(51.3, abs=TENTH)
    assert found.room_to_mark == pytest.approx(38.4, abs=TENTH)
    assert clear.over_mark == 0.0
    assert blocked.over_mark == pytest.approx(12.9, abs=TENTH)
    assert blocked.over_rim == pytest.approx(6.5, abs=TENTH)
    assert found.highest_depth == pytest.approx(0.180, abs=5e-4)


def test_without_a_siphon_only_the_water_over_the_weir_comes_down() -> None:
    found = drain_backs(described.plain(**{'mouth = "60 mm"': 'mouth = "0 mm"',
                                           'hole = "15 mm"': ""}), FLOW)  # fmt: skip
    assert found is not None
    assert found.cases[0].litres.value == pytest.approx(15.0, abs=TENTH)
    assert found.cases[0].name == "to the mouths"


def test_what_comes_down_ends_up_in_the_sump_to_the_last_millilitre() -> None:
    rig = described.plain()
    found = drain_backs(rig, FLOW)
    assert found is not None
    for case in found.cases:
        kept = 1000 * 0.32 * (min(case.sump_depth, 0.36) - 0.22)
        assert kept + case.over_rim == pytest.approx(case.litres.value, rel=1e-9)
        fell = 1000 * 0.72 * case.display_falls + found.box + found.pipes
        assert fell == pytest.approx(case.litres.value, rel=1e-9)


def test_at_the_highest_running_depth_the_worst_case_just_fits() -> None:
    found = drain_backs(described.plain(), FLOW)
    assert found is not None
    assert found.highest_depth is not None
    lower = described.plain(**{'water = "0.22 m"': f'water = "{found.highest_depth:.9f} m"'})
    again = drain_backs(lower, FLOW)
    assert again is not None
    worst = max(again.cases, key=lambda case: case.litres.value)
    assert worst.over_mark == pytest.approx(0.0, abs=1e-4)
    assert worst.litres.value == pytest.approx(again.room_to_mark, abs=1e-4)


def test_a_check_valve_is_believed_to_leak_until_asked_otherwise() -> None:
    rig = described.plain(**{"loss = 4.66": 'loss = 4.66\ncheck_valve = "tight"'})
    leaking, holding = drain_backs(rig, FLOW), drain_backs(rig, FLOW, check_valves_hold=True)
    assert leaking is not None
    assert holding is not None
    assert max(case.litres.value for case in leaking.cases) == pytest.approx(51.3, abs=TENTH)
    # Only the weir, the box and the drain's own 0.39 L: 6.93 + 7.2 + 0.39.
    assert holding.cases[0].litres.value == pytest.approx(14.5, abs=TENTH)
    assert any("snail" in note for note in leaking.notes)


TWO_NOZZLES = """
[[plumbing.pipes]]
name = "second arm"
from = "return pump"
to = "display"
bore = "16 mm"
length = "1 m"

[[plumbing.nozzles]]
name = "deep nozzle"
pipe = "second arm"
mouth = "200 mm"
hole = "10 mm"
"""


def test_every_hole_is_tried_by_itself_and_all_together() -> None:
    rig = described.rig(described.PLAIN + TWO_NOZZLES)
    assert len(paths(rig)) == 1  # both arms hang on one pump, so air in one ends both
    found = drain_backs(rig, FLOW)
    assert found is not None
    falls = {case.name: case.display_falls for case in found.cases}
    assert falls["every hole clear"] == pytest.approx(0.010)
    assert falls["hole of deep nozzle blocked"] == pytest.approx(0.015)
    assert falls["hole of nozzle blocked"] == pytest.approx(0.010)
    assert falls["every hole blocked"] == pytest.approx(0.200)  # air at one mouth stops nothing


def test_a_sump_with_walls_fills_its_lowest_part_first() -> None:
    walls = """water = "0.22 m"
floor = "0.05 m"
sections = [
  { name = "skimmer", length = "0.50 m", water = "0.24 m", baffle = "0.235 m" },
  { name = "return", length = "0.30 m", water = "0.16 m", role = "return" },
]"""
    rig = described.plain(**{'water = "0.22 m"\nfloor = "0.05 m"': walls})
    found = drain_backs(rig, FLOW)
    assert found is not None
    clear = found.cases[0]
    # 18.86 L: the return section's 0.12 m2 takes 9.6 L up to 0.24 m, the rest spreads over 0.32 m2.
    assert clear.sump_depth == pytest.approx(0.24 + (18.86 - 9.6) / 320, abs=1e-4)
    # Free to 0.34 m: 20 L over the skimmer's part, so the return section has to hold 31.26.
    assert found.highest_depth == pytest.approx(0.34 - 31.26 / 120, abs=1e-3)


def test_no_mark_is_told_over_the_wall_that_makes_the_section() -> None:
    walls = """water = "0.22 m"
floor = "0.05 m"
sections = [
  { name = "skimmer", length = "0.50 m", water = "0.12 m", baffle = "0.115 m" },
  { name = "return", length = "0.30 m", water = "0.10 m", role = "return" },
]"""
    rig = described.plain(
        **{'water = "0.22 m"\nfloor = "0.05 m"': walls, 'mouth = "60 mm"': 'mouth = "20 mm"'}
    )
    found = drain_backs(rig, FLOW)
    assert found is not None
    # 22.5 L at the worst: free to 0.34 m are 44 L over the skimmer's part alone. But over 0.115 m
    # the return section would run back over its wall.
    assert max(case.litres.value for case in found.cases) == pytest.approx(22.5, abs=0.2)
    assert found.highest_depth == pytest.approx(0.115)
