"""Drills of heat, damp, power and outage on the worked reef."""

from __future__ import annotations

from functools import cache

import pytest

from brinebook.book.description import read_description
from brinebook.lifesupport.cautions import CAUTIONS
from brinebook.lifesupport.dark_drills import dark_drills
from brinebook.lifesupport.drill import Drill, Remedy, Within, best_remedies, ranked
from brinebook.lifesupport.heat_drills import heat_drills
from brinebook.rig import Rig

REEF = """
name = "reference"
net_volume = "300 L"
[[vessels]]
name = "display"
length = "1.2 m"
width = "0.6 m"
height = "0.55 m"
water = "0.5 m"
[[vessels]]
name = "sump"
length = "0.8 m"
width = "0.4 m"
height = "0.36 m"
water = "0.22 m"
[[pumps]]
name = "return"
power = "45 W"
[animals]
fish = "150 g"
others = "300 mg/h"
[heat]
loss = "13.3 W/K"
[[heat.heaters]]
name = "heater"
power = "500 W"
[heat.room]
temperature = "21 C"
humidity = "40 %"
"""
WALL = """
[[power.circuits]]
name = "wall"
volts = "120 V"
amps = "15 A"
[[power.loads]]
name = "room heater"
power = "1500 W"
power_factor = "100 %"
season = "winter"
"""
STAND = """
[heat.cabinet]
volume = "300 L"
temperature = "23 C"
coldest_wall = "18 C"
[[heat.fans]]
name = "out"
flow = "10 m3/h"
"""


def described(text: str) -> Rig:
    rig = read_description(text).system.rig
    assert rig is not None
    return rig


@cache
def drills(text: str = REEF, month: int = 1) -> dict[str, Drill]:
    rig = described(text)
    found = [*heat_drills(rig, 300.0, month=month), *dark_drills(rig, 300.0, month=month)]
    assert len({drill.id for drill in found}) == len(found)
    return {drill.id: drill for drill in found}


def figure(drill: Drill, name: str) -> float:
    return next(one.value for one in drill.figures if one.name == name)


def test_500_watts_stuck_on_end_at_the_worked_33_degrees() -> None:
    # Worked: 33.0 °C, 28 °C after 4.4 h; so 28.5 °C later than that.
    drill = drills()["heater-stuck-on/heater"]
    assert figure(drill, "ends_at") == pytest.approx(33.0, abs=0.1)
    assert drill.harm == 3
    assert drill.within is not None
    assert drill.within.middle is not None
    assert drill.within.middle > 4.4
    assert drill.within.short is not None
    assert drill.within.short < drill.within.middle


def test_half_the_heater_is_half_the_harm_or_less() -> None:
    drill = drills()["heater-stuck-on/heater"]
    halves = next(one for one in drill.remedies if one.text.startswith("two heaters"))
    assert halves.harm <= drill.harm
    cut = next(one for one in drill.remedies if "cuts it off" in one.text)
    assert cut.harm == 0


def test_under_a_lid_the_same_heater_is_worse() -> None:
    found = drills()
    bare, lidded = found["heater-stuck-on/heater"], found["heater-stuck-on-with-lid/heater"]
    assert figure(lidded, "ends_at") > figure(bare, "ends_at") + 5
    assert lidded.within is not None
    assert bare.within is not None
    assert lidded.within.short < bare.within.short  # type: ignore[operator]


def test_a_cold_heater_leaves_the_worked_temperature() -> None:
    # Worked: 17.4 °C with 45 W of pumps alone.
    drill = drills()["heater-stuck-off/heater"]
    assert figure(drill, "ends_at") == pytest.approx(17.4, abs=0.1)


def test_a_lid_saves_top_off_and_warms() -> None:
    drill = drills()["lid-added"]
    assert figure(drill, "evaporation") < 0.5 * figure(drill, "evaporation_before")
    assert figure(drill, "settles_at") > figure(drill, "settled_before")


def test_a_heat_wave_is_worse_with_a_heater_stuck_and_a_fan_helps() -> None:
    hot = REEF.replace(
        '"21 C"\nhumidity = "40 %"', '{ january = "18 C", july = "27 C" }\nhumidity = "45 %"'
    )
    found = drills(hot, month=7)
    wave, stuck = found["heat-wave"], found["heat-wave+heater-stuck-on/heater"]
    assert figure(stuck, "highest") > figure(wave, "highest")
    fan = next(one for one in wave.remedies if one.text.startswith("a fan"))
    assert fan.harm <= wave.harm
    assert wave.assumed != ()


