"""Electricity by part and month: what each machine uses, heaters as the room asks of them.

Powers in W, energies in kWh, money in the keeper's currency.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from brinebook.lifesupport.heat import Body, power_needed
from brinebook.lifesupport.humid_air import Air

DAYS_OF_MONTHS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class Use:
    """Energy of one month by part, kWh, and how much heat the heaters couldn't give (W)."""

    by_part: Mapping[str, float]
    short_by: float = 0.0

    @property
    def total(self) -> float:
        """All parts together, kWh."""
        return sum(self.by_part.values())


def energy_of_month(watts: float, *, hours_a_day: float, days: float) -> float:
    """kWh of a load that runs so many hours a day."""
    return watts * hours_a_day * days / 1000.0


def heaters_mean_power(needed: float, *, installed: float) -> tuple[float, float]:
    """What thermostats make heaters give on average (W), and what is then still missing (W)."""
    given = min(max(needed, 0.0), installed)
    return given, max(needed, 0.0) - given


def use_by_month(
    body: Body,
    set_at: float,
    *,
    months: Sequence[Air],
    gains: float,
    heaters: float,
    loads: Mapping[str, tuple[float, float]],
) -> tuple[Use, ...]:
    """Twelve months of electricity; ``loads`` are (W, hours a day) by part, without the heaters.

    The heaters' part follows from the heat balance at each month's mean room; a room that swings
    asks the same on average, as the balance is nearly straight over a few degrees.
    """
    uses = []
    for air, days in zip(months, DAYS_OF_MONTHS, strict=True):
        needed = power_needed(body, set_at, air=air, gains=gains)
        given, short = heaters_mean_power(needed, installed=heaters)
        by_part = {
            name: energy_of_month(watts, hours_a_day=hours, days=days)
            for name, (watts, hours) in loads.items()
        }
        by_part["heaters"] = energy_of_month(given, hours_a_day=24.0, days=days)
        uses.append(Use(MappingProxyType(by_part), short))
    return tuple(uses)
