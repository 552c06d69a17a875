"""What the book says of nitrogen and phosphorus: food, cuts, changes, media, levels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from brinebook.balance.drawn import ahead
from brinebook.desk.ferric_story import ferric_story, grams_of_fact
from brinebook.desk.plan_algae import cuts_a_week, known_content
from brinebook.desk.plan_food import DAYS, Label, content_of, content_of_fact
from brinebook.desk.plan_now import WaterNow
from brinebook.planning.algae import AlgaeContent
from brinebook.planning.ferric import PHOSPHATE_PER_P
from brinebook.planning.ferric_course import outflow
from brinebook.planning.food import KEPT_NITROGEN, KEPT_PHOSPHORUS, FoodContent
from brinebook.planning.levers import Place, grams_held
from brinebook.planning.limits import BANDS
from brinebook.planning.nutrients import (
    ELEMENT_OF,
    HALF_AT,
    LEVELS,
    PULL,
    STORED,
    Budget,
    Nutrient,
)
from brinebook.planning.spread import Floats, deviates
from brinebook.timeline import Fact
from brinebook.units import convert_amount

_STREAMS = {"nitrogen": 101, "phosphorus": 121}


@dataclass(frozen=True, slots=True)
class Story:
    """Budgets by element and levels by name, each where the book or the keeper tells of them.

    ``habit`` is the share of the water changed in a week, ``guessed``: no label was known,
    ``from_book``: the food is that written down.
    """

    budgets: dict[str, Budget]
    nutrients: dict[str, Nutrient]
    place: Place
    grams_a_day: float
    habit: float
    guessed: bool
    from_book: bool
    media: bool


def nutrient_story(
    now: WaterNow,
    *,
    label: Label,
    content: AlgaeContent,
    food: float | None = None,
    kept: float | None = None,
) -> Story:
    """The story of the last weeks; ``food`` (g a day) and ``kept`` (a share) outrank the book."""
    habit = _weekly_share(now)
    cut = cuts_a_week(now)
    algae = known_content(now, content)
    empty = Place(now.drawn.litres, {}, cut, algae, {})
    fed, grams, guessed = _fed(now, label, food)
    nutrients = _nutrients(now, habit, fed, kept)
    media, has_media = _media(now)
    budgets = {}
    if grams > 0.0:
        held = dict(zip(LEVELS, grams_held(empty, cut / 7.0), strict=True))
        for element in LEVELS:
            budgets[element] = _budget(
                now, element, nutrients, fed=fed[element], kept=kept, cut=held[element],
                media=media if element == "phosphorus" else np.zeros_like(media), habit=habit,
            )  # fmt: skip
    place = Place(now.drawn.litres, budgets, cut, algae, _incoming(now))
    return Story(budgets, nutrients, place, grams, habit, guessed, food is None, has_media)


def _nutrients(
    now: WaterNow, habit: float, fed: Mapping[str, Floats], kept: float | None
) -> dict[str, Nutrient]:
    """Levels as believed, drifting as the balance sees it, with the usual changes going on.

    What comes in is what food brings; without food written down, what the reef's pull at today's
    level makes good.
    """
    found: dict[str, Nutrient] = {}
    names = [name for name in ELEMENT_OF if name in now.drawn.quantities and _tested(now, name)]
    if not names:
        return found
    course = ahead(now.drawn, 7.0)
    share = -np.log1p(-min(habit, 0.99)) / 7.0
    for place, name in enumerate(names):
        level = now.drawn.level(name)
        drift = (course.of(name)[-1] - level) / 7.0
        found[name] = Nutrient(
            name,
            np.maximum(level, 1e-4),
            np.asarray(drift - share * level),
            _supply(now, name, fed, kept),
            HALF_AT.drawn(deviates(131 + place, level.size)),
            STORED[name].drawn(deviates(141 + place, level.size)),
            now.system.bands.get(name, BANDS[name]),
        )
    return found


def _supply(now: WaterNow, name: str, fed: Mapping[str, Floats], kept: float | None) -> Floats:
    element = ELEMENT_OF[name]
    if float(np.max(fed[element])) > 0.0:
        to_water = fed[element] * (1.0 - _kept(now, element, kept))
        return np.asarray(to_water * LEVELS[element][1] / now.drawn.litres)
    level = np.maximum(now.drawn.level(name), 1e-4)
    return np.asarray(PULL[name].drawn(deviates(151, level.size)) * level)


def _kept(now: WaterNow, element: str, kept: float | None) -> Floats:
    count = now.drawn.count
    if kept is not None:
        return np.full(count, kept)
    spread = KEPT_NITROGEN if element == "nitrogen" else KEPT_PHOSPHORUS
    return np.minimum(spread.drawn(deviates(_STREAMS[element] + 19, count)), 0.9)


def _tested(now: WaterNow, name: str) -> bool:
    return now.answer is None or name in now.answer.quantities


def _fed(now: WaterNow, label: Label, food: float | None) -> tuple[dict[str, Floats], float, bool]:
    """mg fed in a day of each element, grams of food a day, and whether it is all a guess."""
    count = now.drawn.count
    typed = label.protein is not None
    if food is not None:
        content = content_of(label, now.facts)
        return _holds([(food, content)], count), food, not typed and not _labelled(now.facts)
    facts = _lately(now, "feed")
    if not facts:
        return _holds([], count), 0.0, False
    days = max((now.at - max(now.at - DAYS, facts[0].when)) / timedelta(days=1), 1.0)
    by_food: dict[str, tuple[float, FoodContent]] = {}
    for fact in facts:
        content = content_of(label, [fact]) if typed else content_of_fact(fact)
        grams = by_food.get(fact.what, (0.0, content))[0]
        by_food[fact.what] = (grams + grams_of_fact(fact) / days, content)
    total = sum(grams for grams, _ in by_food.values())
    return _holds(list(by_food.values()), count), total, not typed and not _labelled(facts)


def _labelled(facts: Sequence[Fact]) -> bool:
    return any(fact.kind == "feed" and fact.detail.get("n") for fact in facts)


def _holds(foods: Sequence[tuple[float, FoodContent]], count: int) -> dict[str, Floats]:
    found = {element: np.zeros(count) for element in LEVELS}
    for place, (grams, content) in enumerate(foods):
        for element, spread in (("nitrogen", content.nitrogen), ("phosphorus", content.phosphorus)):
            drawn = spread.drawn(deviates(_STREAMS[element] + place % 20, count))
            found[element] = found[element] + 1e3 * grams * drawn
    return found


def _lately(now: WaterNow, kind: str) -> list[Fact]:
    found = [f for f in now.facts if f.kind == kind and now.at - DAYS <= f.when <= now.at]
    return sorted(found, key=lambda fact: fact.when)


def _weekly_share(now: WaterNow) -> float:
    """The share of the water that goes in a week: changes, and what was removed (skimmate)."""
    litres = now.litres.value
    once = 0.0
    facts = [f for f in now.facts if f.kind in ("water_change", "removed") and f.when <= now.at]
    for fact in facts:
        if "/" in fact.unit or fact.when < now.at - DAYS:
            continue
        share = (
            float(fact.value) / 100.0
            if fact.unit == "%"
            else convert_amount(float(fact.value), fact.unit, "L") / litres
        )
        once += min(share, 1.0)
    return min(once / (DAYS / timedelta(days=7)), 0.9)


def _continuous(now: WaterNow) -> float:
    """The share of the water that a continuous change takes in a day, as it is set now."""
    settings = [
        fact
        for fact in now.facts
        if fact.kind == "water_change" and "/" in fact.unit and fact.when <= now.at
    ]
    if not settings:
        return 0.0
    last = max(settings, key=lambda fact: fact.when)
    if last.unit.startswith("%"):
        return float(last.value) / 100.0
    return convert_amount(float(last.value), last.unit, "L/day") / now.litres.value


def _incoming(now: WaterNow) -> Mapping[str, float]:
    """What new water brings of the two, by its mix's label; next to nothing where it is silent."""
    mix = now.system.mixes[0] if now.system.mixes else None
    return {name: (mix.composition.get(name, 0.0) if mix else 0.0) for name in ELEMENT_OF}


