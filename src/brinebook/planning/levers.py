"""The levers of nutrients: what a size of each does to nitrate and phosphate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from brinebook.planning.algae import AlgaeContent
from brinebook.planning.nutrients import LEVELS, Budget, Lever, Push, share_of_change
from brinebook.planning.spread import Floats, deviates

#: The most of each lever that is worth naming (common practice, no source): a week's change, the
#: share of food left out, how much more may be fed, and algae as a multiple of what is cut now.
MOST_CHANGE = 0.4
MOST_LESS_FOOD, MOST_MORE_FOOD = 0.5, 0.5
MOST_ALGAE, LEAST_ALGAE_GRAMS = 3.0, 150.0


@dataclass(frozen=True, slots=True)
class Place:
    """What the levers need of the system: litres, budgets by element, grams cut in a week now."""

    litres: Floats
    budgets: Mapping[str, Budget]
    cut_a_week: float
    content: AlgaeContent
    incoming: Mapping[str, float]  # what new water brings, mg/L


def change_lever(place: Place) -> Lever:
    """Water changed in a week, as a share of it, beyond what is changed now."""

    def pushes(size: float) -> Mapping[str, Push]:
        share = share_of_change(size)
        return {
            level: Push(share=share, towards=place.incoming.get(level, 0.0))
            for level, _ in LEVELS.values()
        }

    return Lever("change more", "share a week", MOST_CHANGE, pushes)


def less_food_lever(place: Place) -> Lever:
    """Food left out, as a share of what is fed."""
    return Lever("feed less", "share", MOST_LESS_FOOD, lambda size: _food(place, -size))


def more_food_lever(place: Place) -> Lever:
    """Food on top, as a share of what is fed."""
    return Lever("feed more", "share", MOST_MORE_FOOD, lambda size: _food(place, size))


def _food(place: Place, more: float) -> Mapping[str, Push]:
    return {
        level: Push(supply=more * place.budgets[element].to_water * factor / place.litres)
        for element, (level, factor) in LEVELS.items()
    }


def algae_lever(place: Place) -> Lever:
    """Wet grams of algae grown and cut in a week beyond what is cut now."""
    most = max(MOST_ALGAE * place.cut_a_week, LEAST_ALGAE_GRAMS)

    def pushes(size: float) -> Mapping[str, Push]:
        held = dict(zip(LEVELS, grams_held(place, size / 7.0), strict=True))
        return {
            level: Push(uptake=1e3 * held[element] * factor / place.litres)
            for element, (level, factor) in LEVELS.items()
        }

    return Lever("cut more algae", "g a week", most, pushes)


def grams_held(place: Place, wet_grams: float) -> tuple[Floats, Floats]:
    """Nitrogen and phosphorus (g) in wet algae, as draws."""
    count = place.litres.size
    dry = wet_grams * place.content.dry.drawn(deviates(81, count))
    nitrogen = dry * place.content.nitrogen.drawn(deviates(82, count))
    return nitrogen, np.asarray(dry * place.content.phosphorus.drawn(deviates(83, count)))


def dose_lever(level: str, most: float) -> Lever:
    """The nutrient itself, mg/L a day, by a solution of nitrate or phosphate."""
    return Lever(f"dose {level}", "mg/L a day", most, lambda size: {level: Push(supply=size)})


def media_out_lever(place: Place) -> Lever:
    """Ferric media taken out: what they take now stays in the water. A size of one is all."""
    budget = place.budgets["phosphorus"]
    level, factor = LEVELS["phosphorus"]
    return Lever(
        "take the media out",
        "share",
        1.0,
        lambda size: {level: Push(uptake=-size * budget.media * factor / place.litres)},
    )
