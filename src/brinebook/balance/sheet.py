"""The sheet of one quantity over a period: what was there, what came and went, what is there now.

Every line is reckoned from the facts, the two stocks and the use from the estimate; the remainder
is what is left over, so the sheet always closes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from brinebook.balance.answer import Answer, tell
from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.balance.course import CoursePoint
from brinebook.balance.decided import NOTHING, Remembered
from brinebook.balance.estimate import SeasonEstimate, estimate
from brinebook.balance.season import Exchange, Floats, Loss, Pour, Season, days_since_epoch
from brinebook.measure import Measure
from brinebook.system import System
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, convert_amount

_FOOD_SD = 0.3  # of what a label says a food brings: common practice, no source
_MIX_SD = 0.04
#: Dry share, and nitrogen and phosphorus of the dry mass, of a green alga cut (common practice, no
#: source, within the ranges of Bjornsater & Wheeler 1990 and Duarte 1990).
_ALGA = (0.12, 0.03, 0.0025)
_ALGA_SD = 0.6


@dataclass(frozen=True, slots=True)
class Line:
    """One line: what it is, as a concentration (of the net volume) with its sd."""

    name: str
    change: float
    sd: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet: opening, lines, closing and the remainder; ``litres`` turns it into mass."""

    quantity: str
    unit: str
    begins: datetime
    ends: datetime
    litres: float
    opening: Measure
    lines: tuple[Line, ...]
    closing: Measure
    remainder: Measure

    def mass_unit(self) -> str:
        """The unit of a line as mass: meq, mg, ug, or grams of salt."""
        return {"meq/L": "meq", "mg/L": "mg", "ug/L": "ug", "PSU": "g"}.get(self.unit, self.unit)


def sheet(
    system: System,
    facts: Sequence[Fact],
    quantity: str,
    *,
    begins: datetime,
    ends: datetime,
    at: datetime,
    remembered: Remembered = NOTHING,
) -> tuple[Sheet | None, Answer]:
    """The sheet of a quantity between two times, with the answer it rests on.

    None where the quantity was never tested or has no mass. ``begins`` < ``ends`` <= ``at``.
    """
    days = max((ends - begins) / timedelta(days=1), 1e-3)
    grid = [begins + timedelta(days=days * k / _pieces(days)) for k in range(_pieces(days) + 1)]
    changes = [
        fact.when
        for fact in facts
        if begins < fact.when <= ends and fact.kind in ("water_change", "removed")
    ]
    times = sorted({*grid, *changes})
    seasons = estimate(system, facts, at, course=times, remembered=remembered)
    told = tell(system, seasons, at)
    for season in seasons:
        position = _position(season, quantity)
        if position is not None and season.course:
            return (
                _sheet(season, told, quantity, position, period=(begins, ends), facts=facts),
                told,
            )
    return None, told


def _pieces(days: float) -> int:
    return max(2, min(math.ceil(days), 200))


def _position(season: SeasonEstimate, quantity: str) -> int | None:
    if quantity not in season.season.quantities or season.volume is None:
        return None
    return season.season.quantities.index(quantity)


def _sheet(
    season: SeasonEstimate,
    told: Answer,
    quantity: str,
    position: int,
    *,
    period: tuple[datetime, datetime],
    facts: Sequence[Fact],
) -> Sheet:
    start, end = (days_since_epoch(when) for when in period)
    unit = QUANTITIES[quantity].unit
    litres = told.volume.value
    course = season.course
    opening = Measure(float(course[0].level[position]), float(course[0].level_sd[position]), unit)
    closing = Measure(float(course[-1].level[position]), float(course[-1].level_sd[position]), unit)
    known = [
        *_dosed(season.season, position, litres, start, end),
        *_changed(season.season, course, position, litres, period=(start, end)),
        *_flowed(season.season, course, position, litres),
        *_fed(season.season, position, litres, start, end),
    ]
    unseen = [
        Line(say("not written down ({kind})", kind=each.kind), each.change.value, each.change.sd)
        for each in told.unlogged
        if each.quantity == quantity and period[0] < each.ends <= period[1]
    ]
    used, used_sd = _over(
        [point.use for point in course], [point.use_sd for point in course], course, position
    )
    lost, lost_sd = _over(
        [point.lost for point in course], [point.lost_sd for point in course], course, position
    )
    taken = _cut(facts, quantity, litres, period)
    food = sum(line.change for line in known if line.name == "food")
    cut = sum(line.change for line in taken)
    # The use is net of what food brings and includes what the algae that were cut had taken up.
    lines = [
        *known,
        *taken,
        *unseen,
        Line(say("lost unseen, with skimming and splashes"), -lost, lost_sd),
        Line(say("used by the reef"), -used - food - cut, used_sd),
    ]
    total = math.fsum(line.change for line in lines)
    sd = math.sqrt(opening.sd**2 + closing.sd**2 + math.fsum(line.sd**2 for line in lines))
    remainder = closing.value - opening.value - total
    return Sheet(
        quantity,
        unit,
        period[0],
        period[1],
        litres,
        opening,
        tuple(line for line in lines if line.change != 0.0),
        closing,
        Measure(remainder, sd, unit),
    )


