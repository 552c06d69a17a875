"""The simulator keeps its own books: mass is conserved, dilution is as published, seeds repeat."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from tests.simulated.baseline import estimate
from tests.simulated.case import HEADER, Case, Row
from tests.simulated.chemistry import (
    CA,
    CANONICAL_UNIT,
    NO3,
    NO3_PER_N,
    QUANTITIES,
    SAL,
    K,
    carbonate_state,
)
from tests.simulated.draw import base
from tests.simulated.families import FAMILIES
from tests.simulated.hand import Ledger, by_hand, line_of_five, two_point
from tests.simulated.keeper import simulate, without_noise
from tests.simulated.readings import RANGE
from tests.simulated.scenario import UNIT_FACTOR, Kit, Mishap
from tests.simulated.score import evaluate
from tests.simulated.tank import Physics, Tank

SHORT = 60
#: Families that between them write every kind of row.
ROWS = (
    "limewater",
    "media_and_harvest",
    "continuous_change",
    "hand_top_off",
    "undescribed",
    "nano",
)


def short_case(seed: int = 1, **changes: object) -> Case:
    _, scenario = base("check", seed, days=SHORT)
    return simulate(replace(scenario, **changes))  # type: ignore[arg-type]


def inert(*, evaporation: float = 0.0) -> Tank:
    """A tank in which nothing lives and nothing evaporates."""
    quiet = Physics(
        use=0.0, evaporation=evaporation, skimmate=0.0, creep=0.0, denitrify_max=0.0, algae=0.0,
        algae_growth=0.0, nitrify_max=0.0, phosphate_max=0.0, rock_rate=0.0,
    )  # fmt: skip
    return Tank(quiet, 100.0)


# ---- the water ----------------------------------------------------------------------------------


@pytest.mark.parametrize("auto", [True, False])
def test_what_came_less_what_left_less_what_was_used_is_what_is_there(auto: bool) -> None:
    tank = Tank(Physics(volume=250.0), 10.0, auto_top_off=auto, top_content={CA: 800.0})
    tank.settle_rock()
    before = list(tank.amounts)
    rng = np.random.default_rng(3)
    for index in range(96 * 20):
        if index % 96 == 10:
            tank.feed(3.0, n=0.07, p=0.008)
        if index % 500 == 3:
            tank.new_media(60.0)
            tank.exchange(40.0, [float(each) for each in rng.uniform(0.0, 40.0, len(QUANTITIES))])
        if index % 700 == 5:
            tank.flow(0.1, {0: 300.0, CA: 900.0, SAL: 20.0})
        if not auto and index % 150 == 7:
            tank.top_off(250.0 - tank.volume)
        tank.step(index / 96.0, 1.0 / 96.0, (index / 4.0) % 24.0)
    for index, name in enumerate(QUANTITIES):
        there = before[index] + tank.moved[index] - tank.used[index]
        # rounding of some 2,000 steps in double precision
        assert tank.amounts[index] == pytest.approx(there, rel=1e-9, abs=1e-9), name


def test_nitrogen_is_neither_made_nor_lost() -> None:
    tank = Tank(Physics(volume=100.0, skimmate=0.0), 10.0)

    def held() -> float:
        return tank.amounts[7] + tank.amounts[NO3] / NO3_PER_N + tank.leftovers_n

    start = held()
    for index in range(96 * 30):
        if index % 96 == 40:
            tank.feed(2.0, n=0.07, p=0.008)
        tank.step(index / 96.0, 1.0 / 96.0, (index / 4.0) % 24.0)
    assert held() + tank.nitrogen_gone - start == pytest.approx(tank.nitrogen_fed, rel=1e-9)


@pytest.mark.parametrize(
    ("part", "times", "left"), [(0.10, 4, 0.6561), (0.25, 4, 0.31640625), (0.20, 10, 0.1073741824)]
)
def test_changes_in_one_go_dilute_as_powers(part: float, times: int, left: float) -> None:
    # Levenspiel 1999, Chemical Reaction Engineering: C = Cin + (C0 - Cin)(1 - f)^n; exact.
    tank = inert()
    start = tank.concentration(K)
    for _ in range(times):
        tank.exchange(part * tank.volume, [0.0] * len(QUANTITIES))
    assert tank.concentration(K) / start == pytest.approx(left, rel=1e-9)


@pytest.mark.parametrize(("turned", "left"), [(0.1, 0.904837), (0.5, 0.606531), (2.0, 0.135335)])
def test_a_continuous_change_washes_out_as_an_exponential(turned: float, left: float) -> None:
    # Levenspiel 1999, stirred tank: exp(-Qt/V). In n pieces (1 - x/n)^n, off by x^2/2n relative.
    tank = inert()
    start, pieces = tank.concentration(K), 200_000
    for _ in range(pieces):
        tank.exchange(turned / pieces * tank.volume, [0.0] * len(QUANTITIES))
    assert tank.concentration(K) / start == pytest.approx(left, rel=turned**2 / pieces + 1e-6)


def test_nothing_happens_in_a_tank_where_nothing_lives() -> None:
    tank = inert()
    before = tank.concentrations()
    for index in range(96):
        tank.step(index / 96.0, 1.0 / 96.0, index / 4.0)
    assert tank.concentrations() == pytest.approx(before, rel=1e-12)


def test_evaporation_concentrates_and_topping_off_restores() -> None:
    tank = inert(evaporation=3.0)
    tank.auto_top_off = False
    before, full = tank.concentration(SAL), tank.volume
    for index in range(96):
        tank.step(index / 96.0, 1.0 / 96.0, index / 4.0)
    assert tank.concentration(SAL) == pytest.approx(before * full / tank.volume, rel=1e-12)
    assert tank.volume < full
    tank.top_off(full - tank.volume)
    assert tank.concentration(SAL) == pytest.approx(before, rel=1e-12)


def test_saturation_and_ph_agree_with_a_full_solution() -> None:
    # PyCO2SYS 1.8.3.4 at S 35, 25 °C, total alkalinity 2788.13 umol/kg and pCO2 420 uatm: aragonite
    # 4.5237 with calcium 421.7 mg/L, pH 8.2331 NBS. One per cent: borate is met in two rounds only.
    omega, ph = carbonate_state(2.85321, 421.7, 420.0, 25.0)
    assert omega == pytest.approx(4.5237, rel=0.01)
    assert ph == pytest.approx(8.2331, abs=0.01)


def test_calcium_follows_alkalinity_two_to_one() -> None:
    tank = Tank(Physics(ratio=2.0, nitrify_max=0.0, denitrify_max=0.0, algae=0.0), 1.0)
    for index in range(96):
        tank.step(index / 96.0, 1.0 / 96.0, index / 4.0)
    # 40.078/2 mg of calcium for a meq (Smith & Key 1975: two of alkalinity for one of carbonate)
    assert tank.used[CA] / tank.used[0] == pytest.approx(20.039, rel=1e-9)


# ---- what a keeper gets -------------------------------------------------------------------------


def test_one_seed_is_one_story() -> None:
    first, second, other = short_case(4), short_case(4), short_case(5)
    assert first.history == second.history
    assert first.system_toml == second.system_toml
    assert first.truth.moments == second.truth.moments
    assert first.history != other.history


def test_a_story_without_noise_reads_exactly_what_is_there() -> None:
    _, scenario = base("check", 2, days=SHORT)
    case = simulate(replace(without_noise(scenario), step_minutes=60))
    checked = exact = 0
    for row in case.history:
        if row.kind != "test":
            continue
        hour = (row.instant - case.truth.start) / timedelta(hours=1)
        factor = UNIT_FACTOR.get((row.what, row.unit), 1.0)
        level = case.truth.concentration[row.what][round(hour)] * factor
        # the print keeps seven decimals; a chore in the same step may come before or after
        assert float(row.value) == pytest.approx(level, rel=2e-3)
        exact += float(row.value) == pytest.approx(level, abs=2e-7)
        checked += 1
    assert checked > 30
    assert exact > 0.9 * checked
    assert not case.truth.wrong_tests


@pytest.mark.parametrize("family", ROWS)
def test_rows_are_in_the_formats_of_the_contract(family: str) -> None:
    case = FAMILIES[family](1)
    kinds = {"test", "dose", "dosing", "water_change", "level", "top_off", "removed", "feed",
             "media", "harvest", "done", "event", "note"}  # fmt: skip
    additives = {each["name"] for each in tomllib.loads(case.system_toml).get("additives", [])}
    assert case.history[0]._fields == HEADER
    assert len({(row.when, row.kind, row.what) for row in case.history}) == len(case.history)
    assert list(case.history) == sorted(case.history, key=lambda row: row.instant)
    for row in case.history:
        assert row.kind in kinds
        assert row.instant.tzinfo is not None
        assert_row(row, additives)


def assert_row(row: Row, additives: set[str]) -> None:
    value = float(row.value.lstrip("<>"))
    assert math.isfinite(value)
    assert value >= 0.0
    for pair in filter(None, row.detail.split(";")):
        key, _, text = pair.partition("=")
        assert key
        assert text
    if row.kind == "test":
        low, high = RANGE[row.what]
        assert low <= value / UNIT_FACTOR.get((row.what, row.unit), 1.0) <= high
    if row.kind in ("dosing", "level") and row.what != "top-off":
        assert row.what in additives


def test_the_system_says_what_the_keeper_believes_and_never_the_truth() -> None:
    case = FAMILIES["volume_wrong"](3)
    system = tomllib.loads(case.system_toml)
    believed = float(system["net_volume"]["value"].split()[0])
    assert believed == case.truth.believed_volume
    assert abs(believed / case.truth.net_volume - 1.0) > 0.1


def test_about_three_tests_in_a_hundred_are_wrong() -> None:
    cases = [FAMILIES["two_part_steady"](seed) for seed in (1, 2)]
    tests = sum(row.kind == "test" for case in cases for row in case.history)
    wrong = sum(len(case.truth.wrong_tests) for case in cases)
    # binomial with p = 0.03 and seven hundred tests: four standard deviations
    assert wrong / tests == pytest.approx(0.03, abs=4.0 * math.sqrt(0.03 * 0.97 / tests))
    for case in cases:
        for each in case.truth.wrong_tests:
            assert case.history[each.row].kind == "test"
            assert case.history[each.row].what == each.quantity


def test_a_spell_is_of_consecutive_tests_of_one_quantity() -> None:
    case = FAMILIES["reagent_spells"](2)
    assert case.truth.spells
    for spell in case.truth.spells:
        own = [i for i, row in enumerate(case.history) if row[1:3] == ("test", spell.quantity)]
        places = [own.index(row) for row in spell.rows]
        assert places == list(range(places[0], places[0] + len(places)))


# ---- what nobody wrote down ---------------------------------------------------------------------


def with_and_without(mishap: Mishap) -> tuple[Case, Case]:
    _, scenario = base("check", 7, days=SHORT, use=0.3)
    exact = replace(without_noise(scenario), corrects=False, retune_every=999.0)
    return simulate(replace(exact, mishaps=(mishap,))), simulate(exact)


@pytest.mark.parametrize(
    ("mishap", "expected"),
    [
        (Mishap("precipitation", 30.0, 0.5), -0.5),
        (Mishap("forgotten dose", 30.0, 0.4), 0.4),
    ],
)
def test_a_mishap_moves_the_water_by_what_the_truth_says(mishap: Mishap, expected: float) -> None:
    hit, spared = with_and_without(mishap)
    event = hit.truth.unlogged[0]
    at = int((event.end - hit.truth.start) / timedelta(hours=1)) + 1
    moved = hit.truth.concentration["alkalinity"] - spared.truth.concentration["alkalinity"]
    assert event.change["alkalinity"] == pytest.approx(expected, rel=0.02)
    # the reef answers within the hours that it takes: a tenth at most
    assert moved[at] == pytest.approx(expected, rel=0.1)
    assert not np.any(moved[: 24 * 29])


def test_a_pump_that_stands_still_leaves_out_what_it_would_have_brought() -> None:
    hit, _ = with_and_without(Mishap("pump stopped", 30.0, 0.0, length=4.0))
    event = hit.truth.unlogged[0]
    row = next(row for row in hit.history if row[1:3] == ("dosing", "carbonate solution"))
    grams = tomllib.loads(hit.system_toml)["additives"][0]["recipe"]
    per_ml = {"NaHCO3": 11.904, "Na2CO3": 18.870}[grams["salt"]] * grams["grams_per_litre"] * 1e-3
    expected = -4.0 * float(row.value) * per_ml / hit.truth.net_volume
    # to a stroke of the pump, of which there are at least 24 in a day
    assert event.change["alkalinity"] == pytest.approx(expected, rel=0.05)
    assert event.end - event.start == timedelta(days=4)


def test_a_stuck_top_off_dilutes_everything_alike() -> None:
    hit, spared = with_and_without(Mishap("top-off stuck", 30.0, 0.08))
    at = 24 * 31
    share = hit.truth.concentration["salinity"][at] / spared.truth.concentration["salinity"][at]
    fall = hit.truth.unlogged[0].change["salinity"] / spared.truth.concentration["salinity"][at]
    # less what evaporated in those six hours: of 2.4 % of the volume a day at the very most
    assert 1.0 / 1.08 <= share <= 1.0 / 1.074
    assert share - 1.0 == pytest.approx(fall, rel=0.01)


def test_sudden_losses_are_not_use() -> None:
    hit, spared = with_and_without(Mishap("precipitation", 30.0, 0.8))
    use, usual = (each.truth.consumption["alkalinity"][24 * 31] for each in (hit, spared))
    assert use < usual  # less saturation, less use; nothing of the 0.8 counts


def test_the_forecast_of_a_tank_left_alone_is_its_future() -> None:
    _, scenario = base("check", 3, days=SHORT, use=0.3, steps=())
    alone = replace(
        without_noise(scenario), corrects=False, retune_every=999.0,
        changes=replace(scenario.changes, every=0.0), first_moment=0.5, moments=3, step_minutes=60,
    )  # fmt: skip
    case = simulate(alone)
    moment = case.truth.moments[0]
    at = (moment.when - case.truth.start).total_seconds() / 3600.0
    for name in ("alkalinity", "nitrate", "salinity"):
        week = case.truth.concentration[name][round(at) + 168]
        assert moment.forecast[name][6] == pytest.approx(week, rel=1e-9), name


# ---- the hand methods and the score -------------------------------------------------------------


@pytest.mark.parametrize("method", [two_point, line_of_five])
def test_hand_methods_recover_a_straight_line_with_dosing(
    method: Callable[[Ledger, float], object],
) -> None:
    ledger = Ledger(rates={"bottle": [(0.0, 0.3)]})
    ledger.tests = [(t, 3.0 - 0.05 * t) for t in (0.0, 3.0, 5.0, 9.0, 12.0)]
    answer = method(ledger, 14.0)
    assert answer is not None
    assert vars(answer)["use"] == pytest.approx(0.35, abs=1e-9)
    assert vars(answer)["now"] == pytest.approx(3.0 - 0.05 * 14.0, abs=1e-9)
    assert vars(answer)["ahead"] == pytest.approx(3.0 - 0.05 * 21.0, abs=1e-9)


def test_hand_methods_see_nothing_of_the_future() -> None:
    case = short_case(6)
    at = case.truth.moments[0].when
    assert by_hand(case, at) == by_hand(case.until(at), at)


def perfect(case: Case, whole: Case) -> Callable[[Case, datetime], dict[str, object]]:
    """An oracle, to see that the score gives full marks to the truth."""

    def answer(known: Case, at: datetime) -> dict[str, object]:
        moment = next(each for each in whole.truth.moments if each.when == at)

        def span(value: float) -> dict[str, float]:
            return {"value": value, "low": value - 1e-9, "high": value + 1e-9, "sd": 1e-9}

        tested = {row.what for row in known.history if row.kind == "test"}
        quantities = {
            name: {
                "unit": CANONICAL_UNIT[name],
                "now": span(moment.state[name]),
                "consumption": span(moment.consumption[name]),
                "forecast": [span(value) for value in moment.forecast[name]],
            }
            for name in tested
        }
        wrong = [(w.when, w.quantity) for w in whole.truth.wrong_tests if w.when <= at]
        events = [
            {"from": e.start.isoformat(), "to": e.end.isoformat(), "what": name, "change": change}
            for e in whole.truth.unlogged
            for name, change in e.change.items()
            if e.end <= at and e.deviations.get(name, 0.0) >= 2.0
        ]
        return {
            "volume": span(whole.truth.net_volume),
            "quantities": quantities,
            "suspect_tests": [{"when": w.isoformat(), "what": name} for w, name in wrong],
            "unlogged": events,
        }

    return answer


def test_the_truth_gets_full_marks() -> None:
    _, scenario = base("check", 9, days=90, use=0.4)
    mishaps = (Mishap("precipitation", 50.0, 0.7),)
    case = simulate(replace(scenario, mishaps=mishaps, gross=0.08))
    samples, finds = evaluate(case, perfect(case, case))
    assert samples
    assert all(sample.inside for sample in samples)
    assert max(abs(sample.value - sample.truth) for sample in samples) == 0.0
    assert finds.wrong_due > 0
    assert finds.wrong_found == finds.wrong_due
    assert finds.sound_suspected == 0
    assert finds.events_due > 0
    assert finds.events_found == finds.events_due
    assert finds.events_true == finds.events_said
    assert finds.volume_error == 0.0


def test_a_line_without_doubt_is_marked_down() -> None:
    samples, finds = evaluate(short_case(8), estimate)
    assert any(not sample.inside for sample in samples)
    assert finds.wrong_found == 0


def test_deviation_of_a_kit_counts_its_steps() -> None:
    kit = Kit("alkalinity", "dKH", 0.3, 0.15, 0.08)
    # uniform rounding adds a twelfth of its square (Sheppard 1898)
    expected = math.sqrt(0.15**2 + 0.3**2 / 12.0) / 2.80385
    assert kit.deviation(2.9) == pytest.approx(expected, rel=1e-12)


def test_times_of_rows_are_as_aware_as_the_contract_wants() -> None:
    case = short_case(3, local_times=True, timezone="Europe/Vienna")
    offsets = {row.instant.utcoffset() for row in case.history}
    assert offsets <= {timedelta(hours=1), timedelta(hours=2)}
    assert case.history[0].instant.astimezone(UTC) >= case.truth.start
