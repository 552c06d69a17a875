"""Daily dosing: what to set the pumps to for the coming weeks, without chasing noise.

The setting is judged on the draws of belief: how far from the target the next three weeks would be
with it, and with which chance the band holds. It moves only where that is worth a turn of the knob,
and never far at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brinebook.balance.drawn import Drawn, Extra, ahead
from brinebook.balance.season import Floats
from brinebook.planning.limits import Limits
from brinebook.planning.substances import Substance, dosed_for
from brinebook.water.atoms import molar_mass

#: Days over which the chance is told that the band holds.
HORIZONS = (7, 14, 30)
#: Days ahead over which a setting is judged.
_JUDGED = 21
#: A setting moves at most by so much of itself at once; by twice that where the band is being lost.
#: Common practice, no source.
_BOUND = 0.2
#: A turn of the knob is worth it where the mean square distance from the target falls by so much,
#: in half bands, or the band holds so much better. Common practice, no source.
_WORTH_SQUARE, _WORTH_CHANCE = 0.03, 0.05
#: Where the sign of the change isn't known better than this, it is noise.
_SIGN = 0.85
#: meq of alkalinity that go with one mg of calcium in CaCO3.
MEQ_PER_MG_CALCIUM = 2.0 / molar_mass("Ca")


@dataclass(frozen=True, slots=True)
class Pump:
    """A bottle on its pump: what it is set to a day (mL or g), for which quantity, in which hours.

    ``left`` are draws of what is left in it, mL, None where nobody knows; ``container`` what it
    holds when full. ``evaporates``: it goes in as water evaporates and has no knob.
    """

    substance: Substance
    quantity: str
    setting: float
    hours: str = ""
    left: Floats | None = None
    container: float | None = None
    evaporates: bool = False


@dataclass(frozen=True, slots=True)
class Setting:
    """What became of one pump.

    ``needed`` are the draws of the setting that the target asks for, ``new`` what to set it to.
    ``holds`` is the chance that the band holds for 7, 14, 30 days: without the change, with it.
    ``because``: "steady", "noise" (the sign can't be told), "change", "pair" (moved to stay in the
    coupling's ratio), "first" (nothing was dosed), "evaporates", "odd" (it would rest on one test).
    """

    pump: Pump
    target: float
    limits: Limits
    needed: Floats
    new: float
    bounded: bool
    because: str
    holds: Mapping[int, tuple[float, float]]
    levels: Floats
    without: Floats

    @property
    def changes(self) -> bool:
        """Whether the knob is to be turned."""
        return abs(self.new - self.pump.setting) > 1e-9


def as_it_is(found: Setting, *, because: str) -> Setting:
    """The setting left alone after all."""
    holds = {days: (without, without) for days, (without, _) in found.holds.items()}
    return replace(
        found,
        new=found.pump.setting,
        bounded=False,
        because=because,
        holds=holds,
        levels=found.without,
    )


def knob_step(setting: float) -> float:
    """The finest change of a setting that means anything: 1 of 15 and more, else 0.1."""
    return 1.0 if setting >= 15.0 else 0.1


def settle(
    drawn: Drawn,
    pumps: Sequence[Pump],
    *,
    targets: Mapping[str, float],
    limits: Mapping[str, Limits],
) -> tuple[Setting, ...]:
    """Settings for all pumps: each by its own quantity, the pair then in the coupling's ratio.

    ``targets`` and ``limits`` by quantity, canonical. Pumps of quantities outside the belief are
    left out.
    """
    known = [pump for pump in pumps if pump.quantity in drawn.quantities]
    found = [
        _alone(drawn, pump, targets[pump.quantity], limits[pump.quantity]) for pump in known
    ]  # fmt: skip
    return tuple(_paired(drawn, found))


def _alone(drawn: Drawn, pump: Pump, target: float, limits: Limits) -> Setting:
    free = ahead(drawn, HORIZONS[-1]).of(pump.quantity)
    response = _response(drawn, pump) - free
    horizon = response[14]
    safe = np.where(horizon > 0.0, horizon, np.inf)
    needed = np.maximum(pump.setting + (target - free[14]) / safe, 0.0)
    found = Setting(
        pump, target, limits, needed, pump.setting, False, "steady", {}, free, free
    )  # fmt: skip
    found = replace(found, holds=_holds(found, response, 0.0))
    if pump.evaporates:
        return replace(found, because="evaporates")
    change, bounded = _wanted(found, response)
    return _moved(found, response, change, bounded=bounded)


def _response(drawn: Drawn, pump: Pump) -> Floats:
    """Levels to come with one unit a day more of it."""
    more = Extra(pump.substance.name, 1.0, pump.substance.per_unit)
    return ahead(drawn, HORIZONS[-1], extras=[more]).of(pump.quantity)


def _wanted(found: Setting, response: Floats) -> tuple[float, bool]:
    """The change that brings the next three weeks nearest to the target, within its bound."""
    gap, slope = found.target - found.without[1 : _JUDGED + 1], response[1 : _JUDGED + 1]
    best = float(np.sum(gap * slope) / max(float(np.sum(slope * slope)), 1e-300))
    setting = found.pump.setting
    if setting <= 0.0:
        return max(best, 0.0), False
    losing = found.holds[7][0] < 0.5
    most = (2.0 if losing else 1.0) * _BOUND * setting
    bounded = float(np.clip(best, -min(most, setting), most))
    return bounded, abs(bounded - best) > 1e-9


def _moved(found: Setting, response: Floats, change: float, *, bounded: bool) -> Setting:
    setting = found.pump.setting
    step = knob_step(max(setting, setting + change))
    new = max(round((setting + change) / step) * step, 0.0)
    change = new - setting
    if change == 0.0:
        return found
    holds = _holds(found, response, change)
    if setting > 0.0 and _sureness(found, change) < _SIGN:
        return replace(found, because="noise")
    if setting > 0.0 and not _is_worth_it(found, response, change, holds):
        return found
    return replace(
        found,
        new=new,
        bounded=bounded,
        because="change" if setting > 0.0 else "first",
        holds=holds,
        levels=found.without + change * response,
    )


def _is_worth_it(
    found: Setting, response: Floats, change: float, holds: Mapping[int, tuple[float, float]]
) -> bool:
    """Whether the next three weeks come nearer to the target by enough to turn the knob."""
    low, high = found.limits.band
    half = (high - low) / 2.0
    before = (found.without[1 : _JUDGED + 1] - found.target) / half
    after = before + change * response[1 : _JUDGED + 1] / half
    gained = float(np.mean(before**2) - np.mean(after**2))
    better = holds[14][1] - holds[14][0]
    return gained >= _WORTH_SQUARE or better >= _WORTH_CHANCE


def _sureness(found: Setting, change: float) -> float:
    """How sure it is that a change of this sign is needed."""
    return float(np.mean(np.sign(found.needed - found.pump.setting) == np.sign(change)))


def _holds(found: Setting, response: Floats, change: float) -> dict[int, tuple[float, float]]:
    """Chance that the band holds for each horizon, as it is set now and with the change."""
    low, high = found.limits.band

    def chance(levels: Floats, days: int) -> float:
        inside = (levels[1 : days + 1] >= low) & (levels[1 : days + 1] <= high)
        return float(np.mean(inside.all(axis=0)))

    after = found.without + change * response
    return {days: (chance(found.without, days), chance(after, days)) for days in HORIZONS}


# ---- the pair -----------------------------------------------------------------------------------


def pair_of(pumps: Sequence[Pump]) -> tuple[Pump, Pump] | None:
    """The bottle of alkalinity and the bottle of calcium, where there is one knob of each."""
    knobs = [pump for pump in pumps if not pump.evaporates]
    carbonate = [pump for pump in knobs if pump.quantity == "alkalinity"]
    calcium = [pump for pump in knobs if pump.quantity == "calcium"]
    if len(carbonate) != 1 or len(calcium) != 1:
        return None
    return carbonate[0], calcium[0]


def pair_ratio(carbonate: Substance, calcium: Substance) -> float:
    """Units of the calcium bottle that go with one unit of the carbonate bottle: 2 meq to 1 mmol.

    Source: smith1975
    """
    meq = carbonate.brings("alkalinity")
    return meq / MEQ_PER_MG_CALCIUM / calcium.brings("calcium")


def equal_amounts_drift(
    carbonate: Substance, calcium: Substance, *, a_day: float, litres: float
) -> float:
    """How far calcium goes in a week, mg/L, if as much of the one goes in as of the other."""
    ratio = pair_ratio(carbonate, calcium)
    return 7.0 * a_day * (1.0 - ratio) * calcium.brings("calcium") / litres


def _paired(drawn: Drawn, found: list[Setting]) -> list[Setting]:
    """Calcium's setting in the ratio to alkalinity's, unless the tests of calcium say otherwise."""
    pair = pair_of([one.pump for one in found])
    if pair is None:
        return found
    first = next(one for one in found if one.pump is pair[0])
    second = next(one for one in found if one.pump is pair[1])
    if not first.changes and not second.changes:
        return found
    ratio = pair_ratio(first.pump.substance, second.pump.substance)
    step = knob_step(ratio * first.new)
    new = round(ratio * first.new / step) * step
    response = _response(drawn, second.pump) - second.without
    change = new - second.pump.setting
    holds = _holds(second, response, change)
    levels = second.without + change * response
    if holds[30][1] < second.holds[30][1] - _WORTH_CHANCE:
        return found
    if _outside(second, levels) > _outside(second, second.levels) + _WORTH_SQUARE:
        return found
    moved = replace(second, new=new, bounded=False, because="pair", holds=holds, levels=levels)
    return [moved if one is second else one for one in found]


def _outside(one: Setting, levels: Floats) -> float:
    """Mean square of how far outside its band a level is in three weeks, in half bands."""
    low, high = one.limits.band
    coming = levels[1 : _JUDGED + 1]
    out = np.maximum(np.maximum(coming - high, low - coming), 0.0) / ((high - low) / 2.0)
    return float(np.mean(out**2))


# ---- containers ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Container:
    """How long a bottle lasts, and the most that a stuck pump could do from it.

    ``days`` are draws of the days until it is empty; ``rise`` draws of what all that is left would
    add at once; ``keep`` the most to have in it so that the worst rise stays under what was asked.
    ``left_says``: "marked" or "full", by what its content is known.
    """

    pump: Pump
    left_says: str
    days: Floats | None
    rise: Floats | None
    keep: float


def containers(
    drawn: Drawn, pumps: Sequence[Pump], *, worst: Mapping[str, float]
) -> tuple[Container, ...]:
    """The bottles of the pumps; ``worst`` is the worst rise by quantity, canonical."""
    return tuple(_container(drawn, pump, worst[pump.quantity]) for pump in pumps)


def _container(drawn: Drawn, pump: Pump, worst: float) -> Container:
    each = pump.substance.brings(pump.quantity)
    per_unit = each * drawn.strength(pump.substance.name) / drawn.litres
    left, says = pump.left, "marked"
    if left is None and pump.container is not None:
        left, says = np.full(drawn.count, pump.container), "full"
    days = rise = None
    if left is not None:
        left = np.maximum(left, 0.0)
        rate = pump.setting * drawn.pump(pump.substance.name)
        days = left / np.maximum(rate, 1e-9) if pump.setting > 0.0 else None
        rise = left * per_unit
    keep = float(np.quantile(worst / per_unit, 0.02))
    return Container(pump, says, days, rise, keep)


def pumps_of(
    substances: Sequence[Substance],
    *,
    settings: Mapping[str, float],
    hours: Mapping[str, str],
    evaporating: Sequence[str],
    capacity: Mapping[str, float],
    drawn: Drawn,
) -> tuple[Pump, ...]:
    """The system's pumps: every bottle that is dosed, and a first bottle for a quantity without."""
    found = []
    dosed = {dosed_for(one) for one in substances if settings.get(one.name, 0.0) > 0.0}
    for one in substances:
        quantity = dosed_for(one)
        setting = settings.get(one.name, 0.0)
        if quantity is None or (setting <= 0.0 and quantity in dosed):
            continue
        dosed.add(quantity)
        found.append(
            Pump(
                one, quantity, setting, hours.get(one.name, ""), drawn.left(one.name),
                capacity.get(one.name), one.name in evaporating,
            )
        )  # fmt: skip
    return tuple(found)
