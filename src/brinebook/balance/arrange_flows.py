"""What goes on by itself, as totals in time: one part of laying out a season."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

import numpy as np

from brinebook import units
from brinebook.balance.arrange_events import Shelf, is_mass, vector
from brinebook.balance.beliefs import NITRATE_PER_N, PHOSPHATE_PER_P
from brinebook.balance.described import Bottle, clock_windows
from brinebook.balance.season import Floats, Flow, Stream, days_since_epoch, flow_from_settings
from brinebook.timeline import Fact

_DRY_FOOD_N = 0.07  # nitrogen in dry food, mass fraction: common practice, no source
_DRY_FOOD_P = 0.011  # phosphorus in dry food, mass fraction: common practice, no source
_FOOD_SPREAD_DAYS = 1.5  # over which a meal reaches the water: common practice, no source
_ONE_DAY = 0.6  # meals so near each other are one day's: common practice, no source
#: Rows of food that stand further apart are sums, no meals: common practice, no source.
_SUMMED_DAYS = 2.5
_HABIT = 7  # gaps between days of food that show a habit: common practice, no source


@dataclass(slots=True)
class _Pump:
    """One bottle's settings: from when, how much a day, at which hours."""

    bottle: Bottle
    settings: list[tuple[float, float, str]] = field(default_factory=list)
    by_mass: bool = False
    evaporates: bool = False


def flows(
    shelf: Shelf,
    facts: Iterable[Fact],
    quantities: Sequence[str],
    *,
    until: float,
    zone: ZoneInfo,
) -> tuple[Flow, ...]:
    """Daily dosing (and limewater as steady top-off), one flow a bottle, up to ``until``."""
    pumps: dict[str, _Pump] = {}
    for fact in facts:
        steady_top_off = bool(fact.kind == "top_off" and fact.what and "/" in fact.unit)
        if fact.kind != "dosing" and not steady_top_off:
            continue
        bottle = shelf.bottle(fact.what)
        if bottle is None:
            shelf.notes.append(f"“{fact.what}” is not described: its dosing counts for nothing.")
            continue
        pump = pumps.setdefault(bottle.name, _Pump(bottle))
        amount_unit, _, _ = fact.unit.partition("/")
        weighed = is_mass(amount_unit)
        pump.by_mass |= weighed
        pump.evaporates |= steady_top_off
        per_day = units.convert_amount(float(fact.value), amount_unit, "g" if weighed else "mL")
        start = days_since_epoch(fact.when)
        pump.settings.append((start, per_day, fact.detail.get("hours", "")))
    return tuple(_flow(pumps[name], quantities, until=until, zone=zone) for name in sorted(pumps))


def _flow(pump: _Pump, quantities: Sequence[str], *, until: float, zone: ZoneInfo) -> Flow:
    spans = []
    for position, (start, per_day, hours) in enumerate(pump.settings):
        last = position + 1 == len(pump.settings)
        end = until if last else pump.settings[position + 1][0]
        windows = clock_windows(hours, start=start, end=end, zone=zone) if hours else None
        spans.append((start, per_day, windows))
    brings = pump.bottle.per_gram if pump.by_mass else pump.bottle.per_unit
    flow = flow_from_settings(
        pump.bottle.name,
        spans,
        until=until,
        brings=vector(dict(brings), quantities),
        volume_ml=0.0 if pump.by_mass else 1.0,
    )
    return replace(flow, evaporates=pump.evaporates)


def streams(
    shelf: Shelf, facts: Iterable[Fact], quantities: Sequence[str], *, until: float
) -> tuple[Stream, ...]:
    """Continuous water changes, each up to the next one."""
    rows = [fact for fact in facts if fact.kind == "water_change" and "/" in fact.unit]
    found = []
    for position, fact in enumerate(rows):
        amount_unit, _, _ = fact.unit.partition("/")
        is_fraction = amount_unit == "%"
        per_day = (
            float(fact.value) / 100.0
            if is_fraction
            else units.convert_amount(float(fact.value), amount_unit, "L")
        )
        start = days_since_epoch(fact.when)
        last = position + 1 == len(rows)
        end = until if last else days_since_epoch(rows[position + 1].when)
        incoming, spread, measured, mix = shelf.new_water(fact, quantities)
        flow = Flow(
            name=mix or "new water",
            breaks=np.array([start, end]),
            total=np.array([0.0, per_day * (end - start)]),
            rates=np.array([per_day, 0.0]),
            brings=np.zeros(0),
            settings=((start, per_day),),
        )
        labelled = ~measured if mix else np.zeros(len(quantities), dtype=bool)
        found.append(Stream(flow, is_fraction, incoming, spread, mix, labelled))
    return tuple(found)


