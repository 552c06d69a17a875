"""Tests that are due: one sitting today for what presses, one at the weekend for the rest."""

from __future__ import annotations

from collections.abc import Collection

from brinebook.report.act import Act, listed
from brinebook.report.advice import Sitting, sittings
from brinebook.report.view import View, is_unknown

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
        when = "today"
    else:
        when = "today or tomorrow" if weekday == _SATURDAY else "this weekend"
    return Act(
        "test", sitting.tests[0].quantity, f"Test {names} {when}.", _why_tests(view, sitting),
        sitting.by,
    )  # fmt: skip


def _why_tests(view: View, sitting: Sitting) -> str:
    """For each: how old the last test is and the range that is left of it, or what it may reach."""
    parts = []
    for test in sitting.tests:
        quantity = view.case.answer.quantities[test.quantity]
        title = view.speech.title(test.quantity)
        assert quantity.tested is not None  # or it would not be in the answer
        ago = view.speech.ago(quantity.tested)
        if is_unknown(quantity):
            parts.append(f"{title} was last tested {ago}: I can't say where it is by now.")
            continue
        between = view.speech.range(test.quantity, quantity.now)
        unit = view.speech.unit(test.quantity)
        left = f"{title} was last tested {ago}: {between} {unit}".strip()
        if not test.overdue and quantity.band is not None:
            parts.append(f"{left} by now, your band being {view.band(quantity)}.")
        else:
            parts.append(f"{left} is all I can say.")
    return " ".join(parts)
