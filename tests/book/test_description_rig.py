"""The rig in system.toml: canonical units, every default marked, everything missing named."""

from __future__ import annotations

from pathlib import Path

import pytest

from brinebook.book.description import DescriptionWrong, read_description
from brinebook.rig import Rig
from scripts import rig_keys
from tests.lifesupport import described

PAGE = Path(__file__).parents[2] / "docs" / "rig.md"


def _example() -> str:
    return PAGE.read_text(encoding="utf-8").partition("```toml\n")[2].partition("```")[0]


def _rig(text: str) -> Rig:
    described = read_description(f'name = "x"\n{text}')
    assert described.system.rig is not None
    return described.system.rig


def _faults(text: str) -> dict[str, str]:
    with pytest.raises(DescriptionWrong) as caught:
        read_description(f'name = "x"\n{text}')
    return {fault.where: fault.reason for fault in caught.value.faults}


def test_the_example_of_the_page_is_read_in_canonical_units() -> None:
    described = read_description(_example())
    rig = described.system.rig
    assert rig is not None
    assert described.warnings == ()
    display, sump = rig.vessels
    assert (display.length, display.width, display.water) == pytest.approx((1.2, 0.6, 0.51))
    assert [section.role for section in sump.sections] == ["skimmer", "return"]
    assert rig.pumps[0].free_flow == 4000.0
    assert rig.pipes[0].fittings == {"elbow_90": 4, "exit": 1}
    assert rig.drains[0].bore == pytest.approx(0.0409)
    assert rig.weirs[0].open_share == 0.6
    assert rig.heaters[0].power == 300.0
    assert rig.circuits[0].protection == 30.0


def test_the_lift_gives_the_display_its_height() -> None:
    rig = read_description(_example()).system.rig
    assert rig is not None
    display, sump = rig.vessels
    assert display.water is not None
    assert display.floor + display.water - (sump.floor + 0.18) == pytest.approx(1.35)


def test_a_room_between_january_and_july_swings_once_a_year() -> None:
    room = _rig('[heat.room]\ntemperature = { january = "16 C", july = "28 C" }').room
    assert room is not None
    assert room.temperature[0] == pytest.approx(16)
    assert room.temperature[6] == pytest.approx(28)
    assert room.temperature[3] == pytest.approx(22)


def test_every_default_is_marked_as_assumed_and_a_given_value_is_not() -> None:
    rig = _rig('[[heat.heaters]]\nname = "h"\npower = "300 W"')
    assert rig.origin("heat.heaters[h].power") == "given"
    assert rig.origin("heat.heaters[h].power_factor") == "assumed"
    assert rig.assumed["heat.heaters[h].power_factor"].value == "100 %"


def test_what_is_missing_is_named_the_most_valuable_first() -> None:
    rig = _rig('[[vessels]]\nname = "display"\nlength = "1 m"\nwidth = "50 cm"\nheight = "50 cm"')
    places = [one.where for one in rig.missing]
    assert places[0] == "vessels (role = sump)"
    assert "vessels[display].water" in places
    worths = [one.worth for one in rig.missing]
    assert worths == sorted(worths, reverse=True)


def test_a_drain_without_its_bore_does_not_count_and_is_named() -> None:
    rig = _rig('[[plumbing.drains]]\nname = "d"\nlength = "1 m"')
    assert rig.drains == ()
    assert rig.origin("plumbing.drains[d].bore") == "missing"


def test_all_faults_come_at_once_each_with_its_key() -> None:
    faults = _faults(
        """
[[vessels]]
name = "a"
length = "120"
width = 60
height = "50 cm"
role = "dispaly"
[[pumps]]
name = "p"
in = "sumpp"
curve = [["0 L/h", "1 m"], ["100 L/h", "2 m"]]
[[plumbing.pipes]]
name = "riser"
from = "p"
to = "nowhere"
bore = "20 kg"
length = "1 m"
fittings = { elbow_91 = 2 }
"""
    )
    assert set(faults) == {
        "vessels[a].length", "vessels[a].width", "vessels[a].role", "pumps[p].in", "pumps[p].curve",
        "plumbing.pipes[riser].bore", "plumbing.pipes[riser].fittings.elbow_91",
    }  # fmt: skip
    assert "Did you mean display?" in faults["vessels[a].role"]
    assert "Did you mean elbow_90?" in faults["plumbing.pipes[riser].fittings.elbow_91"]


