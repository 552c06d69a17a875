"""What is to be done, in order of what hangs on it: danger, checks, limits, tests, waiting.

The check comes before any dose, and a question is put once. No amount is named here: what is dosed
is planned where the solution, the pour and the keeper's limits are known.
"""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.report.act import Act
from brinebook.report.acts_limits import acts_of_limits
from brinebook.report.acts_matters import act_of_matter
from brinebook.report.acts_tests import acts_of_tests
from brinebook.report.advice import URGENT
from brinebook.report.danger import Danger
from brinebook.report.early import too_early_to_dose
from brinebook.report.view import View
from brinebook.texts import say

_RANK = {name: place for place, name in enumerate(URGENT)}


def acts_of(view: View, found: Sequence[Danger]) -> list[Act]:
    """Everything to do, most important first; empty where nothing is due."""
    at = view.case.answer.at
    acts = [
        Act(each.kind, each.about, each.text, each.why, at, asks=each.asks, danger=True)
        for each in found
    ]
    said = {each.about for each in found}
    for matter in view.open_matters:
        act = act_of_matter(view, matter)
        if act is not None and act.about not in said:
            acts.append(act)
            said.add(act.about)
    matters = [act for act in acts if not act.danger]
    matters.sort(key=lambda act: (act.kind == "wait", _RANK.get(act.about, 99)))
    # How much water there is comes after what is low and what is to be tested.
    unhurried = [act for act in matters if act.about == "volume"]
    acts = [act for act in acts if act.danger]
    acts += [act for act in matters if act not in unhurried]
    acts += [act for act in acts_of_limits(view) if act.about not in said]
    said |= {act.about for act in acts}
    acts += [*acts_of_tests(view, said), *unhurried]
    pressing = any(act.kind != "test" and act.about in URGENT for act in acts)
    return acts if pressing else [*_waiting(view), *acts]


def _waiting(view: View) -> list[Act]:
    """Not to dose yet, said on purpose, where use can't be told from the tests' own noise."""
    found = too_early_to_dose(view)
    if found is None:
        return []
    return [Act("wait", "alkalinity", say("Wait: don't dose yet."), found, view.case.answer.at)]
