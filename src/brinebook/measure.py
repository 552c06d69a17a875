"""A number with its uncertainty, as one value."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Two-sided 95 % point of the normal distribution.
Z95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Measure:
    """A value with its standard deviation and unit.

    ``low`` and ``high`` bound the central 95 % of belief; they are given where the belief is not
    symmetric (a mixture of explanations, a concentration cut at zero), else follow from ``sd``.
    """

    value: float
    sd: float
    unit: str
    low: float = math.nan
    high: float = math.nan

    def __post_init__(self) -> None:
        if math.isnan(self.low):
            object.__setattr__(self, "low", self.value - Z95 * self.sd)
        if math.isnan(self.high):
            object.__setattr__(self, "high", self.value + Z95 * self.sd)
