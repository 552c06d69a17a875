"""What was asked of a series of water changes, and what was found."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brinebook.balance.season import Floats
from brinebook.desk.plan_change_once import level_text
from brinebook.desk.plan_start import Start
from brinebook.planning.changes import ChangePlan, NewWater


@dataclass(frozen=True, slots=True)
class Habit:
    """What the keeper does as a rule: the share at once, and days between changes."""

    share: float
    every: float


@dataclass(frozen=True, slots=True)
class Series:
    """What was asked of a series and what was found; levels canonical, ``made`` a day.

    ``plan`` is None where no series does it; ``asked`` False where only the habit's own end was
    asked about. ``stated_share``: so much at once was typed.
    """

    start: Start
    quantity: str
    target: float
    made: float
    new: NewWater
    habit: Habit | None
    plan: ChangePlan | None
    every: float
    share: float
    times: int | None
    moisture: float
    asked: bool
    stated_share: bool = False

    @property
    def incoming(self) -> float:
        """The quantity in the new water."""
        return self.new.levels[self.quantity]

    @property
    def now(self) -> float:
        """The middle of belief."""
        return float(np.median(self.start.drawn.level(self.quantity)))

    @property
    def made_draws(self) -> Floats:
        """What is made a day, with the doubt about the rate."""
        use = self.start.drawn.use(self.quantity)
        return np.asarray(self.made + float(np.median(use)) - use)

    @property
    def sureness(self) -> float:
        """How sure it is that the system makes it at all, or uses it: 0.5 to 1."""
        made = float(np.mean(self.made_draws > 0.0))
        return max(made, 1.0 - made)

    @property
    def litres(self) -> float:
        """The middle of belief about the net volume."""
        return float(np.median(self.start.drawn.litres))

    def told(self, value: float) -> str:
        """A level in the keeper's unit."""
        return level_text(self.quantity, value, self.start)
