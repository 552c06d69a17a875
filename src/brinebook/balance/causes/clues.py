"""Clues: what else is seen around a matter of the tests, and what each cause expects of it.

Every expectation that has no source stands as a constant with that said. Most of these clues were
weighed already, as rows of the balance; they give the reasons. The others move the shares.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from brinebook.balance.beliefs import SKELETON
from brinebook.balance.causes.case import Case, Occasion, around, occasions, test_noise
from brinebook.balance.causes.hindsight import change_of_use
from brinebook.balance.causes.matters import Matter, Voice, noise_of
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.observe import mark_noise
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.season import Flow, Mark, Pour
from brinebook.measure import Measure

Expected = Mapping[str, tuple[float, float]]
_NOBODY: Expected = MappingProxyType({})

#: How many times as large as written a dose may have been: not poured at all, a tenth, a half,
#: twice, ten times (common practice, no source).
SLIPS_OF_DOSE = (0.0, 0.1, 0.5, 2.0, 10.0)
#: Those that the stories weigh themselves: a dose noted and not poured, or poured twice.
SLIPS_OF_STORIES = (0.0, 2.0)
#: Tests this many days before or after still say what another quantity did (common practice).
_REACH_DAYS = 10.0
#: A bottle of reagent is new for so many days, and old after so many (common practice, no source).
_NEW_LOT, _OLD_LOT = (0.0, 2.0), (240.0, 80.0)
_USUAL_LOT = (60.0, 50.0)
#: Saturation of aragonite as it stands in reefs (common practice), and where carbonate was seen to
#: fall out in seawater with particles in it: not at 5, but above 7.
#: Source: moras2022 (abstract)
_USUAL_OMEGA, _OMEGA_THAT_FALLS = (3.7, 0.8), (8.5, 1.8)
#: How far a slip of a dose may be off its round factor.
_DOSE_SPREAD = 0.07


@dataclass(frozen=True, slots=True)
class Clue:
    """A sign, and where each cause expects it; a cause that isn't named expects the usual."""

    sign: Sign
    expects: Expected = field(default_factory=lambda: _NOBODY)


def clues_of(case: Case, season: SeasonEstimate, matter: Matter) -> list[Clue]:
    """Every clue about a matter of one season."""
    main = matter.about[0]
    seen = occasions(case.tests_of(main))
    return [
        *size_of_it(season, matter, seen),
        *later_tests(matter, seen),
        *replicates(matter, seen),
        *other_quantities(case, season, matter),
        *bottles(season, matter),
        *doses(season, matter),
        *lots(case, matter),
    ]


def voice_of(matter: Matter, *kinds: str) -> Voice | None:
    """The likeliest voice of these kinds."""
    return next((voice for voice in matter.voices if voice.kind in kinds), None)


def first_odd(matter: Matter, seen: Sequence[Occasion]) -> Occasion | None:
    """The occasion on which it showed: of the first test called wrong, or the first afterwards."""
    wrong = voice_of(matter, "wrong", "spell")
    if wrong is not None and (matter.lead is wrong or wrong.share > 0.2):
        for one in seen:
            if any(test.fact in wrong.facts for test in one.tests):
                return one
    _, after = around(seen, matter.begins)
    return after or (seen[-1] if seen else None)


def size_of_it(season: SeasonEstimate, matter: Matter, seen: Sequence[Occasion]) -> list[Clue]:
    """By how much the tests moved, beside what is used and what dosing brings in that time."""
    odd = first_odd(matter, seen)
    last = [one for one in seen if odd is not None and one.t < odd.t - 1e-9]
    if odd is None or not last:
        return []
    before, after = last[-1], _last_of(matter, seen, odd)
    main = matter.about[0]
    days = max(after.t - before.t, 1e-3)
    change = after.value - before.value
    use = use_before(season, main, matter.begins)
    stopped = voice_of(matter, "stop")
    brought = _brought(season, stopped, main, before.t, after.t)
    numbers: Numbers = {
        "quantity": main, "before": before.value, "after": after.value,
        "sd": test_noise(before.tests[0]), "since": before.t, "until": after.t, "days": days,
        "tests": float(len(after.tests)), "use": use.value, "use_low": use.low,
        "use_high": use.high, "brought": brought, "additive": stopped.what if stopped else "",
    }  # fmt: skip
    sd = math.hypot(before.sd, after.sd)
    sign = Sign("size", change, sd, (0.0, 2.0 * abs(change) + sd), numbers, counted=False)
    expects = {"use_changed": (0.0, 0.3 * abs(use.value) * days + sd)}
    if stopped is not None:
        expects["dose_not_arriving"] = (-brought, 0.15 * abs(brought) + sd)
    return [Clue(sign, expects), *_beyond(main, change, sd, use, numbers)]


