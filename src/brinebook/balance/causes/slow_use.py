"""A use that has changed over weeks: the reef, a pump that fades, or a bottle of reagent.

No single test shows it, so no story speaks of it; growth then and now does.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.clues import Clue
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.causes.happened import event_clues
from brinebook.balance.causes.hindsight import UseChange, change_of_use
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.observe import mark_noise
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.season import Flow, Mark

#: How far back is looked, and from what change something is said: deviations, and share of the use.
LOOK_BACK_DAYS = 30.0
_ENOUGH_SDS, _ENOUGH_SHARE = 2.5, 0.12
_FEWEST_TESTS = 4
_STEP_DAYS = 2.0
#: Shares before any clue (common practice, no source): reefs change more often than pumps fade.
_SHARES = {"use_changed": 0.6, "dose_not_arriving": 0.15, "equipment": 0.1, "lot_changed": 0.1,
           "other": 0.1}  # fmt: skip
#: Beginnings of a lot and of a change coincide within this many days (common practice).
_COINCIDE, _ANY_LOT = (0.0, 3.0), (0.0, 40.0)
_PUMP_SPREAD = 0.06


@dataclass(frozen=True, slots=True)
class _Found:
    season: SeasonEstimate
    whole: UseChange
    onset: float
    without: frozenset[str]


def changed_use(case: Case) -> list[Explained]:
    """One explanation where growth has clearly changed within the last month, else none."""
    found = _find(case)
    if found is None:
        return []
    change = found.whole.change
    rose = change.value > 0.0
    flow = _alkaline_flow(found.season)
    lot = _new_lot(case, found.onset)
    shares = dict(_SHARES)
    if flow is None or not rose:
        shares.pop("dose_not_arriving")
    if flow is None or rose:
        shares.pop("equipment")  # a pump that brings more than set makes the use look smaller
    if not lot:
        shares.pop("lot_changed")
    clues = [*_tie(found), *_bottle(found, flow), *lot]
    clues += event_clues(case, set(shares), found.onset)
    numbers: Numbers = {
        "then": found.whole.then.value, "then_sd": found.whole.then.sd,
        "now": found.whole.now.value, "now_sd": found.whole.now.sd,
        "change": change.value, "change_sd": change.sd, "onset": found.onset,
        "additive": flow.name if flow else "",
    }  # fmt: skip
    asks = {cause: asks_of(cause, "alkalinity") for cause in shares if cause != "other"}
    return [
        explained(
            "use",
            ("alkalinity",),
            begins=found.onset,
            ends=case.at,
            shares=shares,
            asks=asks,
            clues=clues,
            numbers=numbers,
        )
    ]


def _find(case: Case) -> _Found | None:
    season = case.joint
    if season is None or "alkalinity" not in season.season.quantities:
        return None
    if _is_stirred(season, case.at):
        return None  # a jump of late would be taken for use; it has an explanation of its own
    without = frozenset(suspect.fact for suspect in case.answer.suspects)
    since = max(case.at - LOOK_BACK_DAYS, season.last.window.start.t + 1.0)
    names = season.season.quantities
    whole = change_of_use(season, since, quantities=names, without=without)
    if whole is None or whole.tests < _FEWEST_TESTS:
        return None
    least = max(_ENOUGH_SDS * whole.change.sd, _ENOUGH_SHARE * abs(whole.then.value))
    if abs(whole.change.value) < least:
        return None
    return _Found(season, whole, _onset(season, since, whole, without), without)


def _is_stirred(season: SeasonEstimate, at: float) -> bool:
    """Whether the likeliest story has the water itself jump within the time looked at."""
    story, field = season.last.stories[0], season.last.field
    causes = [field.causes[field.cause[member]] for member in story.members]
    kinds = ("jump", "fall", "exchange", "stop")
    return any(c.kind in kinds and c.ends >= at - LOOK_BACK_DAYS for c in causes)


def _onset(
    season: SeasonEstimate, since: float, whole: UseChange, without: frozenset[str]
) -> float:
    """When half of the change had come about."""
    low, high = since, season.last.window.end.t
    names = season.season.quantities
    while high - low > _STEP_DAYS:
        middle = (low + high) / 2.0
        left = change_of_use(season, middle, quantities=names, without=without)
        if left is not None and left.change.value / whole.change.value > 0.5:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _alkaline_flow(season: SeasonEstimate) -> Flow | None:
    """The dosing that brings most alkalinity at present."""
    position = season.season.quantities.index("alkalinity")
    rates = [
        (float(flow.upto(season.at) - flow.upto(season.at - 1.0)) * float(flow.brings[position]),
         flow.name, flow)
        for flow in season.season.flows
    ]  # fmt: skip
    best = max(rates, key=lambda one: (one[0], one[1]), default=None)
    return best[2] if best is not None and best[0] > 0.0 else None


def _tie(found: _Found) -> list[Clue]:
    """What the calcium tests alone say of the use: they know nothing of alkalinity's bottle."""
    season = found.season
    since = max(season.at - LOOK_BACK_DAYS, season.last.window.start.t + 1.0)
    alone = change_of_use(season, since, quantities=("calcium",), without=found.without)
    if alone is None or alone.tests < 1:
        return []
    whole = found.whole.change
    spread = 0.1 * abs(found.whole.then.value)
    sign = Sign(
        "tie", alone.change.value, alone.change.sd, (0.0, spread),
        {"change": alone.change.value, "sd": alone.change.sd, "tests": float(alone.tests),
         "whole": whole.value},
    )  # fmt: skip
    return [Clue(sign, {"use_changed": (whole.value, whole.sd)})]