def food(facts: Iterable[Fact], quantities: Sequence[str]) -> Flow | None:
    """Grams of dry food in time, as they reach the water.

    Each meal is spread over the days that it takes. Who writes down a sum now and then feeds in
    between: then a row says how much the days until the next one bring. Where rows cease, feeding
    goes on as usual: nobody stops feeding, people stop writing (common practice, no source).
    """
    if not {"nitrate", "phosphate"} & set(quantities):
        return None
    turns = [
        turn for fed in _fed(_occasions(facts)) for turn in ((fed[0], fed[2]), (fed[1], -fed[2]))
    ]
    turns = [(t, change) for t, change in turns if math.isfinite(t)]
    if not turns:
        return None
    breaks, change = np.array(sorted(turns)).T.copy()
    rates = np.cumsum(change)
    total = np.concatenate([[0.0], np.cumsum(rates[:-1] * np.diff(breaks))])
    brings = {
        "nitrate": _DRY_FOOD_N * NITRATE_PER_N * 1000.0,
        "phosphate": _DRY_FOOD_P * PHOSPHATE_PER_P * 1000.0,
    }
    return Flow("food", breaks, total, rates, vector(brings, quantities))


def _occasions(facts: Iterable[Fact]) -> list[list[tuple[float, float]]]:
    """Meals (when, grams of food of the usual nitrogen), those of one day together."""
    meals = []
    for fact in facts:
        if fact.kind == "feed":
            grams = units.convert_amount(float(fact.value), fact.unit or "g", "g")
            weight_n = float(fact.detail.get("n", _DRY_FOOD_N)) / _DRY_FOOD_N
            meals.append((days_since_epoch(fact.when), grams * weight_n))
    found: list[list[tuple[float, float]]] = []
    for meal in sorted(meals):
        if found and meal[0] < found[-1][0][0] + _ONE_DAY:
            found[-1].append(meal)
        else:
            found.append([meal])
    return found


def _fed(
    occasions: Sequence[Sequence[tuple[float, float]]],
) -> Iterator[tuple[float, float, float]]:
    """From when to when food reaches the water, and grams a day. Rests on earlier rows alone."""
    times = [meals[0][0] for meals in occasions]
    apart = [after - before for before, after in pairwise(times)]
    for number, meals in enumerate(occasions):
        next_time = times[number + 1] if number + 1 < len(times) else math.inf
        gaps = apart[max(number - _HABIT, 0) : number]
        usual = median(gaps) if gaps else 1.0
        if usual > _SUMMED_DAYS:
            yield times[number], next_time, sum(grams for _, grams in meals) / usual
            continue
        for t, grams in meals:
            yield t, t + _FOOD_SPREAD_DAYS, grams / _FOOD_SPREAD_DAYS
        begins = times[number] + (usual + _FOOD_SPREAD_DAYS) / 2.0
        if len(gaps) == _HABIT and begins < next_time:
            days = occasions[number - _HABIT + 1 : number + 1]
            eaten = sum(grams for each in days for _, grams in each)
            yield begins, next_time, eaten / sum(min(gap, _SUMMED_DAYS) for gap in gaps)


def deficit(facts: Iterable[Fact]) -> tuple[Floats, Floats]:
    """Water missing between top-offs by hand: a ramp up to each one, and a fall at it."""
    rows = [
        (days_since_epoch(f.when), units.convert_amount(float(f.value), f.unit, "L"))
        for f in facts
        if f.kind == "top_off" and "/" not in f.unit
    ]
    if len(rows) < 3:
        return np.zeros(0), np.zeros(0)
    times = [rows[0][0]]
    litres = [0.0]
    gaps = [later[0] - earlier[0] for earlier, later in pairwise(rows)]
    for (when, amount), gap in zip(rows[1:], gaps, strict=True):
        if gap <= 0.0:
            continue
        times.extend((when, when + 1e-6))
        litres.extend((amount, 0.0))
    recent = [row[1] for row in rows[-5:]]
    per_day = sum(recent[1:]) / max(rows[-1][0] - rows[-5:][0][0], 0.25)
    ahead = float(np.median(gaps)) if gaps else 1.0
    times.append(rows[-1][0] + ahead)
    litres.append(per_day * ahead)
    return np.array(times), np.array(litres)
