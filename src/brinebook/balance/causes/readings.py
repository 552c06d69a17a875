"""Methods that read another way than they did: a new reagent lot, a standard that reads off.

And a belief about the volume that the facts contradict, which is a reading of its own kind.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from brinebook.balance.beliefs import BELIEFS, USE_DRIFT
from brinebook.balance.causes.case import Case, Occasion, occasions, test_noise
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.season import Exchange, Pour, Setting, Test
from brinebook.measure import Measure

#: A lot is new for so many days after its first test.
NEW_LOT_DAYS = 21.0
_ENOUGH_SDS, _FEW = 3.5, 4
#: A step is only sought between readings this near in time, days; and where the fit can part it.
_LONGEST_GAP, _UNPARTED = 10.0, 1e7
#: Lots of one kind differ by so many times one test's noise, or its trueness (common practice).
_LOT_SPREAD = 3.0
#: Water that moves for a reason nobody wrote down moves so many times as far (common practice).
_LIVELY = 2.5
_REFERENCE_SDS, _REFERENCE_DAYS = 3.0, 14.0
_VOLUME_SDS = 3.0
# Shares before the clues: common practice, no source.
_LOT = {"lot_changed": 0.2, "use_changed": 0.3, "unlogged_dose": 0.15, "other": 0.35}
_STANDARD = {"method_drifting": 0.65, "test_wrong": 0.2, "other": 0.15}
_STANDARD_NEW_LOT = {"lot_changed": 0.6, "method_drifting": 0.15, "test_wrong": 0.15, "other": 0.1}
_VOLUME = {"volume_belief_wrong": 0.7, "dose_entered_wrong": 0.15, "other": 0.15}


def odd_lots(case: Case) -> list[Explained]:
    """An explanation for each quantity whose readings stepped where a reagent lot was begun."""
    found = []
    for quantity in case.answer.quantities:
        tests = [test for test in case.tests_of(quantity) if not test.edge]
        for lot, method in sorted({(test.lot, test.method) for test in tests if test.lot}):
            same = [test for test in tests if test.method == method]
            step = _step_at(case, quantity, lot, same)
            if step is not None:
                found.append(step)
    return found


def _step_at(case: Case, quantity: str, lot: str, tests: list[Test]) -> Explained | None:
    """The step between the last readings before a lot and its first; None where there is none."""
    begun = next(test.t for test in tests if test.lot == lot)
    before = occasions([test for test in tests if test.t < begun])[-_FEW:]
    after = occasions([test for test in tests if test.lot == lot])[:_FEW]
    if begun < case.at - NEW_LOT_DAYS or len(before) < 2 or len(after) < 2:
        return None
    days = after[0].t - before[-1].t
    found = step_between(before, after)
    if days > _LONGEST_GAP or found is None or _is_known(case, quantity, before[-1].t, after[0].t):
        return None
    step, sd = found
    noise = test_noise(tests[-1])
    if abs(step) < max(_ENOUGH_SDS * sd, noise):
        return None
    numbers: Numbers = {
        "quantity": quantity, "lot": lot, "before": before[-1].tests[-1].lot, "shift": step,
        "sd": sd, "tests": float(len(after)), "since": begun,
    }  # fmt: skip
    sign = Sign(
        "lot_shift", step, sd, (0.0, _LIVELY * _wander(case, quantity, max(days, 1.0))), numbers
    )
    lot_spread = _LOT_SPREAD * max(tests[-1].trueness, noise)
    asks = {c: asks_of(c, f"{quantity}-{lot}") for c in _LOT if c != "other"}
    return explained(
        "lot", (quantity,), begins=begun, ends=after[-1].t, shares=_LOT, asks=asks,
        clues=[
            Clue(sign, {"lot_changed": (0.0, lot_spread), "unlogged_dose": _rise(step)}),
            _coincidence(before[-1], after[0], lot),
        ],
        numbers=numbers,
    )  # fmt: skip


def step_between(
    before: Sequence[Occasion], after: Sequence[Occasion]
) -> tuple[float, float] | None:
    """The step between two runs of readings beside a slope that both share, with its sd.

    Least squares of level, slope and step, weighted by each occasion's own sd. None with fewer than
    two occasions on a side, or where slope and step can't be parted.
    """
    seen = [*before, *after]
    if len(before) < 2 or len(after) < 2:
        return None
    middle = (before[-1].t + after[0].t) / 2.0
    rows = np.array([[1.0, one.t - middle, float(one.t > middle)] for one in seen])
    weights = np.array([1.0 / one.sd for one in seen])
    rows, values = rows * weights[:, None], weights * np.array([one.value for one in seen])
    normal = rows.T @ rows
    if np.linalg.cond(normal) > _UNPARTED:
        return None
    covariance = np.linalg.inv(normal)
    return float((covariance @ rows.T @ values)[2]), float(math.sqrt(covariance[2, 2]))


def _is_known(case: Case, quantity: str, start: float, end: float) -> bool:
    """Whether something written down moved the quantity just then: a dose, a change, a setting."""
    season = case.season_of(quantity)
    kinds = (Pour, Exchange, Setting)
    events = season.season.events if season is not None else ()
    return any(isinstance(event, kinds) and start <= event.t <= end for event in events)


def _coincidence(last: Occasion, first: Occasion, lot: str) -> Clue:
    """That the step lies in the very gap in which the lot was begun: by chance it seldom does."""
    days = first.t - last.t
    numbers: Numbers = {"lot": lot, "days": days, "when": first.t}
    sign = Sign("coincides", 0.0, max(days, 1.0), (0.0, 2.0 * NEW_LOT_DAYS), numbers)
    return Clue(sign, {"lot_changed": (0.0, 1.0)})


def _rise(step: float) -> tuple[float, float]:
    """Something poured in makes a rise of any size near the one seen, and never a fall."""
    return (abs(step), abs(step))


def _wander(case: Case, quantity: str, days: float) -> float:
    """How far a level moves by itself in so many days: its unrest, and a use that drifts."""
    belief = BELIEFS[quantity]
    now = case.answer.quantities[quantity]
    scale = max(abs(now.now.value), belief.floor) if belief.relative else 1.0
    use = abs(now.consumption.value) if now.consumption is not None else 0.0
    drift = USE_DRIFT * use * days**1.5 / math.sqrt(3.0)
    return math.hypot(belief.restless * scale * math.sqrt(days), drift)


def odd_standards(case: Case) -> list[Explained]:
    """An explanation for each method whose last test of a standard was clearly off."""
    found = []
    names = {one.name.casefold() for one in case.system.references}
    tests = [test for season in case.answer.seasons for test in season.season.tests
             if test.target.casefold() in names]  # fmt: skip
    last = {(test.quantity, test.method): test for test in tests}
    for _, test in sorted(last.items(), key=lambda one: one[0]):
        off = test.value - test.known
        sd = math.sqrt(test_noise(test) ** 2 + test.known_sd**2 + test.trueness**2)
        if test.t < case.at - _REFERENCE_DAYS or abs(off) < _REFERENCE_SDS * sd:
            continue
        found.append(_off_standard(case, test, off, sd, tests))
    return found


def _off_standard(case: Case, test: Test, off: float, sd: float, tests: list[Test]) -> Explained:
    quantity = test.quantity
    earlier = [t.value - t.known for t in tests
               if (t.quantity, t.method) == (quantity, test.method) and t.t < test.t]  # fmt: skip
    of_lot = [t.t for t in case.tests_of(quantity) if t.lot == test.lot] + [test.t]
    is_new = bool(test.lot) and min(of_lot) > case.at - NEW_LOT_DAYS
    shares = _STANDARD_NEW_LOT if is_new else _STANDARD
    numbers: Numbers = {
        "quantity": quantity, "standard": test.target, "read": test.value, "known": test.known,
        "off": off, "sd": sd, "when": test.t, "lot": test.lot,
        "earlier": math.fsum(earlier) / len(earlier) if earlier else math.nan,
        "count": float(len(earlier)),
    }  # fmt: skip
    sign = Sign("standard", off, sd, (0.0, sd), numbers, counted=False)
    off_for_good = dict.fromkeys(("method_drifting", "lot_changed"), (off, sd))
    clues = [Clue(sign, {**off_for_good, "test_wrong": (0.0, 6.0 * sd)})]
    asks = {c: asks_of(c, f"{quantity}-{test.method}") for c in shares if c != "other"}
    return explained("standard", (quantity,), begins=test.t, ends=test.t, shares=shares, asks=asks,
                     clues=clues, numbers=numbers)  # fmt: skip


def facts_of_volume(belief: Measure, found: Measure) -> tuple[float, float] | None:
    """What doses and changes alone say of the volume (litres), and how many sd it is from belief.

    Belief before and after are normal in the logarithm, so the facts' part follows by taking one
    from the other. None where they have hardly said anything.
    """
    before = max(math.sqrt(math.log1p((belief.sd / belief.value) ** 2)), 0.005)
    after = found.sd / found.value
    if after > 0.98 * before:
        return None
    weight = 1.0 / after**2 - 1.0 / before**2
    moved = math.log(found.value / belief.value) / after**2 / weight
    return belief.value * math.exp(moved), moved / math.sqrt(1.0 / weight + before**2)


def odd_volume(case: Case) -> list[Explained]:
    """An explanation where doses and changes contradict the volume that the keeper believes."""
    belief = case.system.net_volume
    found = facts_of_volume(belief, case.answer.volume) if belief is not None else None
    if belief is None or found is None or abs(found[1]) < _VOLUME_SDS:
        return []
    litres, sds = found
    numbers: Numbers = {
        "believed": belief.value, "believed_sd": belief.sd, "litres": litres, "sds": sds
    }  # fmt: skip
    sign = Sign("volume", sds, 1.0, (0.0, 1.0), numbers, counted=False)
    expects = dict.fromkeys(("volume_belief_wrong", "dose_entered_wrong"), (sds, 1.0))
    asks = {c: asks_of(c, "volume") for c in _VOLUME if c != "other"}
    return [
        explained(
            "volume",
            ("volume",),
            begins=case.at,
            ends=case.at,
            shares=_VOLUME,
            asks=asks,
            clues=[Clue(sign, expects)],
            numbers=numbers,
        )
    ]
