"""The season as it stood at a time: nothing of what came later, and a key of all the rest."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from brinebook.balance import season as nouns
from brinebook.balance.arrange import arrange
from brinebook.balance.past import Past
from brinebook.balance.season import (
    Exchange,
    Flow,
    Mark,
    Pour,
    Season,
    Setting,
    Stream,
    fullest_marks,
)
from brinebook.balance.state import Anchor, anchor
from tests.balance.eight_months import AT, BOOK, DAYS, REEF, fact

EXTRA = [
    fact(30.3, "dose", "NaHCO3", "9", "g"),
    fact(12.0, "water_change", "salt", "2", "L/day"),
    fact(200.0, "test", "potassium", "400", "mg/L"),
    fact(DAYS, "verdict", "jump-alkalinity-8870.000-8872.000", says="no"),
]
SEASON = arrange(REEF, [*BOOK, *EXTRA], AT)[0]
#: Day 150 of the book, counted from the start of 2000.
END = SEASON.tests[0].t + 150.0
TIMES = (END - 80.0, END - 40.0, END)


def key(season: Season, fixed: Anchor | None = None) -> str:
    return Past(season, fixed or anchor(SEASON)).key("", TIMES)


def other(value: Any) -> Any:
    """A value of the same kind that is not the same."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, np.ndarray):
        return ~value if value.dtype == bool else np.where(np.isnan(value), 1.0, value + 1.0)
    if isinstance(value, float):
        return np.nextafter(value, np.inf) if value == value else 1.0  # noqa: PLR0124
    if isinstance(value, str):
        return value + "x"
    if isinstance(value, dict):
        return {**value, "another": next(iter(value.values()), 1.0)}
    raise AssertionError(type(value))


def changed(one: Any, name: str) -> Any:
    return replace(one, **{name: other(getattr(one, name))})


def swapped(many: tuple[Any, ...], old: Any, new: Any) -> tuple[Any, ...]:
    return tuple(new if each is old else each for each in many)


def test_the_same_season_has_the_same_key_and_another_chapter_another() -> None:
    assert key(SEASON) == key(arrange(REEF, [*EXTRA, *BOOK], AT)[0])
    past = Past(SEASON, anchor(SEASON))
    one = past.key("", TIMES)
    assert one != Past(SEASON, anchor(SEASON)).key("before", TIMES)
    assert one != Past(SEASON, anchor(SEASON)).key("", (TIMES[0], TIMES[1] + 1.0, END))
    assert past.key("", (*TIMES[:2], END + 1.0)) != one


@pytest.mark.parametrize("name", [each.name for each in fields(nouns.Test)])
def test_every_part_of_a_test_counts(name: str) -> None:
    test = next(each for each in SEASON.tests if each.quantity == "nitrate")
    new = replace(test, quantity="alkalinity") if name == "quantity" else changed(test, name)
    assert key(replace(SEASON, tests=swapped(SEASON.tests, test, new))) != key(SEASON)


@pytest.mark.parametrize("kind", [Pour, Exchange, Mark, Setting], ids=lambda kind: kind.__name__)
def test_every_part_of_an_event_counts(kind: type) -> None:
    event = next(each for each in SEASON.events if isinstance(each, kind))
    for each in fields(kind):
        new = changed(event, each.name)
        events = swapped(SEASON.events, event, new)
        assert key(replace(SEASON, events=events, fullest=fullest_marks(events))) != key(SEASON)


def test_every_part_of_a_flow_counts() -> None:
    flow = SEASON.flows[0]
    for each in fields(Flow):
        if each.name == "settings":
            new = replace(flow, settings=((flow.settings[0][0], 61.0), *flow.settings[1:]))
        else:
            new = changed(flow, each.name)
        assert key(replace(SEASON, flows=(new, *SEASON.flows[1:]))) != key(SEASON), each.name


def test_every_part_of_a_stream_counts() -> None:
    stream = SEASON.streams[0]
    for each in fields(Stream):
        if each.name == "flow":
            new = replace(stream, flow=changed(stream.flow, "rates"))
        else:
            new = changed(stream, each.name)
        assert key(replace(SEASON, streams=(new,))) != key(SEASON), each.name


LISTS = {"tests", "events", "flows", "streams", "food", "verdicts", "quantities", "notes"}


@pytest.mark.parametrize("name", [each.name for each in fields(Season) if each.name not in LISTS])
def test_every_other_part_of_a_season_counts(name: str) -> None:
    if name == "fullest":
        return  # follows from the events
    assert key(changed(SEASON, name)) != key(SEASON)


def test_food_verdicts_and_fixed_points_count_and_notes_do_not() -> None:
    assert SEASON.food is not None
    assert key(replace(SEASON, food=changed(SEASON.food, "rates"))) != key(SEASON)
    assert key(replace(SEASON, verdicts=())) != key(SEASON)
    level = anchor(SEASON).level
    assert key(SEASON, Anchor({**level, "nitrate": 1.0})) != key(SEASON)
    assert key(SEASON, Anchor({**level, "potassium": 1.0})) == key(SEASON)
    assert key(replace(SEASON, notes=("a note",))) == key(SEASON)


def test_nothing_of_what_came_later_is_in_it() -> None:
    cut = Past(SEASON, anchor(SEASON)).until(END)
    assert cut.quantities == ("alkalinity", "nitrate")
    assert max(test.t for test in cut.tests) <= END
    assert max(event.t for event in cut.events) <= END
    for flow in (*cut.flows, *(each.flow for each in cut.streams)):
        assert max(flow.breaks) <= END
        assert all(since <= END for since, _ in flow.settings)


def test_what_flowed_in_by_then_is_the_same_to_the_last_bit() -> None:
    cut = Past(SEASON, anchor(SEASON)).until(END)
    times = np.linspace(SEASON.tests[0].t, END, 400)
    assert SEASON.food is not None
    assert cut.food is not None
    for whole, part in ((SEASON.flows[0], cut.flows[0]), (SEASON.food, cut.food)):
        assert np.array_equal(whole.upto(times), part.upto(times))
    assert np.array_equal(SEASON.deficit(times), cut.deficit(times))


def test_facts_after_the_end_leave_the_key_alone() -> None:
    later = [each for each in [*BOOK, *EXTRA] if not (each.kind == "test" and each.when > AT)]
    fewer = [each for each in later if (each.when - BOOK[0].when).days < 160]
    assert len(fewer) < len(later)
    assert key(arrange(REEF, fewer, AT)[0]) == key(replace(SEASON, verdicts=()))
