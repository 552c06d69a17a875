"""Oxygen in still water, hour by hour: what breathes, what the surface lets in, what bubbles add.

Volumes in L, areas in m2, oxygen in mg/L, demand in mg/h. ``exchange`` is litres of water an hour
that come to balance with air; times the gap to saturation it is mg/h.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

#: Transfer velocities are printed for carbon dioxide in fresh water of 20 °C.
_SCHMIDT_OF_REFERENCE = 600.0

#: mg of oxygen in a litre of dry air at 20 °C and 1 atm: 0.20946 x 31.998 g/mol / 24.055 L/mol.
_OXYGEN_IN_AIR = 278.6

#: Share of its oxygen that a bubble gives up for each metre that it rises, into water without any:
#: coarse bubbles, as a middle, fine ones. Source: epa1989b (chapter 2)
BUBBLES_GIVE = (0.015, 0.03, 0.06)


def transfer_velocity_cole_caraco_1998(wind: float) -> float:
    """Exchange of a water surface with air, cm/h, by wind at 10 m (m/s); a small still lake.

    Source: cole1998 (eq. 5)
    """
    return float(2.07 + 0.215 * wind**1.7)


def transfer_velocity_crusius_wanninkhof_2003(wind: float) -> float:
    """The same from a tracer in another small lake, which found nearly nothing in a calm.

    Source: crusius2003 (power fit)
    """
    return float(0.168 + 0.228 * wind**2.2)


def schmidt_oxygen_wanninkhof_2014(temperature: float) -> float:
    """Schmidt number of oxygen in seawater of 35 PSU; -2 to 40 °C.

    Source: wanninkhof2014 (table 1)
    """
    terms = (1920.4, -135.6, 5.2122, -0.10939, 0.00093777)
    return sum(term * temperature**power for power, term in enumerate(terms))


def surface_exchange(area: float, velocity: float, *, temperature: float) -> float:
    """Litres an hour that a surface brings to balance, from a velocity in cm/h.

    A still surface behaves like a wall to the water, which gives the exponent 2/3.
    Source: wanninkhof2014 (eq. 2, exponent for smooth surfaces)
    """
    relative = schmidt_oxygen_wanninkhof_2014(temperature) / _SCHMIDT_OF_REFERENCE
    slower: float = relative ** (-2.0 / 3.0)
    return area * velocity / 100.0 * slower * 1000.0


def bubble_exchange(air: float, depth: float, *, saturation: float, gives: float) -> float:
    """Litres an hour that ``air`` L/h of bubbles from ``depth`` m bring to balance.

    ``gives`` is a share by metre, as in ``BUBBLES_GIVE``.
    Source: epa1989b (chapter 2)
    """
    return air * _OXYGEN_IN_AIR * min(gives * depth, 1.0) / saturation


def specific_rate_nilsson_2007(rate: float, *, at_mass: float, mass: float) -> float:
    """Oxygen that a reef fish of ``mass`` g needs by kg and hour, from that of one of ``at_mass``.

    174 fish of 35 species, 0.04 to 40 g, 28 to 30 °C.
    Source: nilsson2007 (fig. 9: exponent -0.367)
    """
    return float(rate * (mass / at_mass) ** -0.367)


@dataclass(frozen=True, slots=True)
class Breathing:
    """Water with something in it that breathes, and what brings oxygen back."""

    volume: float
    demand: float
    exchange: float = 0.0


def steady_oxygen(water: Breathing, *, saturation: float) -> float:
    """Where the oxygen ends, mg/L; below zero where the demand can't be met."""
    if water.exchange <= 0.0:
        return -math.inf if water.demand > 0.0 else saturation
    return saturation - water.demand / water.exchange


def hours_until_oxygen(
    water: Breathing, start: float, *, limit: float, saturation: float
) -> float | None:
    """Hours from ``start`` down to ``limit`` mg/L; None where it is never reached, 0 below it.

    Without exchange a straight line, with it the exponential towards where the oxygen ends.
    """
    if start <= limit:
        return 0.0
    if water.exchange <= 0.0:
        return water.volume * (start - limit) / water.demand if water.demand > 0.0 else None
    end = steady_oxygen(water, saturation=saturation)
    if end >= limit:
        return None
    return water.volume / water.exchange * math.log1p((start - limit) / (limit - end))


@dataclass(frozen=True, slots=True)
class OxygenCourse:
    """Oxygen at every step, mg/L, and the books in mg: breathed, and come in from air."""

    hours: tuple[float, ...]
    oxygen: tuple[float, ...]
    breathed: float
    entered: float

    def hours_until(self, limit: float) -> float | None:
        """When it first falls to the limit, straight between steps; None if it doesn't."""
        for index in range(1, len(self.hours)):
            before, after = self.oxygen[index - 1], self.oxygen[index]
            if after <= limit < before:
                part = (before - limit) / (before - after)
                return self.hours[index - 1] + part * (self.hours[index] - self.hours[index - 1])
        return 0.0 if self.oxygen[0] <= limit else None


def oxygen_course(
    water: Breathing,
    start: float,
    *,
    hours: float,
    saturation: Callable[[float], float],
    step: float = 0.1,
) -> OxygenCourse:
    """Oxygen over ``hours``, each step by its exact exponential at the saturation of its middle.

    Nothing can breathe what isn't there: at zero the demand is what comes in.
    """
    times, levels = [0.0], [start]
    breathed = entered = 0.0
    for number in range(max(round(hours / step), 1)):
        holds = saturation((number + 0.5) * step)
        level = max(_after(water, levels[-1], saturation=holds, hours=step), 0.0)
        gained = _entered(water, levels[-1], saturation=holds, hours=step)
        entered += gained
        breathed += gained - water.volume * (level - levels[-1])
        times.append((number + 1) * step)
        levels.append(level)
    return OxygenCourse(tuple(times), tuple(levels), breathed, entered)


def _after(water: Breathing, start: float, *, saturation: float, hours: float) -> float:
    """Oxygen after ``hours`` at one saturation, exactly; without a division by the exchange."""
    turned = water.exchange * hours / water.volume
    filled = saturation * turned - water.demand * hours / water.volume
    return start * math.exp(-turned) + filled * _fade(turned)


def _entered(water: Breathing, start: float, *, saturation: float, hours: float) -> float:
    """What came in over a step, mg: the integral of exchange times the gap to saturation."""
    turned = water.exchange * hours / water.volume
    filled = saturation * turned - water.demand * hours / water.volume
    mean = start * _fade(turned) + filled * _fade_of_fade(turned)
    return water.exchange * (saturation - mean) * hours


def _fade(turned: float) -> float:
    """(1 - exp(-x))/x, the mean of a fading exponential; 1 at nothing."""
    return -math.expm1(-turned) / turned if turned > 1e-12 else 1.0 - turned / 2.0


def _fade_of_fade(turned: float) -> float:
    """(1 - (1 - exp(-x))/x)/x; a half at nothing."""
    if turned > 0.01:
        return (1.0 - _fade(turned)) / turned
    return 0.5 - turned / 6.0 + turned**2 / 24.0 - turned**3 / 120.0
