"""How the use changed within a window: joint normals, told exactly."""

from __future__ import annotations

import math

import pytest

from brinebook.balance.beliefs import USE_DRIFT, USE_DRIFT_FLOOR
from brinebook.balance.causes.hindsight import change_of_use
from brinebook.balance.estimate import SeasonEstimate
from tests.report import books


def _season(story: books.Story) -> SeasonEstimate:
    return next(one for one in story.told().seasons if one.volume is not None)


def test_without_a_test_in_view_the_change_is_the_random_walk_of_the_prior() -> None:
    season = _season(books.quiet())
    since = season.at - 20.0
    found = change_of_use(season, since, quantities=(), without=())
    assert found is not None
    drift = USE_DRIFT * season.last.window.mover.use + USE_DRIFT_FLOOR
    # A random walk's variance grows with time (Durbin & Koopman 2012, ch. 2): sd = drift sqrt(t).
    assert found.change.value == pytest.approx(0.0, abs=1e-12)
    assert found.change.sd == pytest.approx(drift * math.sqrt(20.0), rel=1e-6)


def test_the_change_is_now_less_then_and_surer_than_if_the_two_were_strangers() -> None:
    season = _season(books.quiet())
    found = change_of_use(season, season.at - 20.0, quantities=("alkalinity",), without=())
    assert found is not None
    assert found.change.value == pytest.approx(found.now.value - found.then.value, abs=1e-12)
    assert found.change.sd < math.hypot(found.now.sd, found.then.sd)


def test_more_tests_make_it_surer() -> None:
    season = _season(books.quiet())
    since = season.at - 20.0
    sds = []
    for quantities in ((), ("calcium",), ("calcium", "alkalinity")):
        found = change_of_use(season, since, quantities=quantities, without=())
        assert found is not None
        sds.append(found.change.sd)
    assert sds == sorted(sds, reverse=True)


def test_outside_the_last_window_nothing_is_said() -> None:
    season = _season(books.quiet())
    assert change_of_use(season, season.at + 1.0, quantities=(), without=()) is None
    assert change_of_use(season, season.at - 9999.0, quantities=(), without=()) is None


def _grown() -> books.Story:
    """Dosing as before, and for three weeks the level has been falling."""
    story = books.Story(litres=420.0, spread=15.0)
    story.add(70, "dosing", "carbonate solution", story.per_day(0.9))
    for ago in range(66, 0, -3):
        story.test(float(ago), "alkalinity", 8.6 - 0.1 * max(21.0 - ago, 0.0))
    return story


def test_a_level_that_begins_to_fall_under_the_same_dosing_is_more_use() -> None:
    for book, grown in ((_grown, True), (books.quiet, False)):
        season = _season(book())
        found = change_of_use(season, season.at - 26.0, quantities=("alkalinity",), without=())
        assert found is not None
        assert (found.change.low > 0.0) == grown
