"""Steps between reagent lots, standards that read off, and a volume that facts contradict."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from brinebook.balance.causes.case import Case, Occasion
from brinebook.balance.causes.readings import (
    facts_of_volume,
    odd_lots,
    odd_standards,
    step_between,
)
from brinebook.balance.season import days_since_epoch
from brinebook.book.identity import make_fact
from brinebook.measure import Measure
from tests.report import books


def _case(story: books.Story) -> Case:
    return Case(story.system, story.facts, story.told(), days_since_epoch(story.now))


_RUN = st.lists(st.tuples(st.floats(0.5, 4.0), st.floats(7, 9), st.floats(0.05, 0.3)),
                min_size=2, max_size=4)  # fmt: skip


def _occasions(start: float, run: list[tuple[float, float, float]]) -> list[Occasion]:
    found, t = [], start
    for gap, value, sd in run:
        t += gap
        found.append(Occasion(t, value, sd, ()))
    return found


@given(_RUN, _RUN)
def test_the_step_is_that_of_weighted_least_squares(
    first: list[tuple[float, float, float]], second: list[tuple[float, float, float]]
) -> None:
    before = _occasions(100.0, first)
    after = _occasions(before[-1].t + 1.0, second)
    found = step_between(before, after)
    assert found is not None
    seen = [*before, *after]
    design = np.column_stack(
        [np.ones(len(seen)), [o.t for o in seen], [float(o.t >= after[0].t) for o in seen]]
    )
    weights = [1.0 / o.sd**2 for o in seen]
    oracle = sm.WLS([o.value for o in seen], design, weights=weights).fit(cov_type="fixed scale")
    assert found[0] == pytest.approx(oracle.params[2], rel=1e-6, abs=1e-7)
    assert found[1] == pytest.approx(oracle.bse[2], rel=1e-6)


def test_one_reading_on_a_side_tells_no_step() -> None:
    lone = [Occasion(1.0, 8.0, 0.1, ())]
    assert step_between(lone, _occasions(2.0, [(1, 8, 0.1), (1, 8, 0.1)])) is None


def test_water_that_only_falls_under_two_bottles_is_no_step_between_them() -> None:
    story = books.quiet(until=20.0)
    story.facts = [fact for fact in story.facts if fact.what != "alkalinity"]
    for step in range(16):
        ago = 46.0 - 3.0 * step
        story.test(ago, "alkalinity", 9.0 - 0.1 * step, lot="A1" if ago > 14 else "B2")
    assert odd_lots(_case(story)) == []


def test_a_step_where_no_bottle_was_begun_is_not_the_bottles() -> None:
    story = books.new_bottle()
    story.facts = [
        make_fact(f.when, f.kind, what=f.what, value=f.value, unit=f.unit,
                        detail={**f.detail, "lot": "A1"} if "lot" in f.detail else f.detail)
        for f in story.facts
    ]  # fmt: skip
    assert odd_lots(_case(story)) == []


def test_a_standard_that_reads_true_says_nothing() -> None:
    story = books.off_standard()
    assert len(odd_standards(_case(story))) == 1
    story.facts = [fact for fact in story.facts if fact.value != "8.7" or "of" not in fact.detail]
    assert odd_standards(_case(story)) == []


@given(st.floats(50, 1000), st.floats(0.03, 0.3), st.floats(-0.5, 0.5), st.floats(0.02, 0.2))
def test_belief_and_facts_of_the_volume_come_apart_as_they_went_together(
    litres: float, before: float, off: float, facts_sd: float
) -> None:
    # Two normals of the logarithm put together by their weights, then taken apart again.
    weight = 1.0 / facts_sd**2
    after = 1.0 / math.sqrt(1.0 / before**2 + weight)
    moved = off * weight * after**2
    belief = Measure(litres, litres * math.sqrt(math.expm1(before**2)), "L")
    value = litres * math.exp(moved)
    found = facts_of_volume(belief, Measure(value, value * after, "L"))
    if after > 0.98 * before:
        assert found is None
        return
    assert found is not None
    assert found[0] == pytest.approx(litres * math.exp(off), rel=1e-6)
    assert found[1] == pytest.approx(off / math.hypot(before, facts_sd), abs=1e-6)
