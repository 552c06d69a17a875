"""What became of a plan's steps, and what came against what was expected."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from brinebook.plan import Expected, KeptStep, Mark, Plan, Step
from brinebook.planning.keeping import as_planned, came_of, not_yet, steps_of
from brinebook.timeline import Fact

START = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


def _step(days: float, kind: str = "dose", what: str = "NaHCO3", value: str = "10") -> Step:
    when = START + timedelta(days=days)
    unit = "g" if value else ""
    return Step(when, when + timedelta(hours=12), kind, what, value, unit, "pour it")


PLAN = Plan(
    "correction", ("alkalinity",), START, "do", "Pour.",
    steps=(_step(0), _step(1), _step(2, "test", "alkalinity", "")),
)  # fmt: skip


def _fact(
    identifier: str,
    hours: float,
    kind: str = "dose",
    *,
    what: str = "NaHCO3",
    value: str = "10",
    unit: str = "g",
) -> Fact:
    return Fact(identifier, START + timedelta(hours=hours), kind, what, value, unit)


def _states(
    facts: tuple[Fact, ...], *, hours: float, marks: tuple[Mark, ...] = ()
) -> tuple[KeptStep, ...]:
    return steps_of(PLAN, marks, facts, at=START + timedelta(hours=hours))


def test_a_step_is_coming_then_due_then_missed() -> None:
    first = [_states((), hours=h)[0].state for h in (-1, 0, 11, 13)]
    assert first == ["coming", "due", "due", "missed"]


def test_a_mark_that_names_a_standing_fact_makes_a_step_done() -> None:
    fact = _fact("aaaa", 40.0, value="77")
    mark = Mark("done", 1, "aaaa", START)
    assert _states((fact,), hours=48, marks=(mark,))[0].state == "done"
    # The fact was taken back since: the step is open again.
    assert _states((), hours=2, marks=(mark,))[0].state == "due"


def test_a_fact_written_by_hand_counts_for_the_step_that_it_is_like() -> None:
    found = _states((_fact("aaaa", 1.0, value="11"),), hours=2)
    assert found[0].state == "done"
    assert found[0].fact is not None
    assert found[1].state == "coming"


@pytest.mark.parametrize(
    "other",
    [
        {"value": "20"},
        {"unit": "mL"},
        {"what": "Na2CO3"},
    ],
)
def test_something_else_by_hand_counts_for_nothing(other: dict[str, str]) -> None:
    assert _states((_fact("aaaa", 1.0, **other),), hours=2)[0].state == "due"


def test_the_same_amount_in_another_unit_is_the_same_act() -> None:
    mark = Mark("done", 1, "aaaa", START)
    for value, unit, as_told in (
        ("10000", "mg", True),
        ("0.01", "kg", True),
        ("0.02", "kg", False),
    ):
        found = _states((_fact("aaaa", 1.0, value=value, unit=unit),), hours=2, marks=(mark,))
        assert found[0].state == "done"
        assert as_planned(found, before=1) is as_told


def test_one_fact_counts_for_one_step_only() -> None:
    found = _states((_fact("aaaa", 20.0),), hours=30)
    assert [one.state for one in found[:2]].count("done") == 1


def test_a_test_of_the_quantity_is_the_test_that_was_planned() -> None:
    fact = _fact("bbbb", 49.0, "test", what="alkalinity", value="8.1", unit="dKH")
    assert _states((fact,), hours=50)[2].state == "done"


def test_a_skipped_step_is_neither_due_nor_missed() -> None:
    mark = Mark("skipped", 1, "", START)
    assert _states((), hours=20, marks=(mark,))[0].state == "skipped"


EXPECTED = Expected("alkalinity", START, 2.85, 2.70, 3.00)


@pytest.mark.parametrize(
    ("value", "verdict"), [(2.85, "as expected"), (2.75, "as expected"), (2.5, "lower"),
                           (3.2, "higher")]
)  # fmt: skip
def test_what_came_is_judged_by_both_doubts_together(value: float, verdict: str) -> None:
    assert came_of(EXPECTED, value=value, sd=0.05).verdict == verdict


def test_what_is_still_to_come_is_not_judged() -> None:
    found = not_yet(EXPECTED)
    assert found.value is None
    assert found.verdict == "can't tell yet"
