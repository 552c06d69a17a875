"""From the described rig to heat, damp, power, outage and floor: worked cases, end to end."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from brinebook.book.description import read_description
from brinebook.lifesupport.damp_answer import damp_answer
from brinebook.lifesupport.floor_answer import floor_answer
from brinebook.lifesupport.heat_answer import heat_answer
from brinebook.lifesupport.heat_model import bodies_of, factors_of, months_of
from brinebook.lifesupport.outage_answer import outage_answer
from brinebook.lifesupport.power_answer import PowerAnswer, power_answer
from brinebook.rig import Rig

#: The reference system of the worked examples: 300 L, 1.20 x 0.60 m of display, 0.80 x 0.40 m of
#: sump, 45 W of pumps, 13.3 W/K of walls, a room of 21 °C and 40 %.
REFERENCE = """
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
[heat]
loss = "13.3 W/K"
[[heat.heaters]]
name = "heater"
power = "300 W"
[heat.room]
temperature = "21 C"
humidity = "40 %"
volume = "150 m3"
"""
CABINET = """
[heat.cabinet]
volume = "300 L"
temperature = "23 C"
coldest_wall = "18 C"
[[heat.fans]]
name = "out"
flow = "40 m3/h"
on = "900 s"
off = "6300 s"
"""


def described(text: str) -> Rig:
    rig = read_description(text).system.rig
    assert rig is not None
    return rig


def test_the_described_reef_needs_the_worked_heat() -> None:
    # Worked: 216 W = 53 glass + 208 evaporation - 45 pumps; 27.6 °C with 300 W stuck on.
    answer = heat_answer(described(REFERENCE), 300.0, month=1)
    assert answer.now.needed.value == pytest.approx(216, rel=0.01)
    assert answer.now.losses["evaporation"].value == pytest.approx(208, rel=0.01)
    stuck_on, lidded = answer.stuck[:2]
    assert stuck_on.ends_at.value == pytest.approx(27.6, abs=0.1)
    assert lidded.lid
    assert lidded.ends_at.value > stuck_on.ends_at.value + 5
    stuck_off = answer.stuck[-1]
    assert stuck_off.ends_at.value == pytest.approx(17.4, abs=0.1)


def test_the_range_of_the_heat_holds_what_still_pools_did() -> None:
    # Smith, Löf & Jones 1998: still pools lose 74 % of the formula: 53 + 0.74 x 208 - 45 = 162 W.
    needed = heat_answer(described(REFERENCE), 300.0, month=1).now.needed
    assert needed.low < 162 < needed.value < needed.high


def test_one_big_heater_cooks_and_two_small_ones_do_not() -> None:
    one, two, three = heat_answer(described(REFERENCE), 300.0, month=1).arrangements
    assert one.stuck_on_ends_at.value == pytest.approx(27.6, abs=0.1)
    # Worked: 150 W by itself lets the same reef fall to 22.8 °C; the other one holds the setting.
    assert two.stuck_on_ends_at.value == pytest.approx(25.0, abs=0.1)
    small = described(REFERENCE.replace('"300 W"', '"150 W"'))
    alone = heat_answer(small, 300.0, month=1).stuck[0]
    assert alone.ends_at.value == pytest.approx(22.8, abs=0.1)
    assert three.stuck_off_ends_at.value > two.stuck_off_ends_at.value > one.stuck_off_ends_at.value


def test_the_keepers_own_litres_narrow_the_range() -> None:
    guessed = heat_answer(described(REFERENCE), 300.0, month=1).now
    told = described(REFERENCE.replace("[heat]\n", '[heat]\nevaporation = "5 L/day"\n'))
    measured = heat_answer(told, 300.0, month=1).now
    assert measured.litres_a_day.value == pytest.approx(5.0)
    assert measured.litres_a_day.high - measured.litres_a_day.low < 0.25 * (
        guessed.litres_a_day.high - guessed.litres_a_day.low
    )


@pytest.mark.parametrize("stand", ["", CABINET])
@pytest.mark.parametrize("litres", [1.5, 4.0, 9.0])
def test_the_keepers_own_litres_come_back_with_and_without_a_closed_stand(
    stand: str, litres: float
) -> None:
    text = REFERENCE.replace("[heat]\n", f'[heat]\nevaporation = "{litres} L/day"\n') + stand
    answer = heat_answer(described(text), 300.0, month=1)
    assert answer.now.litres_a_day.value == pytest.approx(litres, rel=1e-6)


def test_litres_that_no_air_could_take_are_not_believed() -> None:
    text = REFERENCE.replace("[heat]\n", '[heat]\nevaporation = "900 L/day"\n')
    assert heat_answer(described(text), 300.0, month=1).now.litres_a_day.value < 20


def test_a_year_of_electricity_is_the_sum_of_its_parts() -> None:
    # The return pump at 45 W: 45 x 24 x 365.25/1000 = 394.5 kWh, arithmetic.
    uses = heat_answer(described(REFERENCE), 300.0, month=1).electricity
    assert sum(use.by_part["return"] for use in uses) == pytest.approx(394.47, abs=0.01)
    heaters = sum(use.by_part["heaters"] for use in uses)
    assert heaters == pytest.approx(216 * 24 * 365.25 / 1000, rel=0.01)


def test_the_stand_is_as_wet_as_worked_out() -> None:
    # Worked in a room of 45 %: 93 % and saturated 81 % of the time by the timer; 75 % takes
    # 5.65 m3/h, a wall of 18 °C 6.2; 3 and 2 %.
    text = REFERENCE.replace('"40 %"', '"45 %"') + CABINET
    (stand,) = damp_answer(described(text), 300.0, month=1).stands
    (fan,) = stand.fans
    assert fan.mean.value == pytest.approx(0.93, rel=0.03)
    assert fan.saturated.value == pytest.approx(0.81, abs=0.03)
    humidity, wall = stand.least
    assert humidity.flow is not None
    assert wall.flow is not None
    assert humidity.flow.value == pytest.approx(5650, rel=0.02)
    assert wall.flow.value == pytest.approx(6200, rel=0.02)
    assert stand.drips


def test_in_a_muggy_room_the_answer_is_that_no_fan_can() -> None:
    text = REFERENCE.replace('"40 %"', '"85 %"').replace('"21 C"', '"24 C"') + CABINET
    (stand,) = damp_answer(described(text), 300.0, month=7).stands
    assert stand.least[0].flow is None


def test_a_sump_in_a_closed_stand_dries_and_cools_less() -> None:
    # Water that evaporates into air that it has filled itself loses less: the balance of the stand
    # feeds back on the heat.
    rig, closed = described(REFERENCE), described(REFERENCE + CABINET)
    air = months_of(rig)[0]
    open_air = bodies_of(rig, 300.0, factors=factors_of(rig, air=air)).middle
    in_stand = bodies_of(closed, 300.0, factors=factors_of(closed, air=air)).middle
    assert in_stand.enclosed[0].air(25.0, air).humidity > 0.6
    assert open_air.surfaces[1].area == in_stand.enclosed[0].surface.area


def test_what_the_tank_adds_to_the_flat_is_the_balance_of_its_vapour() -> None:
    # 7.35 L/d = 0.306 kg/h into 150 m3 at 0.5 changes an hour and 1.193 kg of dry air a m3:
    # 0.00342 kg/kg, 548 Pa, 22 points of 2487 Pa at 21 °C (arithmetic); 2 %.
    (flat,) = damp_answer(described(REFERENCE), 300.0, month=1).flats
    assert flat.from_tank.value == pytest.approx(0.22, rel=0.02)
    assert flat.without.value == pytest.approx(0.40 - 0.22, abs=0.005)


def powered(volts: str = "120 V", amps: str = "15 A", more: str = "") -> PowerAnswer:
    circuit = f'[[power.circuits]]\nname = "wall"\nvolts = "{volts}"\namps = "{amps}"\n{more}'
    heater = (
        '[[power.loads]]\nname = "room heater"\npower = "1500 W"\n'
        'power_factor = "100 %"\nseason = "winter"\n'
    )
    return power_answer(described(f"{REFERENCE}\n[power]\n{circuit}\n{heater}"))


def test_loads_without_a_socket_hang_on_the_only_circuit_and_that_is_said() -> None:
    answer = powered()
    assert answer.assumed_on == "wall"
    (held,) = answer.circuits
    # 300 W at a power factor of 1, 45 W at 0.6: 345 W, 375 VA; with 1500 W more 15.4 A at least.
    assert held.all_year.drawn.least == pytest.approx(345 / 120)
    assert held.all_year.drawn.most == pytest.approx(375 / 120)
    assert held.worst_season == "winter"
    assert held.worst.drawn.least == pytest.approx(1845 / 120)
    assert held.worst.trips == "yes"


def test_protection_and_its_test_are_asked_for() -> None:
    kinds = {found.kind for found in powered().findings}
    assert {"protection unknown", "trips", "heater of the room beside it"} <= kinds
    protected = powered(more='protection = "30 mA"\ntested = "45 days"\n')
    assert {"test due"} <= {found.kind for found in protected.findings}
    bare = powered(more='protection = "0 mA"\n')
    assert "unprotected" in {found.kind for found in bare.findings}


def test_in_the_dark_the_worked_hours_stand_among_the_cases() -> None:
    # Worked for all 300 L without air: 2.2 h to 4 mg/L and 3.9 h to 2; 1 % of 2.162 and 3.940.
    rig = described(f'{REFERENCE}\n[animals]\nfish = "150 g"\nothers = "300 mg/h"\n')
    answer = outage_answer(rig, 300.0, month=1)
    cases = {case.case: case for case in answer.oxygen}
    whole = cases["all the water, no air"]
    assert whole.until_act.middle == pytest.approx(2.162, rel=0.01)
    assert whole.until_grave.middle == pytest.approx(3.940, rel=0.01)
    assert answer.first == "oxygen"
    nothing, pumped = cases["nothing done"], cases["air pump"]
    assert nothing.until_act.short is not None
    assert pumped.until_act.short is not None
    assert pumped.until_act.short > nothing.until_act.short
    assert cases["covered tight"].until_act.short < nothing.until_act.short  # type: ignore[operator]


def test_a_display_alone_cools_by_its_own_share_of_the_loss() -> None:
    rig = described(REFERENCE)
    answer = outage_answer(rig, 300.0, month=1)
    this_month, covered = answer.warmth[:2]
    assert this_month.by_hour[0].value == 25.0
    assert covered.by_hour[12].value > this_month.by_hour[12].value + 1
    assert this_month.by_hour[24].low >= 15.0


def test_the_described_masses_make_the_worked_load() -> None:
    # Worked: 325 L, rock 40, sand 20, glass 86, stand 60, sump 18, gear 25 kg: 7.93 kPa.
    rig = described(
        f'{REFERENCE}\n[floor]\nrock = "40 kg"\nsand = "20 kg"\nglass = "104 kg"\nlegs = 4\n'
    )
    answer = floor_answer(rig, 325.0, litres_sd=0.0)
    assert answer is not None
    assert answer.load.mass == pytest.approx(582, rel=0.01)
    assert answer.load.pressure == pytest.approx(7.93, rel=0.01)
    assert answer.low.mass < answer.load.mass < answer.high.mass


def test_a_full_can_of_top_off_and_full_bottles_stand_on_the_floor_too() -> None:
    rig = described(f'{REFERENCE}\n[plumbing.top_off]\nreservoir = "25 L"\n')
    without = floor_answer(replace(rig, top_off=None), 300.0, litres_sd=0.0)
    full = floor_answer(rig, 300.0, litres_sd=0.0)
    assert full is not None
    assert without is not None
    assert full.load.mass - without.load.mass == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("asked", "instead"),
    [
        ('water = "0.5 m"', 'water = "0 m"'),
        ('loss = "13.3 W/K"', 'loss = "0 W/K"'),
        ('power = "300 W"', 'power = "5000 W"'),
        ('net_volume = "300 L"', 'net_volume = "1 L"'),
        ('humidity = "40 %"', 'humidity = "100 %"'),
        ('humidity = "40 %"', 'humidity = "0 %"'),
        ('temperature = "21 C"', 'temperature = "-5 C"'),
        ('flow = "40 m3/h"', 'flow = "0 L/h"'),
        ('on = "900 s"', 'on = "0 s"'),
    ],
)
def test_odd_descriptions_are_answered_with_finite_figures(asked: str, instead: str) -> None:
    text = (REFERENCE + CABINET).replace(asked, instead, 1)
    described_system = read_description(text).system
    rig, volume = described_system.rig, described_system.net_volume
    assert rig is not None
    assert volume is not None
    heat = heat_answer(rig, volume.value, month=1)
    assert all(
        math.isfinite(one.ends_at.low) and math.isfinite(one.ends_at.high) for one in heat.stuck
    )
    assert heat.hours_to_cool is None or math.isfinite(heat.hours_to_cool.high)
    for stand in damp_answer(rig, volume.value, month=1).stands:
        assert 0.0 <= stand.fans_off.humidity <= 1.0 + 1e-12
    assert all(
        math.isfinite(at.value)
        for at in outage_answer(rig, volume.value, month=1).warmth[0].by_hour
    )
    assert floor_answer(rig, volume.value, litres_sd=0.0) is not None
