"""What the balance makes of seasons whose truth is known."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from brinebook.balance.answer import Answer, answer
from brinebook.measure import Measure
from brinebook.system import Additive, Method, Mix, System
from brinebook.timeline import Fact

START = datetime(2025, 1, 1, 9, tzinfo=UTC)
DROPS = Method("drops", "alkalinity", resolution=0.02, repeatability=0.05, trueness=0.02)
REEF = System(
    name="a reef",
    net_volume=Measure(300.0, 15.0, "L"),
    bands={"alkalinity": (2.6, 3.2)},
    additives=(Additive("carbonate", salt="NaHCO3", grams_per_litre=80.0),),
    mixes=(Mix("salt", composition={"alkalinity": 2.9, "calcium": 420.0}),),
    methods=(DROPS,),
)


def fact(day: float, kind: str, what: str, value: str = "", unit: str = "", **detail: str) -> Fact:
    when = START + timedelta(days=day)
    return Fact(f"{kind}{what}{day}{value}", when, kind, what, value, unit, detail)


def alkalinity_tests(levels: list[tuple[float, float]]) -> list[Fact]:
    return [
        fact(day, "test", "alkalinity", f"{level:.4f}", "meq/L", method="drops")
        for day, level in levels
    ]


def steady(days: int, *, seed: int = 1, use: float = 0.0, level: float = 2.9) -> list[Fact]:
    noise = random.Random(seed)
    return alkalinity_tests(
        [(day, level - use * day + noise.gauss(0.0, 0.05)) for day in range(0, days, 3)]
    )


def ask(facts: list[Fact], day: float, system: System = REEF) -> Answer:
    return answer(system, facts, START + timedelta(days=day))


def test_a_steady_fall_without_dosing_is_use() -> None:
    found = ask(steady(31, use=0.03, level=3.4), 30.0).quantities["alkalinity"]
    assert found.consumption is not None
    assert found.consumption.low < 0.03 < found.consumption.high
    assert found.now.low < 3.4 - 0.9 < found.now.high


def test_dosing_that_holds_the_level_is_use_too() -> None:
    # 100 mL/day of 80 g/L is 8 g = 95.2 meq (11.904 meq/g, from atomic weights) in 300 L.
    facts = [fact(-1, "dosing", "carbonate", "100", "mL/day"), *steady(61)]
    found = ask(facts, 60.0).quantities["alkalinity"]
    assert found.consumption is not None
    assert found.consumption.value == pytest.approx(8 * 11.904 / 300, rel=0.12)


def test_one_wrong_test_does_not_move_the_answer() -> None:
    facts = steady(61)
    calm = ask(facts, 60.2).quantities["alkalinity"].now
    wrong = alkalinity_tests([(60.1, 2.2)])
    shaken = ask([*facts, *wrong], 60.2)
    assert shaken.quantities["alkalinity"].now.value == pytest.approx(calm.value, abs=0.05)
    assert [suspect.fact for suspect in shaken.suspects] == [wrong[0].id]


@pytest.mark.parametrize("later", [1, 2, 4])
@pytest.mark.parametrize("gap", [3.1, 4.0])
def test_two_slips_in_a_row_are_two_slips_and_no_fall_and_rise(later: int, gap: float) -> None:
    # A point too early in the second of two replicates, then meq/L written down as dKH.
    wrong = alkalinity_tests([(60.008, 0.29), (60.0 + gap, 1.1)])
    days = [60.0 + gap + 4.0 * (number + 1) for number in range(later)]
    sound = alkalinity_tests([(60.0, 2.9), *((day, 2.9) for day in days)])
    dosed = fact(-1, "dosing", "carbonate", "100", "mL/day")
    found = ask([dosed, *steady(60), *wrong, *sound], days[-1] + 0.1)
    assert {suspect.fact for suspect in found.suspects} == {each.id for each in wrong}
    assert found.unlogged == ()


def test_a_real_rise_is_followed_at_its_second_test() -> None:
    facts = [*steady(61), *alkalinity_tests([(60.5, 3.5), (62.0, 3.5)])]
    found = ask(facts, 62.1)
    assert found.quantities["alkalinity"].now.value == pytest.approx(3.5, abs=0.1)
    assert any(each.change.value == pytest.approx(0.6, abs=0.15) for each in found.unlogged)


@pytest.mark.parametrize("read_after", [False, True])
@pytest.mark.parametrize("poured", [False, True])
def test_a_test_of_the_very_minute_of_a_dose_or_change_may_be_either_side_of_it(
    read_after: bool, poured: bool
) -> None:
    # 10 g of NaHCO3 are 119 meq, 0.40 meq/L in 300 L (atomic weights); half the water renewed with
    # a mix of 3.7 meq/L from 2.9 brings the same.
    act = (
        fact(60, "dose", "NaHCO3", "10", "g")
        if poured
        else fact(60, "water_change", "rich", "50", "%")
    )
    rich = replace(REEF, mixes=(Mix("rich", composition={"alkalinity": 3.7}),))
    same_minute = 3.3 if read_after else 2.9
    later = [(day, 3.3) for day in (62.0, 64.0, 67.0)]
    tests = alkalinity_tests([(60.0, same_minute), *later])
    found = ask([*steady(60), act, *tests], 67.1, rich)
    assert not found.suspects
    assert not found.unlogged
    assert found.quantities["alkalinity"].now.value == pytest.approx(3.3, abs=0.08)


def test_the_keepers_verdict_settles_a_test() -> None:
    facts = steady(61)
    odd = alkalinity_tests([(60.1, 2.2)])
    sound = fact(60.2, "verdict", odd[0].id, says="sound")
    wrong = fact(60.2, "verdict", odd[0].id, says="wrong")
    believed = ask([*facts, *odd, sound], 60.3)
    assert not believed.suspects
    assert believed.quantities["alkalinity"].now.value < 2.7
    dropped = ask([*facts, *odd, wrong], 60.3)
    assert dropped.quantities["alkalinity"].now.value == pytest.approx(2.9, abs=0.06)


def test_the_order_of_the_facts_changes_nothing() -> None:
    facts = [fact(-1, "dosing", "carbonate", "40", "mL/day"), *steady(90, use=0.01)]
    shuffled = facts[:]
    random.Random(5).shuffle(shuffled)
    assert ask(facts, 90).quantities == ask(shuffled, 90).quantities


def test_what_happens_later_is_not_looked_at() -> None:
    facts = steady(91, use=0.01)
    assert ask(facts, 45).quantities == ask([f for f in facts if f.when <= START +
                                             timedelta(days=45)], 45).quantities  # fmt: skip


def test_three_tests_give_a_wide_interval_and_no_complaint() -> None:
    found = ask(steady(9), 10.0, System(name="new")).quantities["alkalinity"]
    assert found.consumption is not None
    assert found.consumption.high - found.consumption.low > 0.05
    assert found.status == "no band"


def test_a_pump_that_stood_still_is_named() -> None:
    noise = random.Random(3)
    use = 4 * 11.904 / 300
    levels = []
    for day in range(0, 61, 2):
        missing = use * min(max(day - 40, 0), 6)
        levels.append((float(day), 3.3 - missing + noise.gauss(0.0, 0.04)))
    facts = [fact(-1, "dosing", "carbonate", "50", "mL/day"), *alkalinity_tests(levels)]
    found = ask(facts, 60.5)
    stops = [each for each in found.unlogged if each.kind == "stop"]
    assert len(stops) == 1
    assert stops[0].change.value == pytest.approx(-6 * use, abs=0.35)
    assert abs((stops[0].begins - START).days - 40) <= 2


def test_a_forgotten_water_change_moves_everything_towards_the_mix() -> None:
    noise = random.Random(2)
    facts = []
    for day in range(0, 61, 3):
        share = 0.3 if day > 31 else 0.0
        nitrate = 40 * (1 - share) + noise.gauss(0, 0.8)
        salinity = 33 + 2 * share + noise.gauss(0, 0.1)
        calcium = 360 + 60 * share + noise.gauss(0, 3)
        facts += [
            fact(day, "test", "nitrate", f"{nitrate:.2f}", "mg/L"),
            fact(day, "test", "salinity", f"{salinity:.3f}", "PSU"),
            fact(day, "test", "calcium", f"{calcium:.1f}", "mg/L"),
        ]
    found = ask(facts, 60.5)
    changed = {each.quantity: each.change.value for each in found.unlogged}
    assert changed["nitrate"] == pytest.approx(-12, abs=4)
    assert changed["calcium"] > 8


def test_volume_is_found_from_known_sudden_doses() -> None:
    # True volume 345 L against a belief of 300 +- 45: ten doses of 20 g of bicarbonate, steady use.
    noise = random.Random(7)
    rise = 20 * 11.904 / 345

    def level(day: float) -> float:
        return 2.2 + rise * (math.floor(day / 7.0) + 1 - day / 7.0)

    facts = [fact(7.0 * week, "dose", "NaHCO3", "20", "g") for week in range(10)]
    for week in range(10):
        for offset in (-0.3, -0.1, 0.5, 1.0):
            day = 7.0 * week + offset
            facts += alkalinity_tests([(day, level(day) + noise.gauss(0, 0.04))])
    system = System(name="guess", net_volume=Measure(300.0, 45.0, "L"), methods=(DROPS,))
    found = ask(facts, 64.5, system)
    assert abs(found.volume.value / 345 - 1) < 0.075
    assert not found.notes
    tight = System(name="sure", net_volume=Measure(240.0, 5.0, "L"), methods=(DROPS,))
    assert "You gave the net volume as" in ask(facts, 64.5, tight).notes[0]


def test_a_reading_off_the_scale_is_a_bound_and_not_zero() -> None:
    facts = [fact(day, "test", "phosphate", "<0.02", "mg/L") for day in range(0, 30, 5)]
    found = ask(facts, 30.0).quantities["phosphate"].now
    assert 0.0 <= found.low < found.value < 0.02


def test_the_estimate_agrees_with_exact_kriging_of_a_plain_level() -> None:
    """A level without mass is a random walk plus noise: the end state has a closed form.

    Steady state of the local level model: P = (q + sqrt(q^2 + 4 q r)) / 2 before the update
    (Durbin & Koopman 2012, section 2.11).
    """
    facts = [fact(day, "test", "temperature", "25.0", "C") for day in range(200)]
    found = ask(facts, 199.0).quantities["temperature"].now
    q, r = 0.12**2, 0.25**2
    predicted = (q + math.sqrt(q * q + 4 * q * r)) / 2
    updated = predicted * r / (predicted + r)
    # constant readings teach that the noise is smaller than believed, so the sd may only be less
    assert found.value == pytest.approx(25.0, abs=1e-6)
    assert found.sd < math.sqrt(updated + 0.125**2) + 1e-9
    assert np.isfinite(found.sd)


def test_the_keepers_word_on_an_unlogged_change_settles_it() -> None:
    facts = [*steady(61), *alkalinity_tests([(60.5, 3.3), (62.0, 3.3)])]
    asked = ask(facts, 62.1).unlogged[0]
    no = fact(62.0, "verdict", asked.id, says="no")
    assert asked.id not in {each.id for each in ask([*facts, no], 62.1).unlogged}
    yes = fact(62.0, "verdict", asked.id, says="yes")
    confirmed = {each.id: each for each in ask([*facts, yes], 62.1).unlogged}
    assert confirmed[asked.id].probability > max(0.99, asked.probability - 1e-9)


def test_the_keepers_word_on_a_pump_that_still_stands_holds_the_next_day() -> None:
    use = 8 * 11.904 / 300  # what 100 mL of 80 g/L bring a day
    falling = [(61.0, 2.9 - 1.0 * use), (62.0, 2.9 - 2.0 * use)]
    facts = [
        fact(-1, "dosing", "carbonate", "100", "mL/day"),
        *steady(61),
        *alkalinity_tests(falling),
    ]
    asked = next(each for each in ask(facts, 62.1).unlogged if each.kind == "stop")
    yes = fact(62.1, "verdict", asked.id, says="yes")
    later = alkalinity_tests([(63.0, 2.9 - 3.0 * use)])
    found = [each for each in ask([*facts, yes, *later], 63.1).unlogged if each.kind == "stop"]
    assert [each.id == asked.id for each in found] == [False]  # it has grown by a day
    assert found[0].probability > 0.99
    no = fact(62.1, "verdict", asked.id, says="no")
    denied = ask([*facts, no, *later], 63.1)
    assert "stop" not in {each.kind for each in denied.unlogged}


def test_alkalinity_by_the_kilogram_is_read_at_the_salinity_of_its_day() -> None:
    # 2788.13 umol/kg is 2.8532 meq/L at 35 PSU and 25 C (density 1.0233436 kg/L, TEOS-10)
    facts = [fact(day, "test", "alkalinity", "2788.13", "umol/kg") for day in range(20)]
    plain = ask(facts, 20.0).quantities["alkalinity"].now.value
    assert plain == pytest.approx(2.8532, abs=2e-3)
    light = [fact(-1, "test", "salinity", "30", "PSU"), *facts]
    # density at 30 PSU and 25 C is 1.01957 kg/L (TEOS-10)
    assert ask(light, 20.0).quantities["alkalinity"].now.value == pytest.approx(2.8427, abs=2e-3)
