"""A bottle's real strength and its pump's truth, told by the water and by the falling level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.drawn import Drawn
from brinebook.balance.season import Floats
from brinebook.planning.dosing import Pump


@dataclass(frozen=True, slots=True)
class Bottle:
    """What is believed of a bottle: shares of the label or of the setting, as draws.

    ``strength`` of its label, ``pump`` of what it is set to, ``arrives`` both together: what the
    water says. ``moved`` is by how much belief has moved from what was described, in its standard
    deviations: under 1 the facts say nothing yet.
    """

    pump: Pump
    strength: Floats
    moves: Floats
    arrives: Floats
    learned: float

    @property
    def is_known(self) -> bool:
        """Whether the facts have told anything of what arrives."""
        return self.learned > 0.1


def bottle(drawn: Drawn, pump: Pump) -> Bottle:
    """The belief about one bottle on its pump.

    Effect alone tells strength and pump together; only marks on the container part them.
    """
    name = pump.substance.name
    strength, moves = drawn.strength(name), drawn.pump(name)
    arrives = np.asarray(strength * moves)
    described = float(np.hypot(pump.substance.strength_sd, pump.substance.pump_sd))
    spread = float(arrives.std())
    return Bottle(pump, strength, moves, arrives, 1.0 - min(spread / described, 1.0))
