"""Tests that are due: one sitting today for what presses, one at the weekend for the rest."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from brinebook.report.act import Act, listed
from brinebook.report.advice import NextTest, Sitting, sittings
from brinebook.report.view import View, is_unknown
from brinebook.texts import say

_SATURDAY = 5


def acts_of_tests(view: View, said: Collection[str]) -> list[Act]:
    """One sitting today for what presses, one at the weekend for the rest."""
    tests = [test for test in view.next_tests if test.quantity not in said]
    zone = view.speech.zone
    return [_sitting(view, each) for each in sittings(tests, view.case.answer.at, zone)]


def _sitting(view: View, sitting: Sitting) -> Act:
    names = listed([view.speech.name(test.quantity) for test in sitting.tests])
    weekday = view.speech.at.astimezone(view.speech.zone).weekday()
    if sitting.today or weekday > _SATURDAY:
        when = say("today")
    else:
        when = say("today or tomorrow") if weekday == _SATURDAY else say("this weekend")
    return Act(
        "test",
        sitting.tests[0].quantity,
        say("Test {names} {when}.", names=names, when=when),
        _why_tests(view, sitting),
        sitting.by,
    )


def _why_tests(view: View, sitting: Sitting) -> str:
    """For each: how old the last test is and the range that is left of it, or what it may reach.

    Those of which nothing can be said any more are told in one breath.
    """
    answers = view.case.answer.quantities
    gone = [test.quantity for test in sitting.tests if is_unknown(answers[test.quantity])]
    parts = [_gone(view, gone)] if gone else []
    parts += [_left(view, test) for test in sitting.tests if test.quantity not in gone]
    return " ".join(parts)


def _gone(view: View, names: Sequence[str]) -> str:
    tested = [view.case.answer.quantities[name].tested for name in names]
    ago = view.speech.ago(max(when for when in tested if when is not None))
    said = listed([view.speech.name(name) for name in names])
    verb, them = (say("was"), say("it is")) if len(names) == 1 else (say("were"), say("they are"))
    title = said if said != said.lower() else said.capitalize()
    return say(
        "{title} {verb} last tested {ago}: I can't say where {them} by now.",
        title=title,
        verb=verb,
        ago=ago,
        them=them,
    )


def _left(view: View, test: NextTest) -> str:
    quantity = view.case.answer.quantities[test.quantity]
    assert quantity.tested is not None  # or it would not be in the answer
    between = view.speech.range(test.quantity, quantity.now)
    said = f"{between} {view.speech.unit(test.quantity)}".strip()
    ago = view.speech.ago(quantity.tested)
    left = say(
        "{quantity} was last tested {ago}: {said}",
        quantity=view.speech.title(test.quantity),
        ago=ago,
        said=said,
    )
    if not test.overdue and quantity.band is not None:
        return say("{left} by now, your band being {band}.", left=left, band=view.band(quantity))
    return say("{left} is all I can say.", left=left)