def test_a_room_whose_july_is_missing_is_a_fault_and_nothing_worse() -> None:
    faults = _faults('[heat.room]\ntemperature = { january = "18 C" }')
    assert list(faults) == ["heat.room.temperature"]


def test_a_vessel_without_any_length_is_refused() -> None:
    faults = _faults('[[vessels]]\nname = "a"\nlength = "0 m"\nwidth = "1 m"\nheight = "1 m"')
    assert list(faults) == ["vessels[a].length"]


def test_a_misspelt_key_is_remarked_with_the_nearest() -> None:
    described = read_description('name = "x"\n[plumbing]\nlfit = "1 m"')
    assert described.warnings == (
        "[plumbing] 'lfit' is not a key with a meaning here; it is kept. Did you mean lift?",
    )


def test_a_system_without_a_rig_has_none_and_one_with_vessels_has_their_volume() -> None:
    assert read_description('name = "x"').system.rig is None
    described = read_description(
        'name = "x"\n[[vessels]]\nname = "d"\nlength = "1 m"\nwidth = "50 cm"\nheight = "50 cm"\n'
        'water = "40 cm"\ndisplaced = "20 L"'
    )
    volume = described.system.net_volume
    assert volume is not None
    # 1.0 x 0.5 x 0.4 m is 200 L, less the 20 L that rock takes.
    assert volume.value == pytest.approx(180)


def test_the_page_lists_every_key_as_the_program_has_it() -> None:
    page = PAGE.read_text(encoding="utf-8")
    made = page.partition(rig_keys.START)[2].partition(rig_keys.END)[0]
    assert made.strip() == rig_keys.tables().strip()


SLIPS = """
[heat]
temperature = "25 C"
[[heat.heaters]]
name = "h"
power = "100 W"
cut_out = "24 C"
[[vessels]]
name = "display"
length = "1 m"
width = "50 cm"
height = "40 cm"
water = "50 cm"
[[vessels]]
name = "sump"
length = "60 cm"
width = "40 cm"
height = "40 cm"
water = "20 cm"
displaced = "90 L"
[[vessels.sections]]
name = "in"
length = "50 cm"
baffle = "45 cm"
[[vessels.sections]]
name = "return"
length = "20 cm"
water = "42 cm"
[[pumps]]
name = "p"
in = "sump/return"
[[plumbing.pipes]]
name = "riser"
from = "p"
to = "display"
bore = "20 mm"
length = "1 m"
[[plumbing.nozzles]]
name = "n"
pipe = "riser"
mouth = "6 m"
hole = "7 m"
[[plumbing.weirs]]
name = "w"
length = "4 m"
crest = "48 cm"
"""


def test_what_cannot_stand_as_described_is_a_fault_with_its_reason() -> None:
    faults = _faults(SLIPS)
    assert set(faults) == {
        "heat.heaters[h].cut_out", "vessels[display].water", "vessels[sump].length",
        "vessels[sump].displaced", "vessels[sump].sections[in].baffle",
        "vessels[sump].sections[return].water", "plumbing.nozzles[n].mouth",
        "plumbing.nozzles[n].hole", "plumbing.weirs[w].length", "plumbing.weirs[w].crest",
    }  # fmt: skip
    assert "50 cm of water don't fit under a rim of 40 cm" in faults["vessels[display].water"]


def test_a_room_and_animals_that_nobody_described_are_reckoned_with_and_said() -> None:
    rig = _rig('[[heat.heaters]]\nname = "h"\npower = "300 W"')
    assert rig.assumed["heat.room.temperature"].value == "january 20 C, july 24 C"
    assert rig.assumed["heat.room.humidity"].value == "january 40 %, july 55 %"
    assert rig.assumed["animals.others"].value == "1 mg/h for each litre"
    told = _rig('[heat.room]\ntemperature = "20 C"\n[animals]\nfish = "10 g"\nothers = "300 mg/h"')
    assert told.origin("heat.room.temperature") == "given"
    assert told.origin("animals.others") == "given"