def _media(now: WaterNow) -> tuple[Floats, bool]:
    """mg of P that ferric media take in a day, as draws in the order of the belief."""
    count = now.drawn.count
    if "phosphate" not in now.drawn.quantities or not any(f.kind == "media" for f in now.facts):
        return np.zeros(count), False
    story = ferric_story(now)
    bed, draws = story.learned.bed, story.learned.draws
    if story.bed is None:
        return np.zeros(count), False
    taken = 24.0 * np.asarray(bed.flow) * (draws.level - outflow(draws, bed)) / PHOSPHATE_PER_P
    taken = np.sort(np.maximum(taken, 0.0))
    # The most is taken where the level is highest, so both are put in the order of the level.
    picked = taken[((np.arange(count) + 0.5) * taken.size / count).astype(int)]
    found = np.empty(count)
    found[np.argsort(now.drawn.level("phosphate"), kind="stable")] = picked
    return found, True


def _budget(
    now: WaterNow,
    element: str,
    nutrients: Mapping[str, Nutrient],
    *,
    fed: Floats,
    kept: float | None,
    cut: Floats,
    media: Floats,
    habit: float,
) -> Budget:
    level, factor = LEVELS[element]
    litres = now.drawn.litres
    share = _kept(now, element, kept)
    changes = rises = np.zeros(litres.size)
    if level in nutrients:
        each = nutrients[level]
        a_day = -np.log1p(-min(habit, 0.99)) / 7.0 + _continuous(now)
        gap = each.now - _incoming(now)[level]
        changes = np.asarray(a_day * gap * litres / factor)
        rises = np.asarray(each.net * litres / factor)
    return Budget(fed, np.asarray(fed * share), 1e3 * cut, media, changes, rises)
