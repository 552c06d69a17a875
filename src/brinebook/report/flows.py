"""What dosing brings in a day beside what is used, in a sentence."""

from __future__ import annotations

from brinebook.balance.answer import QuantityAnswer
from brinebook.balance.causes.case import daily_swing, dosed_per_day, test_noise
from brinebook.measure import Measure
from brinebook.report.view import View
from brinebook.texts import say

#: The day's swing is worth a word from so many of one test's deviations (common practice).
_SWING_NOISES = 2.0


def dosing_sentence(view: View, quantity: QuantityAnswer) -> str:
    """“The reef uses 0.9 dKH a day (0.8 to 1.0) and dosing brings the same.” Or nothing."""
    use = quantity.consumption
    if use is None or quantity.name == "salinity":
        return ""
    speech = view.speech
    used = speech.with_range(quantity.name, use, difference=True)
    dosed = dosed_per_day(view.case, quantity.name)
    if dosed is None:
        if use.low <= 0.0 <= use.high:
            return ""
        verb, amount = (say("uses"), use) if use.value > 0 else (say("makes"), negative(use))
        told = speech.with_range(quantity.name, amount, difference=True)
        return say("The reef {verb} {told} a day.", verb=verb, told=told)
    if abs(dosed - use.value) < 0.5 * use.sd:
        return say("The reef uses {used} a day and dosing brings the same.", used=used)
    brought = speech.change(quantity.name, dosed, use.sd)
    return say(
        "The reef uses {used} a day; dosing, as set, brings {brought}.", used=used, brought=brought
    )


def same_hour(view: View, quantity: str) -> str:
    """“ Test at your usual hour: …”, where dosing by the clock moves more than a test sees."""
    swing = daily_swing(view.case, quantity)
    tests = view.case.tests_of(quantity)
    if not tests or swing < _SWING_NOISES * test_noise(tests[-1]):
        return ""
    moved = view.speech.change(quantity, swing, test_noise(tests[-1]))
    return say(" Test at your usual hour: dosing moves it by {moved} within a day.", moved=moved)


def negative(measure: Measure) -> Measure:
    """The measure of minus what another one measures."""
    return Measure(-measure.value, measure.sd, measure.unit, -measure.high, -measure.low)
