"""The main answer as the contract's JSON. Keys in the order of the contract."""

from __future__ import annotations

from brinebook.balance.answer import Answer, MethodVerdict, QuantityAnswer, Unlogged
from brinebook.balance.decided import Suspect
from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.report.advice import next_test
from brinebook.report.short_id import short_id
from brinebook.texts import begun, say
from brinebook.units import QUANTITIES

Json = dict[str, object]


def answer_json(answer: Answer) -> Json:
    """``balance --json``."""
    return {
        "as_of": answer.at.isoformat(),
        "volume": {"value": answer.volume.value, "sd": answer.volume.sd, "unit": "L"},
        "quantities": {
            name: _quantity(answer, quantity) for name, quantity in answer.quantities.items()
        },
        "suspect_tests": [_suspect(answer, each) for each in answer.suspects],
        "unlogged": [_unlogged(each) for each in answer.unlogged],
        "methods": [_method(each) for each in answer.methods],
    }


def span(measure: Measure) -> Json:
    """A measure without its unit."""
    return {"value": measure.value, "sd": measure.sd, "low": measure.low, "high": measure.high}


def _rate(measure: Measure | None) -> Json | None:
    return None if measure is None else span(measure) | {"unit": measure.unit}


def _quantity(answer: Answer, quantity: QuantityAnswer) -> Json:
    due = next_test(answer, quantity)
    return {
        "unit": quantity.unit,
        "now": span(quantity.now),
        "consumption": _rate(quantity.consumption),
        "net_rate": _rate(quantity.net_rate),
        "forecast": [
            {"when": when.isoformat(), "value": each.value, "low": each.low, "high": each.high}
            for when, each in quantity.forecast
        ],
        "leaves_band": _leaves(quantity),
        "next_test": {"by": due.by.isoformat(), "why": due.why},
        "status": quantity.status,
    }


def _leaves(quantity: QuantityAnswer) -> Json | None:
    if quantity.outside is None or quantity.band is None:
        return None
    low, high = quantity.outside
    likely = None
    for when, each in quantity.forecast:
        if not quantity.band[0] <= each.value <= quantity.band[1]:
            likely = when.isoformat()
            break
    return {
        "probability_7_days": min(low + high, 1.0),
        "side": "low" if low >= high else "high",
        "likely_when": likely,
    }


def _suspect(answer: Answer, each: Suspect) -> Json:
    return {
        "when": instant(each.t).isoformat(),
        "what": each.quantity,
        "value": each.value,
        "unit": QUANTITIES[each.quantity].unit,
        "fact": each.fact,
        "method": each.method or None,
        "replicate": each.replicate or None,
        "probability_wrong": each.probability,
        "why": why_suspect(answer, each),
    }


def why_suspect(answer: Answer, each: Suspect) -> str:
    """What the tests next to a suspect one read, and that all else was weighed too."""
    unit = QUANTITIES[each.quantity].unit
    others = [
        (test.t, test.value)
        for season in answer.seasons
        for test in season.season.tests
        if test.quantity == each.quantity and not test.target and test.fact != each.fact
    ]
    before = [value for t, value in others if t <= each.t]
    after = [value for t, value in others if t > each.t]
    said = [say("the test before it read {before:.4g}", before=before[-1])] if before else []
    said += [say("the one after it {after:.4g}", after=after[0])] if after else []
    if not said:
        return say("What is known of such water speaks against it.")
    read = ", ".join(said)
    return say(
        "{read} {unit}; doses, changes and the other quantities explain no such step.",
        read=begun(read),
        unit=unit,
    )


def _unlogged(each: Unlogged) -> Json:
    return {
        "id": each.id,
        "short_id": short_id(each.id),
        "from": each.begins.isoformat(),
        "to": each.ends.isoformat(),
        "what": each.quantity,
        "change": each.change.value,
        "sd": each.change.sd,
        "unit": each.change.unit,
        "probability": each.probability,
        "why": why_unlogged(each),
    }


def why_unlogged(each: Unlogged) -> str:
    """What kind of thing would have made the change."""
    if each.kind == "stop":
        return say(
            "It is what the {what} would have brought: it seems to have stood still.",
            what=each.what,
        )
    if each.kind == "exchange":
        return say("Several quantities moved together towards the salt mix, as in a water change.")
    if each.kind == "fall":
        return say(
            "Alkalinity and calcium fell together by more than is used: as in precipitation."
        )
    if each.kind == "dilution":
        return say("All of it moved together, as by fresh water: too much of it, or too little.")
    return say("The tests moved by more than use, doses and their own noise explain.")


def _method(each: MethodVerdict) -> Json:
    return {
        "method": each.method or None,
        "lot": each.lot or None,
        "quantity": each.quantity,
        "sd": each.sd,
        "bias": each.bias.value,
        "bias_sd": each.bias.sd,
        "unit": each.bias.unit,
    }