def _bottle(found: _Found, flow: Flow | None) -> list[Clue]:
    """How far the bottle went down since it began, beside what was set."""
    season = found.season
    if flow is None or not flow.volume_ml or season.volume is None:
        return []
    marks = [event for event in season.season.events
             if isinstance(event, Mark) and event.additive == flow.name
             and event.t >= found.onset - 10.0]  # fmt: skip
    fell = due = 0.0
    noise = mark_noise(season.season, flow.name)
    for first, last in pairwise(marks):
        set_ml = float(flow.upto(last.t) - flow.upto(first.t)) * flow.volume_ml
        if last.left_ml < first.left_ml and set_ml > 10.0 * noise:
            fell, due = fell + first.left_ml - last.left_ml, due + set_ml
    if due <= 0.0:
        return []
    position = season.season.quantities.index("alkalinity")
    per_day = float(flow.upto(season.at) - flow.upto(season.at - 1.0))
    dosed = per_day * float(flow.brings[position]) / season.volume.value
    missing = min(found.whole.change.value / max(dosed, 1e-9), 1.0)
    sign = Sign(
        "bottle", fell / due, 1.5 * noise / due, (1.0, _PUMP_SPREAD),
        {"additive": flow.name, "fell": fell, "due": due, "since": marks[0].t,
         "until": marks[-1].t},
    )  # fmt: skip
    return [Clue(sign, {"dose_not_arriving": (1.0 - missing, _PUMP_SPREAD)})]


def _new_lot(case: Case, onset: float) -> list[Clue]:
    """Whether a bottle of alkalinity reagent was begun about when the use seemed to change."""
    tests = case.tests_of("alkalinity")
    first: dict[tuple[str, str], float] = {}
    for test in tests:
        first.setdefault((test.method, test.lot), test.t)
    methods = {method for (method, _), t in first.items() if t < onset - LOOK_BACK_DAYS}
    begun = [(abs(t - onset), lot, t) for (method, lot), t in first.items()
             if lot and t > onset - LOOK_BACK_DAYS and method in methods]  # fmt: skip
    if not begun:
        return []
    _, lot, t = min(begun)
    sign = Sign("new_lot", t - onset, 1.0, _ANY_LOT, {"lot": lot, "when": t, "days": t - onset})
    return [Clue(sign, {"lot_changed": _COINCIDE})]
