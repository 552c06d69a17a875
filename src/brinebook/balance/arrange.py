"""From facts as typed to a ``Season`` of numbers. Pure: same facts in any order, same Season."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from brinebook import units
from brinebook.balance.beliefs import BELIEFS, NITRATE_PER_N, PHOSPHATE_PER_P, VOLUME_PRIOR
from brinebook.balance.described import (
    Bottle,
    bottle_of,
    clock_windows,
    find_bottle,
    find_method,
    find_mix,
    mix_water,
)
from brinebook.balance.season import (
    Event,
    Exchange,
    Floats,
    Flow,
    Loss,
    Mark,
    MediaSwap,
    Pour,
    Season,
    Setting,
    Stream,
    Test,
    days_since_epoch,
    flow_from_settings,
)
from brinebook.errors import BrinebookError
from brinebook.system import System
from brinebook.timeline import Fact
from brinebook.water.quantities import Conditions, depends_on, to_canonical

_DRY_FOOD_N = 0.07  # nitrogen in dry food, mass fraction: common practice, no source
_DRY_FOOD_P = 0.011  # phosphorus in dry food, mass fraction: common practice, no source
_FOOD_SPREAD_DAYS = 1.5  # over which a meal reaches the water: common practice, no source


class _Arranger:
    """Collects one season; ``arrange`` below is the way in."""

    def __init__(self, system: System, facts: Sequence[Fact], at: datetime) -> None:
        self.system = system
        self.at = days_since_epoch(at)
        self.zone = ZoneInfo(system.timezone)
        self.facts = sorted(
            (fact for fact in facts if fact.when <= at),
            key=lambda fact: (fact.when, fact.kind != "test", fact.kind, fact.what, fact.id),
        )
        self.said = {
            fact.what: fact.detail.get("says", "") for fact in self.facts if fact.kind == "verdict"
        }
        self.notes: list[str] = []
        self.measured = self._measured()

    def _measured(self) -> dict[str, list[tuple[float, float]]]:
        """Salinity and temperature tests of the system, as times and values."""
        found: dict[str, list[tuple[float, float]]] = {"salinity": [], "temperature": []}
        for fact in self.facts:
            if fact.kind == "test" and fact.what in found and not fact.detail.get("of"):
                value = self._canonical(fact, Conditions())
                if value is not None:
                    found[fact.what].append((days_since_epoch(fact.when), value))
        return found

    def conditions_at(self, t: float) -> Conditions:
        """The system's salinity and temperature then: the median of the last five tests.

        Before the first test of one, its target, else 35 PSU or 25 °C.
        """
        now = {}
        for name, fallback in (("salinity", 35.0), ("temperature", 25.0)):
            past = [value for when, value in self.measured[name] if when <= t][-5:]
            now[name] = float(np.median(past)) if past else self.system.targets.get(name, fallback)
        return Conditions(
            salinity=min(max(now["salinity"], 20.0), 45.0),
            temperature=min(max(now["temperature"], 15.0), 35.0),
        )

    def _canonical(self, fact: Fact, conditions: Conditions | None = None) -> float | None:
        text = fact.value.lstrip("<>")
        try:
            if conditions is None and depends_on(fact.what, fact.unit):
                conditions = self.conditions_at(days_since_epoch(fact.when))
            temperature = fact.detail.get("temperature")
            return to_canonical(
                fact.what,
                float(text),
                fact.unit,
                conditions=conditions,
                detail_temperature=_temperature(temperature) if temperature else None,
            ).value
        except (BrinebookError, ValueError):
            return None

    def tests(self, quantities: Iterable[str]) -> tuple[Test, ...]:
        wanted = set(quantities)
        found = []
        for fact in self.facts:
            if fact.kind == "test" and fact.what in wanted:
                test = self._test(fact)
                if test is not None:
                    found.append(test)
        return tuple(found)

    def _test(self, fact: Fact) -> Test | None:
        value = self._canonical(fact)
        target = fact.detail.get("of", "")
        if value is None or (target and not self._has_composition(target, fact.what)):
            return None
        belief = BELIEFS[fact.what]
        method = find_method(self.system, fact.detail.get("method", ""), fact.what)
        noise, fraction, step, trueness = belief.noise, belief.noise_fraction, 0.0, math.nan
        if method is not None:
            step = method.resolution or 0.0
            if method.repeatability is not None:
                noise, fraction = method.repeatability, 0.0
            elif method.repeatability_fraction is not None:
                noise, fraction = 0.0, method.repeatability_fraction
            if method.trueness is not None:
                trueness = method.trueness
        if math.isnan(trueness):
            trueness = 0.5 * math.hypot(noise, fraction * max(value, belief.floor))
        known, known_sd = self._known(target, fact.what)
        return Test(
            t=days_since_epoch(fact.when),
            quantity=fact.what,
            value=value,
            noise=noise,
            fraction=fraction,
            step=step,
            trueness=trueness,
            described=method is not None
            and (method.repeatability is not None or method.repeatability_fraction is not None),
            method=fact.detail.get("method", ""),
            lot=fact.detail.get("lot", ""),
            fact=fact.id,
            replicate=fact.detail.get("replicate", ""),
            edge=fact.value[:1] if fact.value[:1] in ("<", ">") else "",
            target=target,
            known=known,
            known_sd=known_sd,
            verdict=self.said.get(fact.id, ""),
            typed=f"{fact.value} {fact.unit}".strip(),
        )

    def _has_composition(self, target: str, quantity: str) -> bool:
        return self._known(target, quantity)[1] > 0.0

    def _known(self, target: str, quantity: str) -> tuple[float, float]:
        """Value and sd of a reference; a mix is known by its label until tests say otherwise."""
        for reference in self.system.references:
            if target and reference.name.casefold() == target.casefold():
                measure = reference.composition.get(quantity)
                return (measure.value, max(measure.sd, 1e-9)) if measure else (0.0, 0.0)
        mix = find_mix(self.system, target) if target else None
        if mix is not None and quantity in mix.composition:
            value = mix.composition[quantity]
            return value, max(mix.sd * value, 1e-9)
        return 0.0, 0.0

    def vector(self, brings: dict[str, float], quantities: Sequence[str]) -> Floats:
        return np.array([brings.get(name, 0.0) for name in quantities])

    def pour(self, fact: Fact, quantities: Sequence[str]) -> Pour | None:
        bottle = find_bottle(self.system, fact.what)
        amount = float(fact.value)
        if bottle is None:
            self.notes.append(f"“{fact.what}” is not described, so its doses count for nothing.")
            return None
        if _is_mass(fact.unit):
            grams = units.convert_amount(amount, fact.unit, "g")
            brings = {name: grams * each for name, each in bottle.per_gram.items()}
            drop = 0.0
        else:
            drop = units.convert_amount(amount, fact.unit, "mL")
            brings = {name: drop * each for name, each in bottle.per_unit.items()}
        return Pour(
            days_since_epoch(fact.when),
            bottle.name,
            self.vector(brings, quantities),
            drop,
            fact.id,
        )

    def exchange(self, fact: Fact, quantities: Sequence[str]) -> Exchange:
        incoming, spread, measured, mix_name = self._new_water(fact, quantities)
        amount, fraction, litres = float(fact.value), math.nan, math.nan
        if fact.unit == "%":
            fraction = amount / 100.0
        else:
            litres = units.convert_amount(amount, fact.unit, "L")
        return Exchange(
            days_since_epoch(fact.when),
            litres,
            fraction,
            incoming,
            spread,
            mix_name,
            measured,
            fact.id,
        )

    def _new_water(
        self, fact: Fact, quantities: Sequence[str]
    ) -> tuple[Floats, Floats, np.ndarray, str]:
        mix = find_mix(self.system, fact.what)
        fallback = mix.at_salinity if mix else 35.0
        salinity = float(fact.detail.get("salinity", self.system.targets.get("salinity", fallback)))
        incoming, spread = mix_water(mix, quantities, salinity)
        measured = np.zeros(len(quantities), dtype=bool)
        for index, name in enumerate(quantities):
            if name in fact.detail:
                incoming[index] = float(fact.detail[name])
                belief = BELIEFS[name]
                spread[index] = math.hypot(belief.noise, belief.noise_fraction * incoming[index])
                measured[index] = True
        return incoming, spread, measured, mix.name if mix else ""

    def events(self, quantities: Sequence[str]) -> tuple[Event, ...]:
        found: list[Event] = []
        for fact in self.facts:
            event = self._event(fact, quantities)
            if event is not None:
                found.append(event)
        return tuple(sorted(found, key=lambda event: event.t))

    def _event(self, fact: Fact, quantities: Sequence[str]) -> Event | None:
        t = days_since_epoch(fact.when)
        if fact.kind == "dose":
            return self.pour(fact, quantities)
        if fact.kind == "water_change" and "/" not in fact.unit:
            return self.exchange(fact, quantities)
        if fact.kind == "removed":
            return Loss(t, units.convert_amount(float(fact.value), fact.unit, "L"), fact.id)
        if fact.kind == "media":
            return MediaSwap(t, fact.what, float(fact.value), fact.id)
        return self._of_container(fact, t, quantities)

    def _of_container(self, fact: Fact, t: float, quantities: Sequence[str]) -> Event | None:
        """A container's mark, or limewater poured as top-off."""
        bottle = find_bottle(self.system, fact.what) if fact.what else None
        if bottle is None or "/" in fact.unit or fact.kind not in ("level", "top_off"):
            return None
        millilitres = units.convert_amount(float(fact.value), fact.unit, "mL")
        if fact.kind == "level":
            return Mark(t, bottle.name, millilitres, fact.id)
        brings = {name: millilitres * each for name, each in bottle.per_unit.items()}
        return Pour(t, bottle.name, self.vector(brings, quantities), millilitres, fact.id)

    def flows(self, quantities: Sequence[str]) -> tuple[Flow, ...]:
        settings: dict[str, list[tuple[float, float, str]]] = {}
        bottles: dict[str, Bottle] = {}
        grams: set[str] = set()
        evaporating: set[str] = set()
        for fact in self.facts:
            steady_top_off = fact.kind == "top_off" and fact.what and "/" in fact.unit
            if fact.kind != "dosing" and not steady_top_off:
                continue
            bottle = find_bottle(self.system, fact.what)
            if bottle is None:
                self.notes.append(f"“{fact.what}” is not described: its dosing counts for nothing.")
                continue
            amount_unit, _, _ = fact.unit.partition("/")
            by_mass = _is_mass(amount_unit)
            if by_mass:
                grams.add(bottle.name)
            per_day = units.convert_amount(float(fact.value), amount_unit, "g" if by_mass else "mL")
            bottles[bottle.name] = bottle
            if steady_top_off:
                evaporating.add(bottle.name)
            settings.setdefault(bottle.name, []).append(
                (days_since_epoch(fact.when), per_day, fact.detail.get("hours", ""))
            )
        return tuple(
            replace(
                self._flow(bottles[name], rows, quantities, by_mass=name in grams),
                evaporates=name in evaporating,
            )
            for name, rows in sorted(settings.items())
        )

    def _flow(
        self,
        bottle: Bottle,
        rows: list[tuple[float, float, str]],
        quantities: Sequence[str],
        *,
        by_mass: bool,
    ) -> Flow:
        until = self.at + 40.0
        spans = []
        for position, (start, per_day, hours) in enumerate(rows):
            end = rows[position + 1][0] if position + 1 < len(rows) else until
            windows = clock_windows(hours, start=start, end=end, zone=self.zone) if hours else None
            spans.append((start, per_day, windows))
        brings = bottle.per_gram if by_mass else bottle.per_unit
        return flow_from_settings(
            bottle.name,
            spans,
            until=until,
            brings=self.vector(dict(brings), quantities),
            volume_ml=0.0 if by_mass else 1.0,
        )

    def streams(self, quantities: Sequence[str]) -> tuple[Stream, ...]:
        rows = [fact for fact in self.facts if fact.kind == "water_change" and "/" in fact.unit]
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
            ends = rows[position + 1] if position + 1 < len(rows) else None
            end = days_since_epoch(ends.when) if ends else self.at + 40.0
            incoming, spread, _, mix = self._new_water(fact, quantities)
            flow = Flow(
                name=mix or "new water",
                breaks=np.array([start, end]),
                total=np.array([0.0, per_day * (end - start)]),
                brings=np.zeros(0),
                settings=((start, per_day),),
            )
            found.append(Stream(flow, is_fraction, incoming, spread, mix))
        return tuple(found)

    def food(self, quantities: Sequence[str]) -> Flow | None:
        if not {"nitrate", "phosphate"} & set(quantities):
            return None
        meals = [fact for fact in self.facts if fact.kind == "feed"]
        if not meals:
            return None
        breaks: list[float] = []
        inputs: list[tuple[float, float]] = []
        for fact in meals:
            grams = units.convert_amount(float(fact.value), fact.unit or "g", "g")
            weight_n = float(fact.detail.get("n", _DRY_FOOD_N)) / _DRY_FOOD_N
            inputs.append((days_since_epoch(fact.when), grams * weight_n))
            breaks.extend((inputs[-1][0], inputs[-1][0] + _FOOD_SPREAD_DAYS))
        grid = np.unique(np.array(breaks))
        total = np.zeros(grid.size)
        for start, amount in inputs:
            total += amount * np.clip((grid - start) / _FOOD_SPREAD_DAYS, 0.0, 1.0)
        brings = self.vector(
            {
                "nitrate": _DRY_FOOD_N * NITRATE_PER_N * 1000.0,
                "phosphate": _DRY_FOOD_P * PHOSPHATE_PER_P * 1000.0,
            },
            quantities,
        )
        return Flow("food", grid, total, brings)

    def deficit(self) -> tuple[Floats, Floats]:
        """Water missing between top-offs by hand: a ramp up to each one, and a fall at it."""
        rows = [
            (days_since_epoch(f.when), units.convert_amount(float(f.value), f.unit, "L"))
            for f in self.facts
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

    def volume(self) -> tuple[float, float, bool]:
        belief = self.system.net_volume
        if belief is None:
            return (*VOLUME_PRIOR, False)
        spread = math.sqrt(math.log1p((belief.sd / belief.value) ** 2))
        return belief.value, max(spread, 0.005), True


def _is_mass(unit: str) -> bool:
    return units.dimension_of(unit) == "mass"


def _temperature(text: str) -> float:
    value, unit = units.split_amount(text)
    return to_canonical("temperature", float(value), unit or "C").value


def arrange(system: System, facts: Sequence[Fact], at: datetime) -> tuple[Season, ...]:
    """Lay the facts up to ``at`` out as seasons: the joint one first, then one per plain level.

    Facts that can't be read as numbers are left out (the doors refuse them; an old book may hold
    some). Raises nothing for odd data.
    """
    arranger = _Arranger(system, facts, at)
    tested = {
        fact.what
        for fact in arranger.facts
        if fact.kind == "test" and not fact.detail.get("of") and fact.what in BELIEFS
    }
    joint = tuple(name for name in BELIEFS if name in tested and BELIEFS[name].has_mass)
    seasons = [_season(arranger, joint)] if joint else []
    seasons.extend(
        _season(arranger, (name,))
        for name in BELIEFS
        if name in tested and not BELIEFS[name].has_mass
    )
    return tuple(season for season in seasons if season.tests)


def _settings(flows: tuple[Flow, ...]) -> list[Setting]:
    """Every change of a pump's setting after its first."""
    return [
        Setting(later[0], flow.name, later[1] - earlier[1])
        for flow in flows
        for earlier, later in pairwise(flow.settings)
    ]


def _season(arranger: _Arranger, quantities: tuple[str, ...]) -> Season:
    system = arranger.system
    mass = BELIEFS[quantities[0]].has_mass
    volume, volume_sd, given = arranger.volume()
    times, litres = arranger.deficit() if mass else (np.zeros(0), np.zeros(0))
    bottles = [bottle_of(additive) for additive in system.additives]
    salinity = system.targets.get("salinity", 35.0)
    mixes = {mix.name: mix_water(mix, quantities, salinity)[0] for mix in system.mixes}
    events: tuple[Event, ...] = ()
    flows: tuple[Flow, ...] = ()
    streams: tuple[Stream, ...] = ()
    food = None
    if mass:
        events = arranger.events(quantities)
        flows = arranger.flows(quantities)
        events = tuple(sorted((*events, *_settings(flows)), key=lambda event: event.t))
        streams = arranger.streams(quantities)
        food = arranger.food(quantities)
    mix_names = {event.mix for event in events if isinstance(event, Exchange)}
    changes_known = bool(mix_names) or bool(streams)
    return Season(
        quantities=quantities,
        tests=arranger.tests(quantities),
        events=events,
        flows=flows,
        streams=streams,
        deficit_times=times,
        deficit_litres=litres,
        volume=volume,
        volume_sd=volume_sd,
        volume_given=given,
        strength_sd={bottle.name: bottle.strength_sd for bottle in bottles},
        pump_sd={bottle.name: bottle.pump_sd for bottle in bottles},
        mix_sd={mix.name: mix.sd for mix in system.mixes},
        food=food,
        mixes=mixes,
        forgotten_mix=(
            mix_water(find_mix(system, ""), quantities, salinity)[0]
            if mass and (changes_known or system.mixes)
            else None
        ),
        notes=tuple(dict.fromkeys(arranger.notes)),
        verdicts=tuple(sorted(arranger.said.items())),
    )
