"""A small figure beside a number: the tests of two months in the keeper's band, as coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.answer import Answer, QuantityAnswer
from brinebook.balance.season import instant

SPAN = timedelta(days=60)
WIDTH, HEIGHT = 120.0, 28.0
_EDGE = 3.0


@dataclass(frozen=True, slots=True)
class Dot:
    """One test: where it lies in the figure, and whether it is suspect."""

    x: float
    y: float
    suspect: bool


@dataclass(frozen=True, slots=True)
class Spark:
    """The figure: dots, and where the keeper's band and the estimate's 95 % interval lie."""

    dots: tuple[Dot, ...]
    band: tuple[float, float] | None
    now: tuple[float, float]

    @property
    def path(self) -> str:
        """The sound tests joined by a line, for SVG."""
        return " ".join(f"{dot.x:.1f},{dot.y:.1f}" for dot in self.dots if not dot.suspect)


def spark(answer: Answer, quantity: QuantityAnswer) -> Spark:
    """The figure of one quantity. Its height spans tests, band and interval."""
    suspects = {one.fact for one in answer.suspects}
    tests = [
        (instant(test.t), test.value, test.fact in suspects)
        for season in answer.seasons
        for test in season.season.tests
        if test.quantity == quantity.name and not test.target and not test.edge
    ]
    recent = [one for one in tests if answer.at - SPAN <= one[0] <= answer.at]
    levels = [value for _, value, suspect in recent if not suspect]
    levels += [quantity.now.low, quantity.now.high, *(quantity.band or ())]
    scale = _Scale(levels)
    band = quantity.band
    return Spark(
        tuple(Dot(_x(when, answer.at), scale.y(value), bad) for when, value, bad in recent),
        None if band is None else (scale.y(band[1]), scale.y(band[0])),
        (scale.y(quantity.now.high), scale.y(quantity.now.low)),
    )


def _x(when: datetime, at: datetime) -> float:
    return _EDGE + (1 - (at - when) / SPAN) * (WIDTH - 4 * _EDGE)


class _Scale:
    def __init__(self, levels: Sequence[float]) -> None:
        self.low, self.high = min(levels), max(levels)

    def y(self, value: float) -> float:
        span = self.high - self.low or 1.0
        share = min(max((value - self.low) / span, 0.0), 1.0)
        return round(HEIGHT - _EDGE - share * (HEIGHT - 2 * _EDGE), 1)
