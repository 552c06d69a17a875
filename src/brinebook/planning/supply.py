"""What a pack of salt costs for what is used of it before it is too old, and from which use on a
larger one pays."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack: how much is in it (kg), its price and what its sending costs, in one currency."""

    kilograms: float
    price: float
    sending: float = 0.0

    @property
    def paid(self) -> float:
        """All that is paid for it."""
        return self.price + self.sending


def used_of(pack: Pack, *, a_year: float, years: float) -> float:
    """Kilograms that are used of it before it is too old: never more than are in it."""
    return min(pack.kilograms, a_year * years)


def cost_per_used(pack: Pack, *, a_year: float, years: float) -> float:
    """What a kilogram costs that is used, at so many kilograms ``a_year`` and a life of ``years``.

    Raises ZeroDivisionError where nothing is used.
    """
    return pack.paid / used_of(pack, a_year=a_year, years=years)


def pays_from(larger: Pack, smaller: Pack, *, years: float) -> float | None:
    """Kilograms a year from which on the larger pack is cheaper for what is used; None: never.

    0 where it is cheaper whatever is used.
    """
    if larger.paid <= smaller.paid:
        return 0.0
    # Below it the smaller is used up in its life and the larger is not.
    found = larger.paid * smaller.kilograms / (smaller.paid * years)
    return found if found * years <= larger.kilograms else None
