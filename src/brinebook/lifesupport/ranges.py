"""A figure with the ends between which it is likely to lie."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """A middle and the two ends that the spread of the inputs leaves it."""

    value: float
    low: float
    high: float

    def scaled(self, by: float) -> Range:
        """The same in another unit; ``by`` is above zero."""
        return Range(self.value * by, self.low * by, self.high * by)


def exactly(value: float) -> Range:
    """A figure without a spread."""
    return Range(value, value, value)


def spread(values: Iterable[float]) -> Range:
    """The range of three figures, the middle one given second, in whichever order they rank."""
    first, middle, last = values
    return Range(middle, min(first, middle, last), max(first, middle, last))


def over(of: Callable[[float], float], ends: tuple[float, float, float]) -> Range:
    """A function taken at the low end, the middle and the high end of one input."""
    return spread(of(end) for end in ends)