def test_one_vessel_by_itself_is_asked_for_a_sump_once_and_not_for_its_pipes() -> None:
    alone = '[[vessels]]\nname = "d"\nlength = "1 m"\nwidth = "50 cm"\nheight = "50 cm"\n'
    places = {one.where for one in _rig(alone).missing}
    assert "vessels (role = sump)" in places
    assert not {"plumbing.pipes", "plumbing.drains", "plumbing.weirs", "pumps"} & places
    sump = alone + '[[vessels]]\nname = "s"\nlength = "1 m"\nwidth = "50 cm"\nheight = "50 cm"\n'
    both = {one.where for one in _rig(sump).missing}
    assert {"plumbing.pipes", "plumbing.drains", "plumbing.weirs", "pumps"} <= both


def test_with_two_circuits_what_hangs_on_no_socket_is_missing() -> None:
    text = '[[heat.heaters]]\nname = "h"\npower = "300 W"\n'
    one = '[[power.circuits]]\nname = "a"\nvolts = "230 V"\namps = "16 A"\n'
    assert "heat.heaters[h].socket" not in {m.where for m in _rig(text + one).missing}
    two = one + one.replace('"a"', '"b"')
    assert "heat.heaters[h].socket" in {m.where for m in _rig(text + two).missing}


def _told(text: str) -> list[str]:
    with pytest.raises(DescriptionWrong) as caught:
        read_description(f'name = "x"\n{text}')
    return [f"{one.where}: {one.reason}" for one in caught.value.faults]


def test_a_part_that_lacks_a_figure_is_missing_and_no_fault_of_what_names_it() -> None:
    rig = described.plain(**{'height = "0.50 m"\n': "", 'bore = "20.96 mm"\n': ""})
    missing = [one.where for one in rig.missing]
    assert missing[:2] == ["vessels[display].height", "plumbing.pipes[riser].bore"]
    assert rig.vessel("display") is None
    assert rig.litres is None  # its water isn't left out of the volume in silence


def test_a_part_with_a_fault_is_told_once_and_not_again_by_what_names_it() -> None:
    assert _told(described.PLAIN.replace('length = "1.20 m"', 'length = "1.20 L"', 1)) == [
        'vessels[display].length: "L" is not a unit that length is read in. '
        "Use m, mm, cm, in or ft."
    ]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('power = "45 W"', 'power = "-45 W"', "'-45 W' is not between 0 W and 100000 W here"),
        ('flow = "60 L/h"', 'flow = "0 L/h"', "not between 0.01 L/h"),
        ('free_flow = "4000 L/h"', 'free_flow = "0 L/h"', "not between 0.1 L/h"),
        ('length = "0.40 m"', 'length = "0 m"', "not between 0.001 m"),
        ('to = "display"\n', 'to = "return pump"\n', "it ends where it begins"),
        (
            'shut_off_head = "3.5 m"\nfree_flow = "4000 L/h"',
            'curve = [["0 L/h", "1 m"]]',
            "one point is no curve",
        ),
    ],
)
def test_what_can_not_be_is_refused_with_its_range_and_unit(old: str, new: str, told: str) -> None:
    assert old in described.PLAIN
    assert any(told in one for one in _told(described.PLAIN.replace(old, new, 1)))


def test_a_device_that_nothing_feeds_is_named() -> None:
    rig = described.rig(f'{described.PLAIN}\n[[plumbing.devices]]\nname = "reactor"\n')
    assert "plumbing.pipes (to = reactor)" in {one.where for one in rig.missing}


def test_a_part_that_was_begun_is_wanted_as_much_as_before_it_was() -> None:
    without = described.PLAIN.replace("[[plumbing.drains]]", "[[unread]]", 1).partition("[[unread")[
        0
    ]
    begun = without.replace('length = "1.35 m"\n', "")
    missing = [one.where for one in described.rig(begun).missing]
    assert missing[:2] == ["plumbing.pipes[riser].length", "plumbing.drains"]
