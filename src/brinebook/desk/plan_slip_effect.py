"""What too much of something poured did: the rise, its use, pH before and at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brinebook.desk.plan_now import WaterNow
from brinebook.desk.plan_pour import Poured, PourUnreadable, now_unit, ph_figures
from brinebook.measure import Measure
from brinebook.plan import Figure
from brinebook.planning.limits import Limits, limits_for
from brinebook.planning.spread import chance, told
from brinebook.planning.substances import dosed_for
from brinebook.texts import say


@dataclass(frozen=True, slots=True)
class Effect:
    """What a pour did to the quantity that it is judged by."""

    quantity: str
    rise: Measure
    before: Measure
    after: Measure
    limits: Limits
    over_limit: float
    use: Measure | None
    days: Measure | None
    outside: float | None


def effect_of(now: WaterNow, went_in: Poured, *, logged: bool) -> Effect:
    """What the pour did; ``logged``: the belief has it already. Raises PourUnreadable."""
    quantity = dosed_for(went_in.substance) or _acts_on(went_in)
    if quantity is None:
        raise PourUnreadable(
            say("{went_in} brings nothing that is followed here.", went_in=went_in.name),
            say("Describe what a millilitre brings under [[additives]] in system.toml."),
        )
    drawn = now.drawn
    rise = went_in.brings[quantity] / drawn.litres
    if went_in.amount.dimension == "volume":
        rise = rise * drawn.strength(went_in.name)
    unit = now_unit(quantity)
    known = quantity in drawn.quantities
    level = drawn.level(quantity) if known else np.zeros_like(rise)
    before = level - rise if logged else level
    after = before + rise
    allowed = limits_for(quantity, now.system, target=now.usual(quantity))
    band = now.system.bands.get(quantity)
    use = drawn.use(quantity) if known else np.zeros_like(rise)
    used = bool(np.median(use) > 0.0 and np.median(rise) > 0.0)
    return Effect(
        quantity,
        told(rise, unit),
        told(before, unit),
        told(after, unit),
        allowed,
        chance(np.abs(rise) > allowed.per_day),
        told(use, f"{unit}/day") if known else None,
        told(rise / np.maximum(use, 1e-3 * np.median(use)), "days") if used else None,
        None if band is None or not known else chance((after > band[1]) | (after < band[0])),
    )


def _acts_on(went_in: Poured) -> str | None:
    """What an acid or a plain salt is judged by."""
    return next((name for name in ("alkalinity", "salinity") if went_in.brings.get(name)), None)


def effect_figures(effect: Effect) -> tuple[Figure, ...]:
    """The rise, where it stood and stands, its use and the limit."""

    def figure(name: str, measure: Measure | None, origin: str = "") -> list[Figure]:
        if measure is None:
            return []
        return [Figure(name, measure.value, measure.unit, measure.low, measure.high, origin)]

    name = effect.quantity
    # Nothing is told of where a level stood that nobody tested.
    before, after = (effect.before, effect.after) if effect.use is not None else (None, None)
    found = [
        *figure(f"{name}_rise", effect.rise),
        *figure(f"{name}_before", before, "estimated"),
        *figure(f"{name}_after", after),
        *figure(f"{name}_use", effect.use, "estimated"),
        *figure("days_of_use", effect.days),
    ]
    found.append(
        Figure(
            "limit_per_day",
            effect.limits.per_day,
            f"{now_unit(name)}/day",
            origin=effect.limits.origin("per_day"),
        )
    )
    return tuple(found)


def water_figures(now: WaterNow, went_in: Poured, before: float) -> tuple[Figure, ...]:
    """pH, CO2 and saturation before, at once, and once the room's air has had its say."""
    litres = now.litres.value
    others = [
        Figure(f"{name}_added", amount / litres, now_unit(name))
        for name, amount in went_in.brings.items()
        if name != "salinity" and amount
    ]
    salt = went_in.brings.get("salinity", 0.0) / litres
    others.append(Figure("salt_added", salt, "g/L"))
    alkalinity = went_in.brings.get("alkalinity", 0.0)
    if not alkalinity or went_in.carbon is None:
        return tuple(others)
    return (
        *others,
        *ph_figures(
            now, before, alkalinity=alkalinity / litres, carbon=(went_in.carbon or 0.0) / litres
        ),
    )


def jump_of(water: Sequence[Figure]) -> float:
    """By how much pH jumps at once; 0 where that can't be told."""
    told = {figure.name: figure.value for figure in water}
    return told.get("ph_at_once", 0.0) - told.get("ph_before", 0.0)