def _beyond(quantity: str, change: float, sd: float, use: Measure, numbers: Numbers) -> list[Clue]:
    """A fall beyond all that the water can lose by use, with no dosing at all: hardly water."""
    most = use.high * float(numbers["days"])
    if quantity not in ("alkalinity", "calcium") or most <= 0.0 or -change < 1.15 * most + sd:
        return []
    ratio = -change / most
    sign = Sign("beyond", ratio, sd / most, (0.7, 0.4), {**numbers, "most": most}, counted=False)
    anything = (ratio, ratio)
    causes = ("test_wrong", "precipitation", "unlogged_change", "lot_changed", "method_drifting")
    return [Clue(sign, dict.fromkeys(causes, anything))]


def use_before(season: SeasonEstimate, quantity: str, t: float) -> Measure:
    """What was used in a day before a time, with hindsight; the present use where that is unknown.

    For what skeletons take it follows from growth, told at the anchor's alkalinity.
    """
    share = SKELETON.get(quantity, (0.0, 0.0))[0]
    later = {test.fact for test in season.season.tests if test.t > t + 1e-6}
    change = change_of_use(season, t, quantities=season.season.quantities, without=later)
    if quantity not in ("alkalinity", "calcium") or change is None:
        return season.consumption[quantity]
    return Measure(change.then.value * share, change.then.sd * share, change.then.unit)


def _last_of(matter: Matter, seen: Sequence[Occasion], odd: Occasion) -> Occasion:
    """Of water that moved, the newest reading; of tests called wrong, the odd one itself."""
    if matter.lead.facts:
        return odd
    return max([one for one in seen if one.t >= odd.t - 1e-9], key=lambda one: one.t)


def _brought(
    season: SeasonEstimate, stopped: Voice | None, quantity: str, start: float, end: float
) -> float:
    """What an additive, as set, brings between two times within its stop; 0 where none is meant."""
    flow = flow_of(season, stopped.what) if stopped is not None else None
    if stopped is None or flow is None or season.volume is None:
        return 0.0
    start, end = max(start, stopped.begins), min(end, stopped.ends)
    amount = float(flow.upto(max(end, start)) - flow.upto(start))
    position = season.season.quantities.index(quantity)
    return amount * float(flow.brings[position]) / season.volume.value


def flow_of(season: SeasonEstimate, additive: str) -> Flow | None:
    """The daily dosing of an additive."""
    return next((flow for flow in season.season.flows if flow.name == additive), None)


def later_tests(matter: Matter, seen: Sequence[Occasion]) -> list[Clue]:
    """Whether the tests after the odd one went back to what was before it, or stayed with it."""
    odd = first_odd(matter, seen)
    if odd is None or voice_of(matter, "wrong", "spell") is None:
        return []
    facts = matter.lead.facts
    before = [one for one in seen if one.t < odd.t - 1e-9]
    after = [one for one in seen
             if one.t > odd.t + 1e-9 and not any(t.fact in facts for t in one.tests)]  # fmt: skip
    if not before or not after:
        return []
    step = odd.value - before[-1].value
    if abs(step) < 1.5 * odd.sd:
        return []
    stays = math.fsum(one.value - before[-1].value for one in after) / len(after) / step
    sd = math.hypot(after[0].sd, before[-1].sd) / math.sqrt(len(after)) / abs(step)
    numbers: Numbers = {
        "quantity": matter.about[0],
        "count": float(len(after)),
        "first": after[0].value,
        "last": after[-1].value,
        "sd": after[0].sd,
        "when": after[0].t,
    }
    sign = Sign("later", stays, sd, (1.0, 0.3), numbers, counted=False)
    return [Clue(sign, {"test_wrong": (0.0, 0.25)})]


def replicates(matter: Matter, seen: Sequence[Occasion]) -> list[Clue]:
    """Whether a test made again within the hour read the same: chance errors don't."""
    odd = first_odd(matter, seen)
    if odd is None or len(odd.tests) < 2:
        return []
    values = [test.value for test in odd.tests]
    spread = (max(values) - min(values)) / test_noise(odd.tests[0])
    numbers: Numbers = {
        "quantity": matter.about[0],
        "count": float(len(values)),
        "low": min(values),
        "high": max(values),
        "sd": odd.sd,
    }
    sign = Sign("replicates", spread, 0.5, (1.0, 1.0), numbers, counted=False)
    return [Clue(sign, {"test_wrong": (6.0, 4.0), "probe_fault": (1.0, 1.0)})]


def other_quantities(case: Case, season: SeasonEstimate, matter: Matter) -> list[Clue]:
    """What the other quantities of the water did meanwhile, where they were tested about then."""
    found = []
    for name in season.season.quantities:
        if name == matter.about[0] or name not in season.now:
            continue
        before, after = around(occasions(case.tests_of(name)), matter.begins)
        if before is None or after is None or after.t - before.t > 2.0 * _REACH_DAYS:
            continue
        noise = noise_of(season, name)
        moved = after.value - before.value
        sd = math.hypot(before.sd, after.sd)
        numbers: Numbers = {
            "quantity": name,
            "before": before.value,
            "after": after.value,
            "sd": sd,
            "since": before.t,
            "until": after.t,
        }
        expects = {
            cause: (voice.moves[name], 0.3 * abs(voice.moves[name]) + noise)
            for cause, kind in (("unlogged_change", "exchange"), ("precipitation", "fall"),
                                ("use_changed", "step"))
            if (voice := voice_of(matter, kind)) is not None and name in voice.moves
        }  # fmt: skip
        sign = Sign(f"moved:{name}", moved, sd, (0.0, 1.5 * noise), numbers, counted=False)
        found.append(Clue(sign, expects))
    return found


