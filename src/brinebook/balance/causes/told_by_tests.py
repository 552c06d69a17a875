"""From a matter of the stories to an explanation: kinds of change turned into causes of the trade.

The stories know kinds: a wrong test, a jump, a stopped pump. Which cause of the contract stands
behind a kind is shared out here by how such things usually happen (common practice, no source),
and the clues move those shares.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from brinebook.balance.beliefs import BELIEFS, CHANCE_CHANGE_DAY
from brinebook.balance.causes.case import Case
from brinebook.balance.causes.clues import Clue, clues_of, flow_of, saturation_clue, voice_of
from brinebook.balance.causes.explained import Explained, asks_of, explained
from brinebook.balance.causes.happened import event_clues
from brinebook.balance.causes.matters import Matter, Voice
from brinebook.balance.causes.water_signs import aragonite_saturation
from brinebook.balance.estimate import SeasonEstimate
from brinebook.balance.rivals import Numbers, Sign
from brinebook.balance.season import Mark

Shares = Mapping[str, float]

#: How often a dose that is written down is not what went in (common practice, no source).
CHANCE_DOSE_SLIP = 0.01
#: Of a jump as large as a dose poured in the same gap, so much is that dose (common practice).
_MOST = 0.8

_MINERALS = ("alkalinity", "calcium", "magnesium", "potassium", "strontium")
_RISE: Mapping[str, Shares] = {
    "mineral": {"unlogged_dose": 0.75, "unlogged_change": 0.15},
    "nutrient": {"unlogged_dose": 0.4},
    "salinity": {"evaporation_changed": 0.45, "unlogged_dose": 0.2, "unlogged_change": 0.15,
                 "equipment": 0.1},
    "temperature": {"equipment": 0.6, "probe_fault": 0.25},
    "ph": {"room_air": 0.45, "unlogged_dose": 0.2, "probe_fault": 0.25},
    "plain": {"probe_fault": 0.4, "equipment": 0.4},
}  # fmt: skip
_DROP: Mapping[str, Shares] = {
    "mineral": {"unlogged_change": 0.4, "precipitation": 0.25},
    "nutrient": {"unlogged_change": 0.4},
    "salinity": {"leak": 0.3, "unlogged_change": 0.3, "equipment": 0.25},
    "temperature": {"equipment": 0.6, "probe_fault": 0.25},
    "ph": {"room_air": 0.6, "probe_fault": 0.25},
    "plain": {"probe_fault": 0.4, "equipment": 0.4},
}
_SPELL: Mapping[str, Shares] = {
    "mineral": {"test_wrong": 0.3, "lot_changed": 0.35, "method_drifting": 0.35},
    "nutrient": {"test_wrong": 0.3, "lot_changed": 0.35, "method_drifting": 0.35},
    "salinity": {"test_wrong": 0.3, "method_drifting": 0.6},
}
#: Fresh water in excess, and fresh water that is missing.
_FRESHER: Shares = {"equipment": 0.4, "leak": 0.25, "unlogged_change": 0.2}
_SALTIER: Shares = {"evaporation_changed": 0.6, "equipment": 0.25}
_OF_KIND: Mapping[str, Shares] = {
    "exchange": {"unlogged_change": 1.0}, "fall": {"precipitation": 1.0},
    "stop": {"dose_not_arriving": 1.0}, "step": {"use_changed": 1.0},
}  # fmt: skip


def told_by_tests(case: Case, season: SeasonEstimate, matter: Matter) -> Explained:
    """The explanation of a matter."""
    clues = clues_of(case, season, matter)
    dose = next((clue.sign for clue in clues if clue.sign.name == "dose"), None)
    shares, asks = _shares(matter, with_lot=_has(clues, "lot"), dose=dose)
    if shares.get("precipitation"):
        clues += _saturation(case, matter)
    clues += event_clues(case, set(shares), matter.begins)
    about = [name for name in matter.about if _was_tested(case, name, matter)]
    ends = max(voice.ends for voice in matter.voices[:1])
    return explained(
        "tests", about or matter.about[:1], begins=matter.begins, ends=ends, shares=shares,
        asks=asks, clues=clues, numbers=_numbers(season, matter),
    )  # fmt: skip


def _numbers(season: SeasonEstimate, matter: Matter) -> Numbers:
    """What questions about the matter need: the tests, what a bottle should have lost, calcium."""
    numbers: dict[str, float | str] = {
        "tests": ",".join(matter.lead.facts), "quantity": matter.about[0]
    }  # fmt: skip
    stopped = voice_of(matter, "stop")
    flow = flow_of(season, stopped.what) if stopped is not None else None
    if stopped is not None and flow is not None and flow.volume_ml:
        marks = [event.t for event in season.season.events
                 if isinstance(event, Mark) and event.additive == flow.name]  # fmt: skip
        since = marks[-1] if marks and marks[-1] <= stopped.ends else stopped.begins
        due = float(flow.upto(season.at) - flow.upto(since)) * flow.volume_ml
        numbers |= {"additive": flow.name, "since": since, "due": due, "marked": float(bool(marks))}
    fell = voice_of(matter, "fall")
    if fell is not None:
        numbers["calcium"] = fell.moves.get("calcium", 0.0)
    return numbers


def _has(clues: list[Clue], name: str) -> bool:
    return any(clue.sign.name == name for clue in clues)


def _was_tested(case: Case, name: str, matter: Matter) -> bool:
    return any(test.t > matter.begins + 1e-6 for test in case.tests_of(name))


def _shares(
    matter: Matter, *, with_lot: bool, dose: Sign | None
) -> tuple[dict[str, float], dict[str, str]]:
    shares: dict[str, float] = {"other": matter.silent}
    asks: dict[str, str] = {}
    for voice in matter.voices:
        parts = dict(parts_of(matter.about[0], voice))
        left = 1.0 - sum(parts.values())
        if not with_lot:  # nothing in the book could show it
            left += parts.pop("lot_changed", 0.0)
        if dose is not None and voice.kind in ("rise", "drop"):
            shares["dose_entered_wrong"], parts = _with_dose(dose, voice, parts)
            asks["dose_entered_wrong"] = asks_of("dose_entered_wrong", matter.about[0])
        for cause, part in parts.items():
            shares[cause] = shares.get(cause, 0.0) + voice.share * part
            if not voice.facts or cause == "test_wrong":
                asks.setdefault(cause, voice.asks)
        shares["other"] += voice.share * max(left, 0.0)
    return shares, asks


def _with_dose(dose: Sign, voice: Voice, parts: dict[str, float]) -> tuple[float, dict[str, float]]:
    """The share of a dose written down wrongly, and what is left of the other parts.

    The stories weigh a dose that was poured twice or not at all: where that fits, most of the voice
    is it. Of a tenth or ten times they know nothing: that is a change which could lie in this gap,
    by how often it happens.
    """
    if dose.counted:
        often = CHANCE_CHANGE_DAY * max(voice.ends - voice.begins, 0.05)
        return voice.share * CHANCE_DOSE_SLIP / often, parts
    expected, sd = float(dose.numbers["expected"]), float(dose.numbers["sd"])
    if abs(dose.value - expected) > 3.0 * math.hypot(sd, 0.1 * expected):
        return 0.0, parts
    return _MOST * voice.share, {name: (1.0 - _MOST) * part for name, part in parts.items()}


def parts_of(quantity: str, voice: Voice) -> Shares:
    """How a voice's share is usually divided among causes; what is left goes to ``other``."""
    group = _group(quantity)
    if voice.kind == "wrong":
        massless = not BELIEFS[quantity].has_mass
        return {"test_wrong": 0.7, "probe_fault": 0.3} if massless else {"test_wrong": 1.0}
    if voice.kind == "spell":
        return _SPELL.get(group, {"probe_fault": 0.8, "test_wrong": 0.2})
    if voice.kind in ("rise", "drop"):
        return (_RISE if voice.kind == "rise" else _DROP)[group]
    if voice.kind == "dilution":
        return _FRESHER if sum(voice.moves.values()) < 0.0 else _SALTIER
    return _OF_KIND.get(voice.kind, {})


def _group(quantity: str) -> str:
    if quantity in _MINERALS:
        return "mineral"
    if quantity in ("salinity", "temperature", "ph"):
        return quantity
    return "nutrient" if BELIEFS[quantity].has_mass else "plain"


def _saturation(case: Case, matter: Matter) -> list[Clue]:
    found = aragonite_saturation(case, matter.begins)
    if found is None:
        return []
    omega, numbers = found
    return [saturation_clue(omega, numbers)]
