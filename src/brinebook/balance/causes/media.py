"""Phosphate that rises under ferric media: tired media, more food, or the vial."""

from __future__ import annotations

import math

from brinebook import units
from brinebook.balance.causes.case import Case, occasions
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.state import FERRIC

_LOOK_BACK_DAYS, _ENOUGH_SDS = 28.0, 2.5
#: How old ferric media are when they are used up, and at any time (days; common practice).
_USED_UP, _ANY_AGE = (45.0, 18.0), (18.0, 18.0)
#: Food of late against food before: where food was the cause, and where not (common practice).
_MORE_FOOD, _SAME_FOOD = (1.4, 0.3), (1.0, 0.2)
_SHARES = {"media_exhausted": 0.5, "use_changed": 0.1, "test_wrong": 0.15, "other": 0.25}


def tired_media(case: Case) -> list[Explained]:
    """One explanation where phosphate has risen from its lowest under ferric media, else none."""
    swaps = [(t, float(fact.value)) for t, fact in case.of_kind("media") if fact.what == FERRIC]
    if not swaps or swaps[-1][1] <= 0.0:
        return []
    put_in, grams = swaps[-1]
    seen = [one for one in occasions(case.tests_of("phosphate"))
            if one.t > max(put_in, case.at - _LOOK_BACK_DAYS)]  # fmt: skip
    if len(seen) < 2:
        return []
    lowest = min(seen[:-1], key=lambda one: (one.value, one.t))
    last = seen[-1]
    rise, sd = last.value - lowest.value, math.hypot(last.sd, lowest.sd)
    if rise < _ENOUGH_SDS * sd:
        return []
    high = [one for one in seen if one.t > lowest.t and one.value - lowest.value > 1.5 * sd]
    numbers: Numbers = {
        "lowest": lowest.value, "when": lowest.t, "last": last.value, "sd": sd,
        "age": case.at - put_in, "grams": grams, "put_in": put_in,
    }  # fmt: skip
    clues = [
        Clue(Sign("media_age", case.at - put_in, 1.0, _ANY_AGE, numbers),
             {"media_exhausted": _USED_UP}),
        Clue(Sign("high_tests", float(len(high)), 0.5, (2.0, 1.2), {"count": float(len(high))}),
             {"test_wrong": (1.0, 0.4)}),
        *_food(case, lowest.t),
    ]  # fmt: skip
    asks = {cause: asks_of(cause, "phosphate") for cause in _SHARES if cause != "other"}
    return [
        explained(
            "media",
            ("phosphate",),
            begins=lowest.t,
            ends=last.t,
            shares=_SHARES,
            asks=asks,
            clues=clues,
            numbers=numbers,
        )
    ]


def _food(case: Case, since: float) -> list[Clue]:
    """Grams of food a day since a time, beside those of the four weeks before it."""
    meals = [(t, units.convert_amount(float(fact.value), fact.unit or "g", "g"))
             for t, fact in case.of_kind("feed")]  # fmt: skip
    days = case.at - since
    late = math.fsum(grams for t, grams in meals if t > since) / max(days, 1.0)
    early = math.fsum(grams for t, grams in meals if since - 28.0 < t <= since) / 28.0
    if days < 3.0 or early <= 0.0:
        return []
    sign = Sign("food", late / early, 0.1, _SAME_FOOD, {"late": late, "early": early})
    return [Clue(sign, {"other": _MORE_FOOD})]
