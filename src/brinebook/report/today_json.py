"""``today --json`` as the contract has it: keys in its order, and no promised text empty."""

from __future__ import annotations

from brinebook.balance.answer import Answer
from brinebook.report.act import Act
from brinebook.report.causes import Explanation
from brinebook.report.today import Today

Json = dict[str, object]


def today_json(answer: Answer, page: Today) -> Json:
    """The whole answer."""
    return {
        "as_of": page.at.isoformat(),
        "headline": page.headline,
        "acts": [_act(act) for act in page.acts],
        "explanations": [_explanation(each) for each in page.explanations],
        "quantities": {
            name: {
                "status": each.status,
                "value": each.now.value,
                "low": each.now.low,
                "high": each.now.high,
                "unit": each.unit,
                "tested": each.tested.isoformat() if each.tested else None,
            }
            for name, each in answer.quantities.items()
        },
        "next_tests": [
            {"what": test.quantity, "by": test.by.isoformat(), "why": test.why}
            for test in page.next_tests
        ],
    }


def _act(act: Act) -> Json:
    told: Json = {
        "kind": act.kind,
        "about": act.about,
        "text": act.text,
        "why": act.why,
        "by": act.by.isoformat(),
        "substance": act.substance or None,
        "amount": act.amount,
        "unit": act.unit or None,
    }
    if act.plan:  # only of a plan that the keeper accepted
        told |= {"plan": act.plan, "step": act.step}
    return told


def _explanation(each: Explanation) -> Json:
    found: Json = {
        "about": list(each.about),
        "since": each.since.isoformat(),
        "causes": [
            {
                "cause": cause.cause,
                "probability": cause.probability,
                "for": cause.speaks_for,
                "against": cause.speaks_against,
                "tell_apart": cause.tell_apart,
                "asks": cause.asks or None,
            }
            for cause in each.causes
        ],
    }
    if each.settled is not None:
        word = each.settled
        found["settled"] = {"when": word.when.isoformat(), "by": word.by, "says": word.says}
    return found
