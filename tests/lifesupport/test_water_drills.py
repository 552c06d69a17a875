"""Failures of what holds the water: each is there, in its own figures, and its remedy works."""

from __future__ import annotations

import pytest

from brinebook.lifesupport.drill import Drill, ranked
from brinebook.lifesupport.outage_answer import outage_answer
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
    # With the hole clear 18.9 L come down: 25 + 18.9 fit into 44.8.
    assert "with every hole clear it would be 0 L" in found.told
    by_text = {one.text: one for one in found.remedies}
    stopped = by_text["a second float above the first, that only ever stops it"]
    assert "6 L over the rim by the pump alone" in stopped.told  # 51.26 - 44.8
    # Mouths 2 cm deep: 0.72 m2 x 2 cm and 8.1 L of box and pipes are 22.5 L; 25 more are 2.7 over.
    higher = by_text["put the nozzles' mouths 2 cm under the surface"]
    assert higher.told == "3 L over the rim"


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


def test_of_two_return_pumps_each_stops_alone_and_water_comes_down_when_both_do() -> None:
    second = (
        '\n[[pumps]]\nname = "second"\nin = "sump"\nshut_off_head = "3.5 m"\n'
        'free_flow = "4000 L/h"\n[[plumbing.pipes]]\nname = "second riser"\nfrom = "second"\n'
        'to = "display"\nbore = "20.96 mm"\nlength = "1.35 m"\nloss = 4.66\n'
    )
    found = _drills(described.rig(described.PLAIN + second))
    alone = found["pump-stops/second"]
    assert alone.harm == 1
    # The other meets the same head as ever, since their ways up are apart.
    left = next(figure for figure in alone.figures if figure.name == "still_comes_up")
    assert left.value == pytest.approx(_figure(found["drain-blocked/main drain"], "comes_up") / 2)
    assert "hole of nozzle" in found["hole-blocked/hole of nozzle"].title
    assert found["pump-stops/return pump+second"].title == "return pump and second stop"


def test_where_nothing_else_moves_the_display_a_stopped_pump_is_a_matter_of_oxygen() -> None:
    found = _drills(described.plain())["display-still/return pump"]
    dark = outage_answer(described.plain(), 300.0, month=1).oxygen[0]
    assert found.within is not None
    assert found.within.short == dark.until_act.short
    assert found.harm == 3
    stream = '\n[[pumps]]\nname = "stream"\nrole = "stream"\nin = "display"\n'
    assert "display-still/return pump" not in _drills(described.rig(described.PLAIN + stream))


def test_a_way_back_that_ends_deep_is_named_and_a_hole_in_it_is_reckoned() -> None:
    deep = described.plain(**{'[[plumbing.nozzles]]\nname = "nozzle"\npipe = "riser"\n'
                              'mouth = "60 mm"\nhole = "15 mm"\n': "",
                              "loss = 4.66": 'loss = 4.66\nmouth = "20 cm"'})  # fmt: skip
    found = _drills(deep)["pump-stops/return pump"]
    # 0.72 m2 fall by 20 cm and the box and the pipes come with it, into 44.8 L of room.
    assert _figure(found, "over_rim") == pytest.approx(144 + 7.2 + 0.86 - 44.8, abs=0.1)
    texts = [one.text for one in found.remedies]
    assert "put the end of riser 2 cm under the surface" in texts
    hole = next(one for one in found.remedies if one.text.startswith("drill a siphon-break hole"))
    assert "riser" in hole.text
    assert hole.harm == 0
    assert hole.told.startswith("19 L")


def test_a_joint_under_the_rooms_pressure_draws_air_and_floods_only_when_its_outlet_clogs() -> None:
    text = BRANCHED.replace('opening = "60 %"', 'opening = "12 %"')
    found = _drills(described.rig(text)).get("joint-bursts/reactor")
    assert found is not None
    assert found.harm == 1
    assert "air goes in" in found.told


def test_a_valve_behind_a_weak_joint_is_moved_before_it_and_the_pressure_reckoned() -> None:
    valve = 'valve = { kind = "gate", opening = "60 %" }\n'
    text = BRANCHED.replace(valve, "").replace("loss = 1.0\n", f"loss = 1.0\n{valve}")
    behind = described.rig(text.replace('"60 %"', '"15 %"'))
    found = _drills(behind)["joint-bursts/reactor"]
    assert "kPa stand on it as it runs" in found.told
    moved = next(one for one in found.remedies if "before it, not behind it" in one.text)
    assert moved.harm == 1


