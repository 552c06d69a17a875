"""Whether a plan would rest on one test alone that reads far from what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from brinebook.balance.answer import Answer
from brinebook.balance.decided import NOTHING, Remembered
from brinebook.balance.drawn import draw
from brinebook.balance.estimate import estimate
from brinebook.desk.plan_now import BookOrAnswer
from brinebook.desk.plan_start import Start
from brinebook.desk.plan_words import middle_of, quantity_text, with_range_text
from brinebook.measure import Measure
from brinebook.planning.worth import FAR, is_surprising
from brinebook.report.dates import ago_text
from brinebook.texts import say
from brinebook.texts.names import quantity_label
from brinebook.timeline import Fact

_DRAWS = 1000
#: A test made again within so many days seconds the one before it.
_SECONDED_DAYS = 3.0


def memory_of(
    source: BookOrAnswer, name: str | None, *, at: datetime | None, known: datetime | None
) -> Remembered:
    """What the book keeps of earlier chapters, so that another reading of it is quick."""
    from brinebook.desk.assess import loaded_of
    from brinebook.desk.remembering import recall

    return recall(loaded_of(source, name, at=at, known=known))


@dataclass(frozen=True, slots=True)
class Stale:
    """A quantity whose last test is too long ago for anything to rest on it."""

    quantity: str
    tested: datetime

    def sentence(self, start: Start) -> str:
        """Why a test comes before anything else."""
        return say(
            "Test {quantity} first: the last test was {when}, too long ago to turn a knob by.",
            quantity=quantity_label(self.quantity),
            when=ago_text(self.tested, start.at, start.zone),
        )


def stale(start: Start, quantity: str) -> Stale | None:
    """Where a quantity's last test is too long ago for a plan."""
    if start.water.answer is None or start.water.too_old(quantity) is None:
        return None
    tested = start.water.answer.quantities[quantity].tested
    return None if tested is None else Stale(quantity, tested)


@dataclass(frozen=True, slots=True)
class Surprise:
    """The last test of a quantity, and what the level would be believed to be without it."""

    quantity: str
    test: Fact
    without: Measure

    def sentence(self, start: Start) -> str:
        """Why the test is made again before anything else."""
        unit = start.units[self.quantity]
        own = f" {self.test.unit}" if self.test.unit else f" {unit}"
        expected = with_range_text(self.quantity, self.without, start.units)
        level = middle_of(start.drawn.level(self.quantity))
        now = quantity_text(self.quantity, level, start.units)
        when = ago_text(self.test.when, start.at, start.zone)
        return say(
            "Test {quantity} again first: that it is about {now} rests on the one "
            "test {when} ({test}{own}); without it {expected} would be expected now.",
            quantity=self.quantity,
            now=now,
            when=when,
            test=self.test.value,
            own=own,
            expected=expected,
        )


def surprise(
    start: Start,
    quantity: str,
    target: float,
    *,
    remembered: Remembered = NOTHING,
    far: float = FAR,
) -> Surprise | None:
    """The last test, where it alone makes the plan: far from the rest, and it changes the act.

    None for levels that were stated, where the quantity has no second test, and where another
    test of the same days says what the last one says: then it doesn't stand alone.
    """
    answer = start.water.answer
    tests = [
        fact for fact in start.water.facts
        if fact.kind == "test" and fact.what == quantity and fact.when <= start.at
    ]  # fmt: skip
    if answer is None or start.stated or len(tests) < 2:
        return None
    last = max(tests, key=lambda fact: fact.when)
    facts = [fact for fact in start.water.facts if fact.id != last.id]
    seasons = estimate(start.water.system, facts, start.at, remembered=remembered)
    season = next((each for each in seasons if each.volume is not None), None)
    if season is None or quantity not in season.season.quantities:
        return None
    before = draw(season, count=_DRAWS).level(quantity)
    if _is_seconded(answer, last, expected=float(np.median(before))):
        return None
    if not is_surprising(start.drawn.level(quantity), before, target=target, far=far):
        return None
    return Surprise(quantity, last, middle_of(before))


def _is_seconded(answer: Answer, last: Fact, *, expected: float) -> bool:
    """Whether another test of the last days reads nearer to this one than to what was expected."""
    tests = [
        test for season in answer.seasons for test in season.season.tests
        if test.quantity == last.what and not test.target
    ]  # fmt: skip
    odd = next((test for test in tests if test.fact == last.id), None)
    if odd is None:
        return False
    others = (t for t in tests if t is not odd and 0.0 <= odd.t - t.t <= _SECONDED_DAYS)
    return any(abs(t.value - odd.value) < abs(t.value - expected) for t in others)
