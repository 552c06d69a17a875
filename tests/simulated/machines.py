"""What goes on without a decision: pumps, continuous changes, food, topping off.

Kept apart from the keeper so that a branch of the truth can go on with these alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.simulated.chemistry import PER_GRAM
from tests.simulated.scenario import Bottle
from tests.simulated.tank import Tank


@dataclass
class Pump:
    """One bottle on its pump; ``strength`` is of the batch that is in it."""

    bottle: Bottle
    daily: float
    left: float
    strength: float
    stopped: bool = False
    delivered: float = 0.0
    missed: float = 0.0
    owed: float = 0.0  # days' worth of the amount, gathered until the next stroke

    def factor(self, t: float) -> float:
        return self.bottle.pump * max(1.0 - self.bottle.wear * t, 0.3)

    def content(self, millilitres: float) -> dict[int, float]:
        grams = millilitres * 1e-3 * self.bottle.grams_per_litre * self.strength
        return {index: each * grams for index, each in PER_GRAM[self.bottle.salt].items()}

    def run(self, tank: Tank, t: float, dt: float, hour: float) -> None:
        if self.daily <= 0.0:
            return
        hours = self.bottle.hours
        if hours is not None:
            start, stop = hours
            inside = start <= hour < stop if start < stop else hour >= start or hour < stop
            if not inside:
                return
            self.owed += dt * 24.0 / ((stop - start) % 24)
        else:
            self.owed += dt
        stroke = self.bottle.stroke_hours / 24.0
        if hours is not None:
            stroke *= 24.0 / ((hours[1] - hours[0]) % 24)
        if self.owed < stroke - 1e-9:
            return
        amount = self.daily * self.owed * self.factor(t)
        self.owed = 0.0
        if self.stopped:
            self.missed += amount
            return
        if amount > self.left:  # nobody lets it run dry: that would be a mishap
            self.left += self.bottle.container
        self.left -= amount
        self.delivered += amount
        tank.flow(amount * 1e-3, self.content(amount))


@dataclass
class Machines:
    """Everything that runs by itself, with what it will do next."""

    pumps: list[Pump] = field(default_factory=list)
    continuous: float = 0.0  # L/day, true
    new_water: list[float] = field(default_factory=list)
    meals: list[tuple[float, float]] = field(default_factory=list)  # time, grams (in time order)
    feed_n: float = 0.07
    feed_p: float = 0.01
    top_offs: list[float] = field(default_factory=list)  # times of topping off by hand
    topped: list[tuple[float, float]] = field(default_factory=list)  # time, litres: to be logged
    _meal: int = 0
    _top: int = 0

    def step(self, tank: Tank, t: float, dt: float, hour: float) -> None:
        for pump in self.pumps:
            pump.run(tank, t, dt, hour)
        if self.continuous > 0.0:
            tank.exchange(self.continuous * dt, self.new_water)
        while self._meal < len(self.meals) and self.meals[self._meal][0] <= t + 1e-9:
            tank.feed(self.meals[self._meal][1], n=self.feed_n, p=self.feed_p)
            self._meal += 1
        while self._top < len(self.top_offs) and self.top_offs[self._top] <= t + 1e-9:
            litres = tank.physics.volume - tank.volume
            if litres > 0.0:
                tank.top_off(litres)
                self.topped.append((t, litres))
            self._top += 1

    def branch(self) -> Machines:
        """A copy to look ahead with; the plans are shared, the state is not."""
        pumps = [Pump(**vars(pump)) for pump in self.pumps]
        return Machines(
            pumps=pumps,
            continuous=self.continuous,
            new_water=list(self.new_water),
            meals=self.meals,
            feed_n=self.feed_n,
            feed_p=self.feed_p,
            top_offs=self.top_offs,
            _meal=self._meal,
            _top=self._top,
        )
