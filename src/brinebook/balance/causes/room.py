"""pH that moved while alkalinity didn't: the CO2 of the room, or the probe.

At one alkalinity, pH follows the CO2 of the air over the water. The CO2 that a reading implies is
reckoned from it; people, windows and stoves move it between some 400 and 2000 ppm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median, pstdev

from brinebook.balance.causes.case import Case, Occasion, occasions
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.causes.happened import event_clues
from brinebook.balance.causes.water_signs import carbonate_state, last_value
from brinebook.balance.rivals import Numbers, Sign

_RECENT_DAYS, _USUAL_DAYS, _FEWEST = 7.0, 70.0, 4
_ENOUGH, _ENOUGH_SDS, _LEAST_SPREAD = 0.12, 2.5, 0.04
#: log of the CO2 (uatm) that rooms give: with people in and windows shut, aired, and any at all
#: (common practice; outdoor air is about 420). A probe at fault may imply anything.
_STUFFY, _AIRED = (math.log(950.0), 0.40), (math.log(450.0), 0.20)
_ANY = (math.log(700.0), 1.2)
_SHARES = {"room_air": 0.6, "probe_fault": 0.25, "equipment": 0.05, "other": 0.1}
_ROOM_METER_SD = 0.2


def changed_ph(case: Case) -> list[Explained]:
    """One explanation where pH has moved by more than alkalinity and its daily swing do."""
    seen = occasions(case.tests_of("ph"))
    recent = [one for one in seen if one.t > case.at - _RECENT_DAYS]
    usual = [one for one in seen if case.at - _USUAL_DAYS < one.t <= case.at - _RECENT_DAYS]
    if not recent or len(usual) < _FEWEST:
        return []
    before = median(one.value for one in usual)
    spread = max(pstdev([one.value for one in usual]), _LEAST_SPREAD)
    moved = recent[-1].value - before
    by_alkalinity = _by_alkalinity(case, before, usual, recent[-1].t)
    if by_alkalinity is None:
        return []
    rest = moved - by_alkalinity
    if abs(rest) < max(_ENOUGH, _ENOUGH_SDS * spread):
        return []
    return [_explained(case, recent[-1], before, rest, by_alkalinity)]


def _by_alkalinity(case: Case, ph: float, usual: Sequence[Occasion], t: float) -> float | None:
    """By how much pH would have moved with alkalinity alone, under the same air."""
    then = last_value(case, "alkalinity", usual[-1].t)
    now = last_value(case, "alkalinity", t)
    if then is None or now is None:
        return None
    before = carbonate_state(case, t, alkalinity=then, ph=ph)
    if before is None:
        return None
    after = carbonate_state(case, t, alkalinity=now, pco2=before.pco2)
    return None if after is None else after.ph_nbs - before.ph_nbs


def _explained(
    case: Case, seen: Occasion, before: float, rest: float, by_alkalinity: float
) -> Explained:
    alkalinity = last_value(case, "alkalinity", seen.t)
    assert alkalinity is not None  # or nothing could have been said of its part
    now = carbonate_state(case, seen.t, alkalinity=alkalinity, ph=seen.value)
    usual = carbonate_state(case, seen.t, alkalinity=alkalinity, ph=before)
    clues: list[Clue] = []
    numbers: Numbers = {
        "ph": seen.value, "before": before, "when": seen.t, "rest": rest,
        "by_alkalinity": by_alkalinity, "alkalinity": alkalinity,
    }  # fmt: skip
    if now is not None and usual is not None:
        numbers = {**numbers, "co2": now.pco2, "co2_before": usual.pco2}
        sign = Sign("co2", math.log(now.pco2), 0.15, _ANY, numbers)
        clues.append(Clue(sign, {"room_air": _STUFFY if rest < 0.0 else _AIRED}))
        clues += _room_meter(case, seen.t, now.pco2)
    clues += event_clues(case, set(_SHARES), seen.t)
    asks = {cause: asks_of(cause, "ph") for cause in _SHARES if cause != "other"}
    return explained("ph", ("ph",), begins=seen.t, ends=seen.t, shares=_SHARES, asks=asks,
                     clues=clues, numbers=numbers)  # fmt: skip


def _room_meter(case: Case, t: float, implied: float) -> list[Clue]:
    """A CO2 reading of the room, beside the CO2 that the water implies."""
    meter = last_value(case, "room_co2", t + 0.5)
    if meter is None or meter <= 0.0:
        return []
    sign = Sign("room_co2", math.log(meter), _ROOM_METER_SD, (math.log(700.0), 0.5),
                {"meter": meter, "implied": implied})  # fmt: skip
    return [Clue(sign, {"room_air": (math.log(implied), 0.25)})]
