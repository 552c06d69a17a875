"""Nitrogen and phosphorus that come in with food, and the part of them that reaches the water."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.planning.spread import Spread

#: Nitrogen in a gram of protein: 16 %, the convention behind every label's “crude protein”.
NITROGEN_OF_PROTEIN = 0.16

#: Share of the food's nitrogen and phosphorus that stays in growing fish, in five species over 56
#: days; grown-up animals that no longer grow keep next to none of it.
#: Source: summerfelt2007
KEPT_NITROGEN = Spread(0.12, 0.25, 0.44)
KEPT_PHOSPHORUS = Spread(0.15, 0.25, 0.54)

#: What a gram of an unlabelled food holds, as fed: frozen food is four fifths water, flakes a tenth
#: (common practice, no source).
UNKNOWN_NITROGEN = Spread(0.01, 0.035, 0.09)
UNKNOWN_PHOSPHORUS = Spread(0.001, 0.005, 0.018)

#: How far a label's figures may be off (common practice, no source).
LABEL_SD = 0.15


def nitrogen_of_protein(protein: float) -> float:
    """Nitrogen for a mass of protein, in the same unit: 16 % of it, protein / 6.25.

    Holds for mixed feeds; single proteins run from 15 to 18 % nitrogen.
    Source: aoac1990
    """
    return protein * NITROGEN_OF_PROTEIN


def as_fed(share_of_dry: float, moisture: float) -> float:
    """A share of the dry matter as a share of the food as it is weighed; both from 0 to 1."""
    return share_of_dry * (1.0 - moisture)


@dataclass(frozen=True, slots=True)
class FoodContent:
    """Nitrogen and phosphorus in a gram of food as fed: shares of its mass."""

    nitrogen: Spread
    phosphorus: Spread


def content_of_label(
    *,
    protein: float | None,
    phosphorus: float | None,
    moisture: float = 0.0,
    of_dry_matter: bool = False,
) -> FoodContent:
    """What a label says of a food, as shares of the food as fed.

    ``protein`` and ``phosphorus`` are shares (0 to 1) of the food as sold, as labels mostly give
    them, or with ``of_dry_matter`` of its dry matter: then ``moisture`` is needed. What the label
    leaves out is a wide guess.
    """
    wet = moisture if of_dry_matter else 0.0
    nitrogen = UNKNOWN_NITROGEN
    if protein is not None:
        nitrogen = Spread.about(as_fed(nitrogen_of_protein(protein), wet), LABEL_SD)
    found = UNKNOWN_PHOSPHORUS
    if phosphorus is not None:
        found = Spread.about(as_fed(phosphorus, wet), LABEL_SD)
    return FoodContent(nitrogen, found)


def reaching_water(fed: float, kept: float) -> float:
    """What of a nutrient fed reaches the water in the end, where animals keep the share ``kept``.

    Same unit as ``fed``. What the skimmer takes before it dissolves is counted as export.
    """
    return fed * (1.0 - kept)