def test_a_tank_by_itself_has_its_top_off_and_its_only_pump_drilled() -> None:
    alone = described.rig(
        '[[vessels]]\nname = "tank"\nlength = "80 cm"\nwidth = "40 cm"\nheight = "45 cm"\n'
        'water = "42 cm"\n[[pumps]]\nname = "filter"\nrole = "recirculation"\nin = "tank"\n'
        'flow = "900 L/h"\n[plumbing.top_off]\nreservoir = "12 L"\n'
    )
    found = {one.id: one for one in water_drills(alone, 134.4, evaporation=Range(3.0, 2.0, 4.0))}
    assert set(found) == {"pump-stops/filter", "top-off-stuck-on", "top-off-stuck-off"}
    assert found["pump-stops/filter"].harm == 3
    # 3 cm of rim over 0.32 m2 take 9.6 L of the 12.
    assert _figure(found["top-off-stuck-on"], "over_rim") == pytest.approx(12 - 9.6)
    # 37 PSU once 134.4 (1 - 35/37) = 7.265 L are gone: 2.27 cm of 0.32 m2.
    assert found["top-off-stuck-off"].within is not None
    assert found["top-off-stuck-off"].within.middle == pytest.approx(24 * 7.2649 / 3, rel=1e-4)
    assert _figure(found["top-off-stuck-off"], "lower") == pytest.approx(2.27, abs=0.01)


def test_a_pump_in_a_section_of_the_tank_runs_dry_there_and_floods_from_there() -> None:
    inside = described.rig(
        '[[vessels]]\nname = "nano"\nrole = "display"\nlength = "35 cm"\nwidth = "30 cm"\n'
        'height = "36 cm"\nwater = "32 cm"\n[[vessels.sections]]\nname = "front"\n'
        'length = "27 cm"\n'
        'baffle = "31 cm"\n[[vessels.sections]]\nname = "chamber"\nrole = "return"\n'
        'length = "8 cm"\nwater = "26 cm"\n[[pumps]]\nname = "pump"\nin = "nano/chamber"\n'
        'flow = "400 L/h"\n[plumbing.top_off]\nreservoir = "3 L"\n'
    )
    found = {one.id: one for one in water_drills(inside, 32.0, evaporation=Range(0.6, 0.4, 0.8))}
    assert set(found) == {
        "pump-stops/pump", "way-blocked/nano/chamber", "top-off-stuck-on", "top-off-stuck-off"
    }  # fmt: skip
    # By hand: 8 x 30 cm from 26 down to 5 cm are 5.04 L, which 0.6 L a day take 8.4 days to leave.
    dry = found["top-off-stuck-off"].within
    assert dry is not None
    assert dry.middle == pytest.approx(24 * 5.04 / 0.6)
    # 27 x 30 cm take 3.24 L up to the rim; the section's 5.04 and the top-off's 3 come up.
    assert _figure(found["way-blocked/nano/chamber"], "over_rim") == pytest.approx(5.04 + 3 - 3.24)
    # Room for what is left of it would be 1 cm over the intake: no depth to run at.
    assert not any(
        "run the return" in one.text for one in found["way-blocked/nano/chamber"].remedies
    )
    wanting = {one.where for one in inside.missing}
    assert not wanting & {"vessels (role = sump)", "plumbing.drains", "plumbing.weirs"}


def test_a_return_pump_whose_sump_is_not_described_is_drilled_all_the_same() -> None:
    alone = described.rig(
        '[[vessels]]\nname = "tank"\nlength = "80 cm"\nwidth = "40 cm"\nheight = "45 cm"\n'
        'water = "42 cm"\n[[pumps]]\nname = "up"\nflow = "900 L/h"\n'
    )
    assert "pump-stops/up" in {one.id for one in water_drills(alone, 134.4)}


def test_a_drain_whose_fellow_only_likely_carries_the_flow_says_what_the_worst_would_do() -> None:
    spare = '[[plumbing.drains]]\nname = "spare"\nbore = "30 mm"\nlength = "1 m"\nhead = "0.70 m"\n'
    text = described.PLAIN.replace("loss = 4.66", "loss = 30")
    blocked = _drills(described.rig(f"{text}\n{spare}"))["drain-blocked/main drain"]
    assert _figure(blocked, "others_carry") > _figure(blocked, "comes_up")
    assert blocked.harm == 3
    assert "goes on. If they carry the least of that" in blocked.told
