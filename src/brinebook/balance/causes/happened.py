"""Events that the keeper wrote down near a matter: they make some causes likelier."""

from __future__ import annotations

from collections.abc import Mapping

from brinebook.balance.causes.case import Case
from brinebook.balance.causes.clues import Clue
from brinebook.balance.rivals import Numbers, Sign

#: A written event counts from so many days before something began to so many after it.
_BEFORE, _AFTER = 12.0, 3.0
#: How often an event of the right sort stands near by chance, and where it was the cause
#: (common practice, no source).
_BY_CHANCE, _AS_CAUSE, _SPREAD = 0.15, 0.8, 0.4

#: Parts of words, and the causes that such an event makes likelier (common practice, no source).
HINTS: Mapping[str, tuple[str, ...]] = {
    "livestock": ("use_changed",), "coral": ("use_changed",), "frag": ("use_changed",),
    "clam": ("use_changed",), "light": ("use_changed",), "lamp": ("use_changed",),
    "died": ("use_changed",), "death": ("use_changed",), "bleach": ("use_changed",),
    "power": ("dose_not_arriving", "equipment"), "pump": ("dose_not_arriving", "equipment"),
    "tube": ("dose_not_arriving",), "doser": ("dose_not_arriving",),
    "heating": ("evaporation_changed", "room_air"), "stove": ("evaporation_changed", "room_air"),
    "fan": ("evaporation_changed",), "lid": ("evaporation_changed",),
    "window": ("room_air", "evaporation_changed"), "visitors": ("room_air",),
    "guests": ("room_air",), "heater": ("equipment",), "skimmer": ("equipment", "room_air"),
    "calibrat": ("probe_fault", "method_drifting"),
}  # fmt: skip


def event_clues(case: Case, causes: set[str], begins: float) -> list[Clue]:
    """A clue for the nearest written event that would make one of these causes likelier."""
    near = []
    for t, fact in case.of_kind("event"):
        if not begins - _BEFORE <= t <= begins + _AFTER:
            continue
        words = f"{fact.what} {fact.detail.get('text', '')}".casefold()
        hinted = {cause for part, names in HINTS.items() if part in words for cause in names}
        if hinted & causes:
            near.append((abs(t - begins), t, fact, hinted & causes))
    if not near:
        return []
    _, t, fact, hinted = min(near, key=lambda one: (one[0], one[2].id))
    numbers: Numbers = {
        "name": fact.what, "when": t, "text": fact.detail.get("text", "")
    }  # fmt: skip
    sign = Sign("event", 1.0, 0.0, (_BY_CHANCE, _SPREAD), numbers)
    return [Clue(sign, dict.fromkeys(hinted, (_AS_CAUSE, _SPREAD)))]
