"""Tests that changed places, in two invented systems: that they are found, and nothing else is."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from brinebook.balance import season
from brinebook.balance.neighbours import Neighbours, Reading, readings_of
from brinebook.balance.swaps import exchanged_columns, exchanged_samples, misplaced_numbers

UNITS = {
    "alkalinity": "dKH", "calcium": "mg/L", "magnesium": "mg/L", "potassium": "mg/L",
    "nitrate": "mg/L", "ph": "NBS",
}  # fmt: skip
PER_CANONICAL = {"alkalinity": 2.80385}
NOISE = {"alkalinity": 0.05, "calcium": 8.0, "magnesium": 25.0, "potassium": 8.0, "nitrate": 0.5,
         "ph": 0.05}  # fmt: skip
BIG = {"alkalinity": 2.9, "calcium": 425.0, "magnesium": 1320.0, "potassium": 400.0, "nitrate": 8.0}
SMALL = {"alkalinity": 2.4, "calcium": 390.0, "magnesium": 1250.0, "potassium": 380.0,
         "nitrate": 25.0}  # fmt: skip
FIRST_DAY = 9500.25


def _reading(quantity: str, value: float, day: int, name: str) -> Reading:
    typed = f"{value * PER_CANONICAL.get(quantity, 1.0):.4g}"
    test = season.Test(
        t=FIRST_DAY + day,
        quantity=quantity,
        value=value,
        noise=NOISE[quantity],
        fraction=0.0,
        step=0.0,
        trueness=0.0,
        described=False,
        method="",
        lot="",
        fact=f"{name}-{quantity}-{day}",
        typed=f"{typed} {UNITS[quantity]}",
    )
    return readings_of([test], ZoneInfo("UTC"))[0]


def _season(levels: Mapping[str, float], name: str, days: int = 30) -> list[Reading]:
    rng = np.random.default_rng(len(name))
    return [
        _reading(quantity, level + float(rng.normal(0.0, NOISE[quantity])), 7 * week, name)
        for week in range(days)
        for quantity, level in levels.items()
    ]


def _with(readings: list[Reading], day: int, other: list[Reading]) -> list[Reading]:
    """The readings with those of one day taken from somewhere else."""
    away = [r for r in other if r.day == other[0].day + day]
    return [r for r in readings if r.day != readings[0].day + day] + away


def _changed(readings: list[Reading], day: int, typed: Mapping[str, float]) -> list[Reading]:
    """The readings with other canonical numbers on one day."""
    here = readings[0].day + day
    return [
        _reading(r.quantity, typed[r.quantity], day, r.fact.partition("-")[0])
        if r.day == here and r.quantity in typed
        else r
        for r in readings
    ]


def test_samples_of_two_systems_that_were_exchanged_on_a_day_are_found_on_that_day() -> None:
    big, small = _season(BIG, "big"), _season(SMALL, "little")
    ours, theirs = Neighbours(_with(big, 70, small)), Neighbours(_with(small, 70, big))
    found = exchanged_samples(ours, theirs)
    assert [one.day - big[0].day for one in found] == [70]
    assert {a.quantity for a, _ in found[0].pairs} == set(BIG)
    assert all(b is not None and b.quantity == a.quantity for a, b in found[0].pairs)
    assert found[0].probability > 0.99
    # It is one exchange, seen from both sides.
    assert [one.day for one in exchanged_samples(theirs, ours)] == [found[0].day]


def test_one_vial_that_was_exchanged_is_told_alone() -> None:
    big, small = _season(BIG, "big"), _season(SMALL, "little")
    ours = Neighbours(_changed(big, 70, {"nitrate": 25.0}))
    theirs = Neighbours(_changed(small, 70, {"nitrate": 8.0}))
    found = exchanged_samples(ours, theirs)
    assert [[a.quantity for a, _ in one.pairs] for one in found] == [["nitrate"]]


def test_a_sample_written_into_the_wrong_system_is_told_where_the_other_has_none() -> None:
    big, small = _season(BIG, "big"), _season(SMALL, "little")
    there = small[0].day + 70
    ours = Neighbours(_with(big, 70, small))
    theirs = Neighbours([r for r in small if r.day != there])
    found = exchanged_samples(ours, theirs)
    assert [one.day for one in found] == [there]
    assert all(b is None for _, b in found[0].pairs)


def test_nothing_is_said_of_samples_that_either_system_may_hold() -> None:
    one, other = _season(BIG, "big"), _season(BIG, "twin")
    assert exchanged_samples(Neighbours(one), Neighbours(other)) == ()
    swapped = Neighbours(_with(one, 70, other)), Neighbours(_with(other, 70, one))
    assert exchanged_samples(*swapped) == ()


def test_nothing_is_said_of_two_systems_that_are_as_they_are() -> None:
    big, small = Neighbours(_season(BIG, "big")), Neighbours(_season(SMALL, "little"))
    assert exchanged_samples(big, small) == ()
    assert misplaced_numbers(big) == ()
    assert exchanged_columns(big) == ()


def test_nothing_is_said_with_too_few_days_to_go_by() -> None:
    big, small = _season(BIG, "big", days=4), _season(SMALL, "little", days=4)
    ours, theirs = Neighbours(_with(big, 7, small)), Neighbours(_with(small, 7, big))
    assert exchanged_samples(ours, theirs) == ()


@pytest.mark.parametrize(
    ("first", "second"),
    [("calcium", "magnesium"), ("calcium", "potassium"), ("potassium", "magnesium")],
)
def test_two_numbers_of_a_day_in_each_others_column_are_found(first: str, second: str) -> None:
    # Calcium 470 and potassium 330 are no seawater, but a reef may hold them: tell-tale enough.
    levels = BIG | {"calcium": 470.0, "potassium": 330.0}
    readings = _season(levels, "big")
    found = misplaced_numbers(
        Neighbours(_changed(readings, 70, {first: levels[second], second: levels[first]}))
    )
    assert [(one.kind, {one.first.quantity, one.second.quantity}) for one in found] == [
        ("exchanged", {first, second})
    ]
    assert found[0].first.day == readings[0].day + 70


def test_alkalinity_in_degrees_and_calcium_in_each_others_column_are_found_by_the_numbers() -> None:
    # The number of calcium, 425, read as dKH; the number of alkalinity, 8.13, read as mg/L.
    wrong = {"alkalinity": 425.0 / 2.80385, "calcium": 2.9 * 2.80385}
    found = misplaced_numbers(Neighbours(_changed(_season(BIG, "big"), 70, wrong)))
    assert [(one.kind, one.first.quantity, one.second.quantity) for one in found] == [
        ("exchanged", "alkalinity", "calcium")
    ]


def test_a_number_that_stands_in_two_columns_is_named_in_the_one_it_doesn_t_fit() -> None:
    levels = BIG | {"ph": 8.1}
    readings = _changed(_season(levels, "big"), 70, {"ph": 9.47, "nitrate": 9.47})
    found = misplaced_numbers(Neighbours(readings))
    assert [(one.kind, one.first.quantity, one.second.quantity) for one in found] == [
        ("copied", "ph", "nitrate")
    ]


def test_a_single_wild_number_is_no_exchange() -> None:
    readings = _changed(_season(BIG, "big"), 70, {"calcium": 610.0})
    assert misplaced_numbers(Neighbours(readings)) == ()


def test_two_whole_columns_in_each_others_place_are_found_by_what_the_sea_holds() -> None:
    # Natural seawater of 35 PSU: 412 mg/L of calcium and 1284 of magnesium (Millero et al. 2008).
    wrong = {"calcium": 1284.0, "magnesium": 412.0, "alkalinity": 2.4}
    found = exchanged_columns(Neighbours(_season(wrong, "big")))
    assert [(one.first, one.second) for one in found] == [("calcium", "magnesium")]


def test_a_day_is_counted_by_the_clock_of_the_system() -> None:
    late = _reading("calcium", 420.0, 0, "big")
    test = season.Test(
        t=FIRST_DAY + 0.7, quantity="calcium", value=420.0, noise=8.0, fraction=0.0, step=0.0,
        trueness=0.0, described=False, method="", lot="", fact="x", typed="420 mg/L",
    )  # fmt: skip
    here = readings_of([test], ZoneInfo("Pacific/Auckland"))[0]
    assert here.day == late.day + 1
    assert date.fromordinal(late.day).isoformat() == "2026-01-04"
