"""The links of a network: runs of pipe, and pumps."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brinebook.lifesupport.pump_curve import Curve


@dataclass(frozen=True, slots=True)
class Run:
    """A pipe from one node to another: bore, length and roughness in m, K of all that is in it."""

    name: str
    begin: str
    end: str
    bore: float
    length: float
    roughness: float = 1.5e-6
    loss: float = 0.0
    one_way: bool = False

    @property
    def area(self) -> float:
        """Open area, m2."""
        return math.pi * self.bore**2 / 4


@dataclass(frozen=True, slots=True)
class Lifter:
    """A pump from one node to another."""

    name: str
    begin: str
    end: str
    curve: Curve


#: Either of the two.
Link = Run | Lifter
