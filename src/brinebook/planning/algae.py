"""Algae grown to be cut: how fast they grow, and what a cut takes out of the water."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.planning.spread import Spread

#: Dry share of wet filamentous greens (5 to 10 parts wet to one dry, and more where they were not
#: drained: from memory, common practice), until the keeper has dried and weighed some.
DRY_SHARE = Spread(0.10, 0.12, 0.20)

#: Nitrogen and phosphorus in their dry mass. Ulva and Enteromorpha hold 1.3 to 5.4 % and 0.21 to
#: 0.56 %, Chaetomorpha linum of a poor lagoon 0.6 to 1.4 % nitrogen, and it can pile up ten times
#: the phosphorus that it needs, so the range is as wide as it is.
#: Source: bjornsater1990, menendez2005, menendez2002
NITROGEN_OF_DRY = Spread(0.010, 0.030, 0.045)
PHOSPHORUS_OF_DRY = Spread(0.0010, 0.0025, 0.0050)

#: Relative growth of Chaetomorpha linum with plenty of ammonium or nitrate, a day.
#: Source: menendez2005
FED_GROWTH = (0.11, 0.13)


@dataclass(frozen=True, slots=True)
class AlgaeContent:
    """What a wet gram of algae is made of: dry share, and nitrogen and phosphorus of the dry."""

    dry: Spread = DRY_SHARE
    nitrogen: Spread = NITROGEN_OF_DRY
    phosphorus: Spread = PHOSPHORUS_OF_DRY


@dataclass(frozen=True, slots=True)
class CutHolds:
    """Grams of nitrogen and of phosphorus in a cut: the ends multiply the ends."""

    nitrogen: Spread
    phosphorus: Spread


def cut_holds(wet_grams: float, content: AlgaeContent) -> CutHolds:
    """Nitrogen and phosphorus (g) in a cut of so many wet grams.

    Low takes every low figure and high every high one: an honest span, wider than 95 %.
    """
    return CutHolds(
        _product(wet_grams, content.dry, content.nitrogen),
        _product(wet_grams, content.dry, content.phosphorus),
    )


def _product(grams: float, dry: Spread, share: Spread) -> Spread:
    return Spread(
        grams * dry.low * share.low,
        grams * dry.middle * share.middle,
        grams * dry.high * share.high,
    )


def wet_grams_for(grams: float, dry: float, share: float) -> float:
    """Wet grams of algae that hold ``grams`` of a nutrient: the inverse of one end of a cut."""
    return grams / (dry * share)


def relative_growth(before: float, after: float, days: float) -> float:
    """Relative growth rate a day between two sizes of the same kind (mass or volume), > 0.

    ln(after / before) / days: what grows by itself grows in proportion to what is there.
    """
    return math.log(after / before) / days


def relative_growth_of_ball(before: float, after: float, days: float) -> float:
    """Relative growth a day of a ball, from its width before and after: its volume goes as w³."""
    return 3.0 * relative_growth(before, after, days)


def doubling_days(relative_rate: float) -> float:
    """Days to double at a relative rate above zero: ln 2 / rate."""
    return math.log(2.0) / relative_rate


def growth_between_cuts(cut: float, left: float, days: float) -> float:
    """Relative growth a day where each cut takes what grew since the last one.

    ``left`` is what stays after a cut and ``cut`` what is taken, same unit, both above zero.
    """
    return relative_growth(left, left + cut, days)


def growth_if_share_cut(share: float, days: float) -> float:
    """The same where only the share of the crop that is taken is known (0 to 1, both left out)."""
    return -math.log(1.0 - share) / days
