"""The first weeks: when use can't yet be told from the noise of the tests, and dosing can wait."""

from __future__ import annotations

import math

from brinebook.balance.beliefs import ALKALINITY_PER_NITRATE
from brinebook.balance.causes.case import dosed_per_day
from brinebook.report.speech import days_span
from brinebook.report.view import View
from brinebook.texts import say

#: Use is taken to be known once this many deviations part it from nothing (common practice).
_KNOWN_SDS = 2.5
_FEW_TESTS = 8


def too_early_to_dose(view: View) -> str | None:
    """Why not to dose yet; None where dosing goes on already, or use is known, or tests abound."""
    quantity = view.case.answer.quantities.get("alkalinity")
    if quantity is None or quantity.consumption is None or quantity.tests >= _FEW_TESTS:
        return None
    use = quantity.consumption
    if dosed_per_day(view.case, "alkalinity") or use.value > _KNOWN_SDS * use.sd:
        return None
    below = quantity.band is not None and quantity.now.value < quantity.band[0]
    seen = view.sound_occasions("alkalinity")
    if below or len(seen) < 2:
        return None
    first, last = seen[0], seen[-1]
    speech = view.speech
    noise = math.hypot(first.sd, last.sd)
    change = last.value - first.value
    verb = say("dropped") if change < 0 else say("risen")
    moved = speech.change("alkalinity", change, noise)
    text = say(
        "Alkalinity has {verb} by {moved} in {t}: too little to tell use from the "
        "noise of tests (± {change} each).",
        verb=verb,
        moved=moved,
        t=days_span(last.t - first.t),
        change=speech.change("alkalinity", first.sd, first.sd),
    )
    return f"{text} {_by_nitrate(view, first.t, last.t)}".strip()


def _by_nitrate(view: View, start: float, end: float) -> str:
    """What making nitrate took of alkalinity meanwhile, where nitrate was tested and rose."""
    quantity = view.case.answer.quantities.get("nitrate")
    if quantity is None or quantity.consumption is None or quantity.consumption.high >= 0.0:
        return ""
    made = -quantity.consumption.value * (end - start)
    taken = made * ALKALINITY_PER_NITRATE
    speech = view.speech
    sd = quantity.consumption.sd * (end - start)
    return say(
        "Making {change} of nitrate in that time would by itself take {taken}.",
        change=speech.change("nitrate", made, sd),
        taken=speech.change("alkalinity", taken, sd * ALKALINITY_PER_NITRATE),
    )
