"""Failures of what holds the water: each is there, in its own figures, and its remedy works."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.drill import Drill, ranked
from brinebook.lifesupport.ranges import Range
from brinebook.lifesupport.water_drills import water_drills
from brinebook.lifesupport.water_harm import harm_of_salinity, harm_on_floor
from brinebook.rig import Rig
from tests.lifesupport import described
from tests.lifesupport.test_loop import BRANCHED

EVAPORATION = Range(6.0, 4.0, 9.0)


def _drills(rig: Rig) -> dict[str, Drill]:
    return {one.id: one for one in water_drills(rig, 300.0, evaporation=EVAPORATION)}


def _figure(one: Drill, name: str) -> float:
    return next(figure.value for figure in one.figures if figure.name == name)


def test_every_single_failure_and_the_pairs_are_there() -> None:
    spare = (
        '\n[[plumbing.drains]]\nname = "spare"\nkind = "emergency"\nbore = "40 mm"\n'
        'length = "1 m"\nhead = "0.72 m"\n'
    )
    stream = '\n[[pumps]]\nname = "stream"\nrole = "stream"\nin = "display"\n'
    valve = BRANCHED.replace("loss = 4.66", 'loss = 4.66\ncheck_valve = "tight"')
    found = _drills(described.rig(valve + spare + stream))
    assert set(found) == {
        "pump-stops/return pump", "hole-blocked/hole of nozzle", "check-valve-leaks/upper riser",
        "top-off-stuck-on+pump-stops/return pump", "drain-blocked/main drain",
        "drain-blocked/spare", "drain-blocked/main drain+spare", "joint-bursts/tee",
        "joint-bursts/reactor", "pump-stops/stream", "top-off-stuck-on", "top-off-stuck-off",
    }  # fmt: skip


def test_a_blocked_hole_floods_as_worked_and_a_lower_mark_keeps_the_floor_dry() -> None:
    found = _drills(described.plain())["hole-blocked/hole of nozzle"]
    # Worked: 51.3 L come down, 6.5 L over the rim; at 0.180 m all of it fits.
    assert _figure(found, "comes_down") > 51.2
    assert found.harm == 3
    mark = next(one for one in found.remedies if one.text.startswith("mark the return section"))
    assert "18." in mark.text or "17." in mark.text
    assert mark.harm == 0
    assert mark.effort == 0


def test_no_reservoir_is_small_enough_where_the_return_section_alone_floods_the_display() -> None:
    rig = described.plain(**{'"25 L"': '"60 L"'})
    found = _drills(rig)["drain-blocked/main drain"]
    # 50.4 L of room and 54.4 L in the return section: no reservoir helps, a lower section may.
    assert found.harm == 3
    assert _figure(found, "over_rim") == pytest.approx(54.4 + 60 - 50.4)
    assert [one for one in found.remedies if one.text.startswith("a top-off reservoir")] == []


def test_a_stuck_top_off_ends_where_the_dilution_says_and_a_smaller_reservoir_helps() -> None:
    found = _drills(described.plain(**{'"25 L"': '"40 L"'}))["top-off-stuck-on"]
    assert _figure(found, "salinity") == pytest.approx(35 * 300 / 340)
    assert found.harm == 2
    smaller = next(one for one in found.remedies if one.text.startswith("a reservoir of"))
    assert smaller.harm == 1
    assert found.courses[0].points[0].value == 35.0


def test_a_top_off_that_ran_on_and_a_pump_that_stops_share_one_sump() -> None:
    found = _drills(described.plain())["top-off-stuck-on+pump-stops/return pump"]
    # 25 L and, at the worst, 51.3 L into 44.8 L of room.
    assert _figure(found, "over_rim") == pytest.approx(25 + 51.26 - 44.8, abs=0.05)
    assert found.harm == 3


def test_a_top_off_that_does_not_start_leaves_the_range_that_evaporation_leaves() -> None:
    found = _drills(described.plain())["top-off-stuck-off"]
    assert found.within is not None
    assert found.within.short == pytest.approx(54.4 / 9 * 24)
    assert found.within.middle == pytest.approx(54.4 / 6 * 24)
    assert found.within.long == pytest.approx(54.4 / 4 * 24)


def test_every_drill_has_a_caution_and_something_that_warns() -> None:
    for one in _drills(described.rig(BRANCHED)).values():
        assert one.cautions, one.id
        assert one.warns, one.id
        assert one.told.endswith("."), one.id


def test_the_worst_comes_first() -> None:
    harms = [one.harm for one in ranked(_drills(described.plain()).values())]
    assert harms == sorted(harms, reverse=True)


def test_the_scale_of_harm_is_the_one_that_the_page_tells() -> None:
    assert [harm_on_floor(litres) for litres in (0.0, 0.2, 5.0)] == [0, 1, 3]
    assert [harm_of_salinity(change) for change in (0.2, -1.0, -2.7, 9.0)] == [0, 1, 2, 3]
