"""What algae are made of and how they grew, as typed."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.desk.plan_algae import AlgaeImpossible, Grown
from brinebook.desk.plan_amounts import grams_of
from brinebook.desk.plan_carbon_typed import metres_of
from brinebook.desk.plan_food import share_of
from brinebook.planning.algae import AlgaeContent
from brinebook.planning.spread import Spread
from brinebook.texts import say

#: How far a keeper's own drying and weighing may be off, and an analysis: common practice.
_DRIED_SD, _ANALYSED_SD = 0.08, 0.15


@dataclass(frozen=True, slots=True)
class Typed:
    """Shares as typed: of the wet mass, and of the dry."""

    dry: str | None = None
    algae_nitrogen: str | None = None
    algae_phosphorus: str | None = None


def read_content(typed: Typed) -> AlgaeContent:
    """The content; what wasn't typed is the literature's range."""
    usual = AlgaeContent()
    return AlgaeContent(
        _or(typed.dry, usual.dry, _DRIED_SD),
        _or(typed.algae_nitrogen, usual.nitrogen, _ANALYSED_SD),
        _or(typed.algae_phosphorus, usual.phosphorus, _ANALYSED_SD),
    )


def _or(text: str | None, usual: Spread, sd: float) -> Spread:
    return usual if text is None else Spread.about(share_of(text), sd)


def read_grown(
    *, across: str | None, grown_to: str | None, days: float | None, left: str | None
) -> Grown:
    """The growth; raises AlgaeImpossible where a width stands alone."""
    if (across is None) != (grown_to is None) or (across is not None and days is None):
        raise AlgaeImpossible(
            say("A ball's growth needs its width before and after, and the days between."),
            say("Give --across “43 mm” --to “97 mm” --days 20."),
        )
    return Grown(
        before=None if across is None else metres_of(across),
        after=None if grown_to is None else metres_of(grown_to),
        days=days,
        left=None if left is None else grams_of(left),
    )