def _dosed(season: Season, position: int, litres: float, start: float, end: float) -> list[Line]:
    found: dict[str, tuple[float, float]] = {}
    for flow in season.flows:
        change = float(flow.upto(end) - flow.upto(start)) * flow.brings[position] / litres
        share = math.hypot(season.pump_sd.get(flow.name, 0.05), _strength(season, flow.name))
        found[flow.name] = (change, abs(change) * share)
    for event in season.events:
        if isinstance(event, Pour) and start < event.t <= end:
            change = float(event.brings[position]) / litres
            before = found.get(event.additive, (0.0, 0.0))
            sd = before[1] + abs(change) * _strength(season, event.additive)
            found[event.additive] = (before[0] + change, sd)
    return [Line(name, change, sd) for name, (change, sd) in sorted(found.items())]


def _strength(season: Season, name: str) -> float:
    return season.strength_sd.get(name, 0.01)


def _level_at(course: Sequence[CoursePoint], position: int, t: float) -> float:
    times = np.array([point.t for point in course])
    levels = np.array([point.level[position] for point in course])
    return float(np.interp(t, times, levels))


def _changed(
    season: Season,
    course: Sequence[CoursePoint],
    position: int,
    litres: float,
    *,
    period: tuple[float, float],
) -> list[Line]:
    """Water changes and losses: the level just after each tells what the water taken out held."""
    brought = lost = 0.0
    variance = 0.0
    for event in season.events:
        if not period[0] < event.t <= period[1]:
            continue
        if isinstance(event, Exchange):
            share = event.fraction if math.isnan(event.litres) else event.litres / litres
            after = _level_at(course, position, event.t)
            # after = before + share (new - before), so new - before = (new - after) / (1 - share)
            left = max(1.0 - share, 1e-6)
            brought += share * (float(event.incoming[position]) - after) / left
            variance += (share * float(event.incoming_sd[position])) ** 2
        elif isinstance(event, Loss):
            share = event.litres / litres
            lost -= share * _level_at(course, position, event.t) / max(1.0 - share, 1e-6)
    return [
        Line(say("water changes"), brought, math.sqrt(variance)),
        Line(say("water lost, made up fresh"), lost, 0.1 * abs(lost)),
    ]


def _flowed(
    season: Season, course: Sequence[CoursePoint], position: int, litres: float
) -> list[Line]:
    total = 0.0
    for stream in season.streams:
        for earlier, later in pairwise(course):
            amount = float(stream.flow.upto(later.t) - stream.flow.upto(earlier.t))
            share = amount if stream.is_fraction else amount / litres
            middle = (earlier.level[position] + later.level[position]) / 2.0
            total += share * (float(stream.incoming[position]) - middle)
    return [Line(say("continuous water change"), total, _MIX_SD * abs(total))]


def _fed(season: Season, position: int, litres: float, start: float, end: float) -> list[Line]:
    if season.food is None:
        return []
    grams = float(season.food.upto(end) - season.food.upto(start))
    change = grams * float(season.food.brings[position]) / litres
    return [Line("food", change, _FOOD_SD * abs(change))]


def _cut(
    facts: Sequence[Fact], quantity: str, litres: float, period: tuple[datetime, datetime]
) -> list[Line]:
    held = [
        harvest_share(convert_amount(float(fact.value), fact.unit, "g"), quantity)
        for fact in facts
        if fact.kind == "harvest" and period[0] < fact.when <= period[1]
    ]
    total = math.fsum(each.value for each in held) / litres
    return [Line(say("algae cut"), -total, _ALGA_SD * total)] if total else []


def _over(
    rates: Sequence[Floats],
    sds: Sequence[Floats],
    course: Sequence[CoursePoint],
    position: int,
) -> tuple[float, float]:
    """A rate over the period (trapezoids), its sd as if the doubt about it were all one way."""
    length = np.diff(np.array([point.t for point in course]))
    rate = np.array([each[position] for each in rates])
    sd = np.array([each[position] for each in sds])
    return float(np.sum(_middle(rate) * length)), float(np.sum(_middle(sd) * length))


def _middle(values: Floats) -> Floats:
    return np.asarray((values[1:] + values[:-1]) / 2.0)


def harvest_share(grams: float, quantity: str) -> Measure:
    """What a cut of algae held, in mg of nitrate or phosphate: a wide range until measured."""
    dry, nitrogen, phosphorus = _ALGA
    factor = {
        "nitrate": nitrogen * NITRATE_PER_N,
        "phosphate": phosphorus * PHOSPHATE_PER_P,
    }.get(quantity, 0.0)
    held = grams * dry * factor * 1000.0
    return Measure(held, _ALGA_SD * held, "mg")
