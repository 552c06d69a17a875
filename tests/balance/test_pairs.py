"""Pairs of readings of one water that can't both be right, in invented series."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import numpy as np

from brinebook.balance import season
from brinebook.balance.neighbours import Neighbours, Reading, readings_of
from brinebook.balance.pairs import wrong_pairs

START = 9500.25


def _reading(
    value: float, day: float, *, method: str = "", replicate: str = "", verdict: str = ""
) -> Reading:
    test = season.Test(
        t=START + day, quantity="nitrate", value=value, noise=0.4, fraction=0.0, step=0.0,
        trueness=0.0, described=False, method=method, lot="",
        fact=f"{method}{replicate}-{day}", replicate=replicate, typed=f"{value:.3g} mg/L",
        verdict=verdict,
    )  # fmt: skip
    return readings_of([test], ZoneInfo("UTC"))[0]


def _replicates(days: int, odd: dict[int, float]) -> list[Reading]:
    rng = np.random.default_rng(3)
    found = []
    for day in range(days):
        first, second = 8.0 + rng.normal(0.0, 0.4, 2)
        found += [
            _reading(float(first), 7 * day, replicate="1"),
            _reading(odd.get(day, float(second)), 7 * day + 0.01, replicate="2"),
        ]
    return found


def test_replicates_far_apart_are_a_wrong_pair_and_the_odd_one_is_told() -> None:
    found = wrong_pairs(Neighbours(_replicates(20, {9: 18.0})))
    assert [(one.first.t, one.second.value) for one in found] == [(START + 63.0, 18.0)]
    likelier = found[0].likelier
    assert likelier is not None
    assert likelier.value == 18.0


def test_replicates_that_scatter_as_a_kit_does_are_no_wrong_pair() -> None:
    assert wrong_pairs(Neighbours(_replicates(60, {}))) == ()


def test_two_pairs_alone_are_held_against_the_noise_of_the_method() -> None:
    assert len(wrong_pairs(Neighbours(_replicates(2, {1: 14.0})))) == 1
    assert wrong_pairs(Neighbours(_replicates(2, {1: 9.5}))) == ()


def test_a_steady_offset_between_two_methods_is_no_disagreement_but_its_breach_is() -> None:
    rng = np.random.default_rng(4)
    readings = []
    for day in range(25):
        offset = -3.0 if day == 12 else 2.0
        level = 8.0 + float(rng.normal(0.0, 0.2))
        readings += [
            _reading(level, 7 * day, method="fine"),
            _reading(level + offset + float(rng.normal(0.0, 0.3)), 7 * day, method="coarse"),
        ]
    found = wrong_pairs(Neighbours(readings))
    assert [one.first.t for one in found] == [START + 84.0]
    likelier = found[0].likelier
    assert likelier is not None
    assert likelier.method == "coarse"


def test_what_the_keeper_called_sound_on_both_sides_is_not_told_again() -> None:
    readings = [r for r in _replicates(20, {}) if not START + 60 < r.t < START + 66]
    told = [_reading(8.0, 63, replicate="1", verdict="sound"),
            _reading(18.0, 63.01, replicate="2", verdict="sound")]  # fmt: skip
    assert wrong_pairs(Neighbours([*readings, *told])) == ()


def test_water_of_an_hour_later_is_another_water() -> None:
    readings = _replicates(20, {})
    later = _reading(18.0, 63.5, replicate="3")
    assert wrong_pairs(Neighbours([*readings, later])) == ()
