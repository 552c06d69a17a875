"""What is outside the keeper's band, or as things go will be within the week."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from brinebook.balance.answer import QuantityAnswer
from brinebook.balance.causes.case import dosed_per_day
from brinebook.report.act import Act, listed
from brinebook.report.advice import URGENT
from brinebook.report.flows import dosing_sentence, same_hour
from brinebook.report.numbers import chance_text
from brinebook.report.speech import Speech
from brinebook.report.view import View, is_unknown
from brinebook.texts import say

#: A chance of leaving the band within a week from which it comes before the tests.
_LEAVES = 0.6
_DAY = timedelta(days=1)
_DOSED = ("alkalinity", "calcium")
#: Which plan is about a quantity that isn't poured in.
_PLANS = {
    "salinity": "salinity", "nitrate": "nutrients nitrate", "phosphate": "nutrients phosphate"
}  # fmt: skip


def acts_of_limits(view: View) -> list[Act]:
    """What is outside its band or about to leave it; what is slow shares one line."""
    pressing: list[Act] = []
    slow: list[tuple[QuantityAnswer, Act]] = []
    for quantity in view.spoken():
        if quantity.outside is None or quantity.band is None or is_unknown(quantity):
            continue
        if quantity.status == "out of band":
            made = _out(view, quantity)
        elif quantity.status != "stale" and max(quantity.outside) >= _LEAVES:
            made = _leaving(view, quantity)
        else:
            continue
        if quantity.name in URGENT:
            pressing.append(made)
        else:
            slow.append((quantity, made))
    if len(slow) > 1:
        return [*pressing, _together(view, [quantity for quantity, _ in slow])]
    return pressing + [act for _, act in slow]


def _side(quantity: QuantityAnswer) -> tuple[str, float]:
    assert quantity.outside is not None
    low, high = quantity.outside
    return ("low", low) if low >= high else ("high", high)


def _out(view: View, quantity: QuantityAnswer) -> Act:
    assert quantity.band is not None
    speech = view.speech
    under = quantity.now.value < quantity.band[0]
    verb = say("Bring") if quantity.name in URGENT else say("In no hurry, bring")
    side, way = (say("under"), say("up")) if under else (say("over"), say("down"))
    text = say(
        "{verb} {quantity} {way} slowly: it is {side} your band.",
        verb=verb,
        quantity=speech.name(quantity.name),
        way=way,
        side=side,
    )
    why = say(
        "It is about {value}; your band is {band}. {rate_limit}{dosing_sentence}",
        value=speech.with_range(quantity.name, quantity.now),
        band=view.band(quantity),
        rate_limit=_rate_limit(view, quantity.name),
        dosing_sentence=dosing_sentence(view, quantity),
    )
    by = view.case.answer.at + (_DAY if quantity.name in URGENT else 7 * _DAY)
    return Act(
        "check", quantity.name, text, why.strip(), by, works_out=_plan(quantity, under=under)
    )


def _plan(quantity: QuantityAnswer, *, under: bool) -> str:
    """Which plan brings a quantity back into its band."""
    if quantity.name in _DOSED or quantity.name == "magnesium":
        return f"correct {quantity.name}" if under else ""
    return _PLANS.get(quantity.name, "")


def _rate_limit(view: View, name: str) -> str:
    limit = view.case.system.limits_per_day.get(name)
    if limit is None:
        return say("Not an emergency by itself. ")
    most = view.speech.difference(name, limit)
    return say("Not an emergency by itself: no faster than your own {most} a day. ", most=most)


def _leaving(view: View, quantity: QuantityAnswer) -> Act:
    speech = view.speech
    side, chance = _side(quantity)
    name = speech.name(quantity.name)
    assert quantity.band is not None
    edge = speech.edge(quantity.name, quantity.band[side == "high"])
    edge = f"{edge} {speech.unit(quantity.name)}".strip()
    due = view.due_of(quantity.name)
    testing = due is not None and due.by <= view.case.answer.at + _DAY / 2
    first = (
        say("Test {name} today", name=name)
        if testing
        else say("Look at {name} this week", name=name)
    )
    text = say(
        "{first}: as things go it passes the {side} end of your band, {edge}.",
        first=first,
        side=say("low") if side == "low" else say("high"),
        edge=edge,
    )
    why = say(
        "It is about {value}{tested}, and passes within a week with a chance of "
        "{chance}. {dosing_sentence}{same_hour}",
        value=speech.with_range(quantity.name, quantity.now),
        tested=_tested(speech, quantity),
        chance=chance_text(chance),
        dosing_sentence=dosing_sentence(view, quantity),
        same_hour=same_hour(view, quantity.name),
    )
    by = view.case.answer.at + (timedelta(hours=12) if testing else 2 * _DAY)
    kind = "test" if testing else "check"
    plan = "dose" if quantity.name in _DOSED and dosed_per_day(view.case, quantity.name) else ""
    return Act(kind, quantity.name, text, why.strip(), by, works_out=plan)


def _tested(speech: Speech, quantity: QuantityAnswer) -> str:
    return (
        say(", tested {ago}", ago=speech.ago(quantity.tested))
        if quantity.tested is not None
        else ""
    )


def _together(view: View, quantities: Sequence[QuantityAnswer]) -> Act:
    speech = view.speech
    names = listed([speech.name(each.name) for each in quantities])
    said = [
        say(
            "{quantity} is about {value}, band {band}.",
            quantity=speech.title(each.name),
            value=speech.with_range(each.name, each.now),
            band=view.band(each),
        )
        for each in quantities
    ]
    text = say("In no hurry, see to {names}: outside your bands, or about to be.", names=names)
    return Act("check", quantities[0].name, text, " ".join(said), view.case.answer.at + 7 * _DAY)
