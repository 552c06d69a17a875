"""Methods that read another way than they did: a new reagent lot, a standard that reads off.

And a belief about the volume that the facts contradict, which is a reading of its own kind.
"""

from __future__ import annotations

import math

from brinebook.balance.answer import MethodVerdict
from brinebook.balance.causes.case import Case, test_noise
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.season import Test
from brinebook.measure import Measure

#: A lot is new for so many days after its first test.
NEW_LOT_DAYS = 21.0
_ENOUGH_SDS, _ENOUGH_NOISE = 2.0, 0.7
_REFERENCE_SDS, _REFERENCE_DAYS = 3.0, 14.0
_VOLUME_SDS = 3.0
# Shares before the clues: common practice, no source.
_LOT = {"lot_changed": 0.75, "test_wrong": 0.1, "other": 0.15}
_STANDARD = {"method_drifting": 0.65, "test_wrong": 0.2, "other": 0.15}
_STANDARD_NEW_LOT = {"lot_changed": 0.6, "method_drifting": 0.15, "test_wrong": 0.15, "other": 0.1}
_VOLUME = {"volume_belief_wrong": 0.7, "dose_entered_wrong": 0.15, "other": 0.15}


def odd_lots(case: Case) -> list[Explained]:
    """An explanation for each reagent lot begun lately that reads off from the one before."""
    found = []
    for new, old in _pairs(case):
        tests = [t for t in case.tests_of(new.quantity)
                 if (t.method, t.lot) == (new.method, new.lot)]  # fmt: skip
        shift = new.bias.value - old.bias.value
        sd = math.hypot(new.bias.sd, old.bias.sd)
        if abs(shift) < max(_ENOUGH_SDS * sd, _ENOUGH_NOISE * new.sd):
            continue
        numbers: Numbers = {
            "quantity": new.quantity, "lot": new.lot, "before": old.lot, "shift": shift, "sd": sd,
            "tests": float(len(tests)), "since": tests[0].t,
        }  # fmt: skip
        sign = Sign("lot_shift", shift, sd, (0.0, new.sd), numbers, counted=False)
        asks = {c: asks_of(c, f"{new.quantity}-{new.lot}") for c in _LOT if c != "other"}
        found.append(
            explained(
                "lot",
                (new.quantity,),
                begins=tests[0].t,
                ends=case.at,
                shares=_LOT,
                asks=asks,
                clues=[Clue(sign, {"lot_changed": (shift, sd)})],
                numbers=numbers,
            )
        )
    return found


def _pairs(case: Case) -> list[tuple[MethodVerdict, MethodVerdict]]:
    """Each lot begun lately with the lot of the same method used last before it."""
    pairs = []
    for verdict in case.answer.methods:
        tests = [t for t in case.tests_of(verdict.quantity) if t.method == verdict.method]
        begun = [t.t for t in tests if t.lot == verdict.lot]
        if not verdict.lot or not begun or begun[0] < case.at - NEW_LOT_DAYS:
            continue
        before = [t.lot for t in tests if t.t < begun[0] and t.lot != verdict.lot]
        for other in case.answer.methods:
            same = (other.quantity, other.method) == (verdict.quantity, verdict.method)
            if before and same and other.lot == before[-1]:
                pairs.append((verdict, other))
    return pairs


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