def test_the_dark_house_leaves_hours_and_an_air_pump_buys_more() -> None:
    drill = drills()["house-dark"]
    assert drill.harm == 3
    assert {"animals_first", "engines_outdoors"} <= set(drill.cautions)
    assert drill.within is not None
    assert drill.within.short is not None
    pump = next(one for one in drill.remedies if "air pump" in one.text)
    assert pump.within is not None
    assert pump.within.short > drill.within.short  # type: ignore[operator]
    assert pump.harm < drill.harm


def test_a_cover_in_the_dark_takes_time_away() -> None:
    found = drills()
    open_top, covered = found["house-dark"], found["house-dark+lid"]
    assert covered.within is not None
    assert open_top.within is not None
    assert covered.within.middle < open_top.within.middle  # type: ignore[operator]


def test_whatever_goes_dark_is_told_by_the_hour_and_ends_at_its_figures() -> None:
    found = drills(REEF.replace('temperature = "21 C"',
                                'temperature = "21 C"\ncoldest = "15 C"') + WALL)  # fmt: skip
    house, spell = found["house-dark"], found["house-dark+cold-spell"]
    oxygen = {one.name: one for one in house.courses}["oxygen"]
    for drill in (spell, found["circuit-dark/wall"]):
        told = {one.name: one for one in drill.courses}
        assert told["oxygen"] == oxygen
        assert told["temperature"].points[-1].hour == 48.0
    end = {one.name: one for one in spell.courses}["temperature"].points[-1]
    assert end.value == pytest.approx(figure(spell, "temperature_after_48_h"))
    assert end.low <= end.value <= end.high


def test_a_room_heater_on_the_tanks_circuit_is_a_drill_of_its_own() -> None:
    found = drills(REEF + WALL)
    pair = found["circuit-dark+room-heater/wall"]
    assert pair.harm == 3
    moved = next(one for one in pair.remedies if "another circuit" in one.text)
    assert moved.harm == 0
    assert "circuit-dark/wall" in found


@pytest.mark.parametrize(
    ("trips_at", "danger"), [("0 mA", True), ("300 mA", True), ("30 mA", False), ("5 mA", False)]
)
def test_people_are_in_danger_where_nothing_trips_for_them(trips_at: str, danger: bool) -> None:
    # IEC 61008-1: additional protection of people trips at 30 mA or less; UL 943 class A at 5 mA.
    wall = WALL.replace('amps = "15 A"', f'amps = "15 A"\nprotection = "{trips_at}"')
    found = drills(REEF + wall)
    assert ("water-live/wall" in found) == danger
    if danger:
        assert ranked(found.values())[0].id == "water-live/wall"
        assert found["water-live/wall"].harm == 4
        assert found["water-live/wall"].remedies[0].harm == 1


def test_a_still_fan_lets_the_stand_drip() -> None:
    drill = drills(REEF + STAND)["fan-stops/out"]
    assert figure(drill, "humidity") == pytest.approx(100.0)
    assert drill.harm == 2
    assert "damp" in drill.cautions


def test_every_caution_that_a_drill_names_exists() -> None:
    for drill in drills(REEF + STAND + WALL).values():
        assert set(drill.cautions) <= set(CAUTIONS)


def test_the_worst_comes_first_and_then_the_most_urgent() -> None:
    def drill(name: str, harm: int, short: float | None) -> Drill:
        within = None if short is None else Within(short, None, None)
        return Drill(name, "x", (), "x", "x", harm, within)  # type: ignore[arg-type]

    found = ranked(
        [drill("c", 1, 0.1), drill("a", 3, 5.0), drill("b", 3, 2.0), drill("d", 3, None)]
    )
    assert [one.id for one in found] == ["b", "a", "d", "c"]


def test_the_best_remedy_takes_most_harm_away_and_the_cheaper_goes_first() -> None:
    dear, cheap = Remedy("dear", 2, 0, None), Remedy("cheap", 0, 0, None)
    useless = Remedy("useless", 0, 3, Within(1.0, None, None))
    later = Remedy("later", 1, 3, Within(4.0, None, None))
    drill = Drill("x", "x", (), "x", "x", 3, Within(1.0, None, None),
                  remedies=(useless, dear, later, cheap))  # fmt: skip
    assert [one.text for one in best_remedies(drill)] == ["cheap", "dear", "later"]