def bottles(season: SeasonEstimate, matter: Matter) -> list[Clue]:
    """How far a marked bottle went down, beside what was set, where it was marked since."""
    stopped = voice_of(matter, "stop")
    flow = flow_of(season, stopped.what) if stopped is not None else None
    if stopped is None or flow is None or not flow.volume_ml:
        return []
    marks = [event for event in season.season.events
             if isinstance(event, Mark) and event.additive == flow.name]  # fmt: skip
    later = [mark for mark in marks if mark.t > stopped.begins + 0.2]
    earlier = [mark for mark in marks if later and mark.t < later[0].t]
    if not later or not earlier:
        return []
    first, last = earlier[-1], later[0]
    due = float(flow.upto(last.t) - flow.upto(first.t)) * flow.volume_ml
    fell = first.left_ml - last.left_ml
    if due <= 0.0 or fell < -0.2 * due:
        return []
    overlap = min(last.t, stopped.ends) - max(first.t, stopped.begins)
    missing = float(flow.upto(min(last.t, stopped.ends)) - flow.upto(max(first.t, stopped.begins)))
    missing = missing * flow.volume_ml / due if overlap > 0.0 else 0.0
    sd = math.sqrt(2.0) * mark_noise(season.season, flow.name) / due
    numbers: Numbers = {
        "additive": flow.name,
        "fell": fell,
        "due": due,
        "since": first.t,
        "until": last.t,
    }
    sign = Sign("bottle", fell / due, sd, (1.0, 0.08), numbers, counted=False)
    return [Clue(sign, {"dose_not_arriving": (1.0 - missing, 0.1)})]


def doses(season: SeasonEstimate, matter: Matter) -> list[Clue]:
    """Whether a dose written down about then, so many times as large, is what the water shows."""
    moved = voice_of(matter, "rise", "drop")
    if moved is None or season.volume is None:
        return []
    main = matter.about[0]
    position = season.season.quantities.index(main)
    change = moved.moves.get(main, 0.0)
    noise = noise_of(season, main)
    best: tuple[float, float, Pour, float] | None = None
    for event in season.season.events:
        if not isinstance(event, Pour) or not moved.begins - 0.3 <= event.t <= moved.ends:
            continue
        dose = float(event.brings[position]) / season.volume.value
        for slip in SLIPS_OF_DOSE if abs(dose) > noise / 10.0 else ():
            expected = (slip - 1.0) * dose
            miss = abs(change - expected) / math.hypot(noise, _DOSE_SPREAD * expected)
            if best is None or miss < best[0]:
                best = (miss, expected, event, slip)
    if best is None:
        return []
    _, expected, event, slip = best
    numbers: Numbers = {
        "quantity": main,
        "additive": event.additive,
        "when": event.t,
        "times": slip,
        "change": change,
        "expected": expected,
        "sd": noise,
    }
    usual = (change, 3.0 * abs(change) + noise)
    sign = Sign("dose", change, noise, usual, numbers, counted=slip not in SLIPS_OF_STORIES)
    return [Clue(sign, {"dose_entered_wrong": (expected, _DOSE_SPREAD * abs(expected))})]


def lots(case: Case, matter: Matter) -> list[Clue]:
    """How long the bottle of reagent had been in use when it showed."""
    wrong = voice_of(matter, "wrong", "spell")
    tests = case.tests_of(matter.about[0])
    mine = [test for test in tests if wrong is not None and test.fact in wrong.facts]
    if not mine or not mine[0].lot:
        return []
    first = min(t.t for t in tests if t.lot == mine[0].lot and t.method == mine[0].method)
    others = any(t.lot != mine[0].lot and t.t < first for t in tests)
    age = mine[0].t - first
    if not others:
        return []
    numbers: Numbers = {"quantity": matter.about[0], "lot": mine[0].lot, "days": age}
    sign = Sign("lot", age, 1.0, _USUAL_LOT, numbers)
    return [Clue(sign, {"lot_changed": _NEW_LOT, "method_drifting": _OLD_LOT})]


def saturation_clue(omega: float, numbers: Numbers) -> Clue:
    """Where aragonite's saturation stood: carbonate falls out by itself only far above it."""
    sign = Sign("saturation", omega, 0.3, _USUAL_OMEGA, numbers)
    return Clue(sign, {"precipitation": _OMEGA_THAT_FALLS})
