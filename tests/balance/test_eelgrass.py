"""Real tests of eight flow-through tanks, through the doors of the command line.

The truths beside the checks were computed from the files, or stand in the researchers' logs: both
sondes read salinity 1.68 low until they were calibrated anew on 2023-07-28, then 0.3, drifting to
about 0.5; two pH sensors of one sonde lie 0.20 and later 0.14 apart; the hand pH (bottom) of
2023-06-21 holds the values of the oxygen column; the hand meter's salinity of 13 to 19 July was
wrong (their notes of the 20th: "Temp. and Sal. jumping around, may be the sensor or cable").
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.balance.eelgrass import fill, hand_tests, sonde
from tests.conftest import Run

TANKS = ("3", "5")  # those with a sonde
SEASON_END = "2023-08-26"


def _answer(run: Run, at: str = SEASON_END) -> Any:
    return run("balance", "--at", at, "--json").json


def _bias(answer: Any, quantity: str, method: str) -> float:
    found = [m for m in answer["methods"] if (m["quantity"], m["method"]) == (quantity, method)]
    return float(found[-1]["bias"])


@pytest.mark.parametrize("tank", TANKS)
def test_a_change_that_nobody_logged_is_placed_and_sized_in_each_of_two_tanks(
    run: Run, tmp_path: Path, tank: str
) -> None:
    # With the sonde's readings alone its new calibration is a change of the water: from 1.68 low to
    # 0.3 low is 1.38 PSU up, on 28 July. Between the 12th and the 28th the sonde wasn't read.
    rows = [(*row[:5], "method=sonde") for row in sonde(tank, "salinity")]
    fill(run, tmp_path, tank, rows)
    found = [
        each
        for each in _answer(run)["unlogged"]
        if each["what"] == "salinity" and each["from"][:10] <= "2023-07-28" <= each["to"][:10]
    ]
    assert len(found) == 1
    change = found[0]
    assert change["from"][:10] >= "2023-07-10"
    assert change["to"][:10] == "2023-07-29"
    assert change["change"] == pytest.approx(1.38, abs=1.96 * change["sd"])
    assert change["sd"] < 0.4


@pytest.mark.parametrize("tank", TANKS)
def test_a_week_of_a_loose_cable_is_one_spell_and_not_salt(
    run: Run, tmp_path: Path, tank: str
) -> None:
    fill(run, tmp_path, tank, [*hand_tests(tank, "salinity"), *sonde(tank, "salinity")])
    answer = _answer(run)
    suspects = {
        each["when"][:10]
        for each in answer["suspect_tests"]
        if each["what"] == "salinity" and each["method"] == "hand"
    }
    # By their notes and the sondes, which saw nothing; tests at 16:30 UTC, so the dates are theirs.
    assert suspects == {"2023-07-13", "2023-07-14", "2023-07-17", "2023-07-18", "2023-07-19"}


@pytest.mark.parametrize("tank", TANKS)
def test_how_far_a_sonde_reads_off_the_hand_meter_is_told_for_each_calibration(
    run: Run, tmp_path: Path, tank: str
) -> None:
    fill(run, tmp_path, tank, [*hand_tests(tank, "salinity"), *sonde(tank, "salinity")])
    # Before: 1.68 low. The balance shares an offset between the two, and holds both to be small at
    # first, so that it stays a little short: a tenth, within what it says of itself.
    before = _answer(run, "2023-07-12T12:00")
    off = _bias(before, "salinity", "sonde") - _bias(before, "salinity", "hand")
    assert off == pytest.approx(-1.68, abs=0.25)
    # After: 0.3 low, drifting to 0.5 by the middle of August.
    after = _answer(run)
    off = _bias(after, "salinity", "sonde") - _bias(after, "salinity", "hand")
    assert -0.65 < off < -0.25


def test_two_sensors_of_one_sonde_are_told_apart_as_far_as_they_lie(
    run: Run, tmp_path: Path
) -> None:
    fill(run, tmp_path, "5", list(sonde("5", "ph", second_ph=True)))
    # Sonde 17H104984: the first sensor reads 0.20 above the second, and 0.14 later.
    early, late = _answer(run, "2023-07-12T12:00"), _answer(run)
    assert _bias(early, "ph", "sonde") - _bias(early, "ph", "second sensor") == pytest.approx(
        0.20, abs=0.03
    )
    assert 0.13 < _bias(late, "ph", "sonde") - _bias(late, "ph", "second sensor") < 0.21


def test_a_dead_channel_is_told_and_a_live_one_is_not(run: Run, tmp_path: Path) -> None:
    # The first ORP channel of sonde 17H104984 (tank 5) stands at -1203.6 mV from first to last; the
    # one in tank 3 is alive.
    fill(run, tmp_path, "5", list(sonde("5", "orp")))
    fill(run, tmp_path, "3", list(sonde("3", "orp")), also=True)
    dead = run("check", "--system", "5", "--json").json["hints"]
    (told,) = [one for one in dead if one["check"] == "still"]
    assert "-1203." in told["text"]
    assert "orp (sonde)" in told["text"]
    alive = run("check", "--system", "3", "--json").json["hints"]
    assert not [one for one in alive if one["check"] == "still"]


def test_a_day_of_numbers_from_the_wrong_column_is_named_in_every_tank(
    run: Run, tmp_path: Path
) -> None:
    named, copied = {}, {}
    for tank in "12345678":
        rows = list(hand_tests(tank, "temperature", "salinity", "ph", "oxygen"))
        fill(run, tmp_path, tank, rows, also=tank != "1")
        outcome = run("check", "--system", tank, "--json")
        faults = [one for one in outcome.json["faults"] if "2023-06-21" in one["text"]]
        named[tank] = any(one["check"] == "pairs" and "ph " in one["text"] for one in faults)
        copied[tank] = any(
            one["check"] == "exchanged_numbers" and "number of oxygen over again" in one["text"]
            for one in faults
        )
        assert outcome.status == (1 if outcome.json["faults"] else 0)
        # The tanks stand in one water: nothing tells one tank's sample from another's.
        assert not [one for one in outcome.json["faults"] if one["check"] == "exchanged_samples"]
    # In tanks 1 and 5 the oxygen's values (8.21, 7.81) are usual values of pH as well.
    assert [tank for tank in named if named[tank]] == ["2", "3", "4", "6", "7", "8"]
    assert [tank for tank in copied if copied[tank]] == ["6", "8"]
