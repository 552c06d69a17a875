"""From a scenario to a case: let it happen, look at the truth, keep what the keeper has."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

from tests.simulated import chores, mishaps, testing
from tests.simulated.case import Case, Moment, Spell, Truth, WrongTest
from tests.simulated.chemistry import QUANTITIES
from tests.simulated.described import system_toml
from tests.simulated.life import Entry, Life
from tests.simulated.scenario import Scenario


@dataclass
class _Watch:
    """What is seen of the truth on the way."""

    used: list[list[float]] = field(default_factory=list)  # each step
    media: list[float] = field(default_factory=list)
    levels: list[list[float]] = field(default_factory=list)  # hourly
    rates: list[list[float]] = field(default_factory=list)
    moments: list[Moment] = field(default_factory=list)


def simulate(scenario: Scenario) -> Case:
    """Let the scenario happen."""
    life = Life(scenario)
    for part in (testing, chores, mishaps):
        part.begin(life)
    for day, kind, what, detail in scenario.notes:
        _plan_note(life, day, kind, what, detail)
    watch = _Watch()
    steps = round(scenario.days / life.dt)
    asked = _asked(life, steps)
    for index in range(steps + 1):
        t = index * life.dt
        life.due(index)
        _look(life, watch, index, asked=index in asked)
        hour = life.hour(t)
        life.machines.step(life.tank, t, life.dt, hour)
        life.tank.step(t, life.dt, hour)
        if life.machines.topped:
            chores.log_hand_top_offs(life)
    return _case(life, watch)


def _plan_note(life: Life, day: float, kind: str, what: str, detail: dict[str, str]) -> None:
    hour = 24.0 * (day % 1.0) or 21.5
    life.plan(life.at_hour(day, hour), lambda t: _note(life, t, kind, what, detail))


def _note(life: Life, t: float, kind: str, what: str, detail: dict[str, str]) -> None:
    rest = dict(detail)
    value = rest.pop("value", "")
    life.log(t, kind, what, value=value, unit=rest.pop("unit", ""), detail=rest)


def _asked(life: Life, steps: int) -> set[int]:
    """Steps spread over the later part, at random hours."""
    first = int(life.scenario.first_moment * steps)
    wanted = min(life.scenario.moments, steps - first)
    edges = np.linspace(first, steps, wanted + 1)
    shift = life.asking.random(wanted) * (steps - first) / max(wanted, 1)
    return {int(edge + move) for edge, move in zip(edges[:-1], shift, strict=True)}


def _look(life: Life, watch: _Watch, index: int, *, asked: bool) -> None:
    day = round(1.0 / life.dt)
    hourly = max(round(1.0 / 24.0 / life.dt), 1)
    full = life.tank.physics.volume
    watch.used.append(list(life.tank.used))
    watch.media.append(life.tank.on_media_ever)
    before = watch.used[max(index - day, 0)]
    if index % hourly == 0 or asked:
        rate = [(now - then) / full for now, then in zip(life.tank.used, before, strict=True)]
        if index % hourly == 0:
            watch.levels.append(life.tank.concentrations())
            watch.rates.append(rate)
        if asked:
            media = (watch.media[-1] - watch.media[max(index - day, 0)]) / full
            watch.moments.append(_moment(life, index * life.dt, rate, media))


def _moment(life: Life, t: float, rate: list[float], media: float) -> Moment:
    """The state, the use, and the week that follows if nobody decides anything."""
    state = dict(zip(QUANTITIES, life.tank.concentrations(), strict=True))
    use = dict(zip(QUANTITIES, rate, strict=True))
    without = use | {"phosphate": use["phosphate"] - media}
    tank, machines = copy.deepcopy(life.tank), life.machines.branch()
    ahead: dict[str, list[float]] = {name: [] for name in QUANTITIES}
    per_day = round(1.0 / life.dt)
    for index in range(7 * per_day):
        when = t + index * life.dt
        machines.step(tank, when, life.dt, life.hour(when))
        tank.step(when, life.dt, life.hour(when))
        if (index + 1) % per_day == 0:
            for name, value in zip(QUANTITIES, tank.concentrations(), strict=True):
                ahead[name].append(value)
    stopped = any(pump.stopped for pump in life.machines.pumps)
    forecast = {name: tuple(values) for name, values in ahead.items()}
    return Moment(life.instant(t), state, use, without, forecast, stopped)


# ---- what is kept -------------------------------------------------------------------------------


def _case(life: Life, watch: _Watch) -> Case:
    s = life.scenario
    end = life.start + timedelta(days=s.days)
    entries = [entry for entry in _told_apart(life.entries) if entry.when <= end]
    places = {id(entry): index for index, entry in enumerate(entries)}
    zone = life.zone if s.local_times else None
    history = tuple(entry.row(zone) for entry in entries)
    return Case(s.family, s.seed, system_toml(s), history, _truth(life, watch, entries, places), s)


def _told_apart(entries: list[Entry]) -> list[Entry]:
    """In time order, and no two facts of one kind and thing at one minute."""
    taken: set[tuple[datetime, str, str]] = set()
    for entry in sorted(entries, key=lambda each: (each.when, each.kind, each.what)):
        while (entry.when, entry.kind, entry.what) in taken:
            entry.when += timedelta(minutes=1)
        taken.add((entry.when, entry.kind, entry.what))
    return sorted(entries, key=lambda each: (each.when, each.kind, each.what))


def _truth(life: Life, watch: _Watch, entries: list[Entry], places: dict[int, int]) -> Truth:
    s = life.scenario
    levels, rates = np.array(watch.levels), np.array(watch.rates)
    hourly = max(round(1.0 / 24.0 / life.dt), 1)
    return Truth(
        start=life.start,
        hours=np.arange(len(levels), dtype=np.float64) * (hourly * life.dt * 24.0),
        concentration={name: levels[:, i] for i, name in enumerate(QUANTITIES)},
        consumption={name: rates[:, i] for i, name in enumerate(QUANTITIES)},
        net_volume=s.physics.volume,
        believed_volume=s.believed_volume,
        moments=tuple(watch.moments),
        wrong_tests=tuple(_wrong(entries)),
        spells=tuple(_spells(life, places)),
        unlogged=tuple(life.unlogged),
        use_steps=tuple((life.instant(day), factor) for day, factor in s.use_steps),
        pump_factors={p.bottle.name: p.factor(s.days) for p in life.machines.pumps},
        strengths={p.bottle.name: p.strength for p in life.machines.pumps},
        method_bias=dict(life.bench.biases),
        sudden_doses=life.sudden_doses,
    )


def _wrong(entries: list[Entry]) -> list[WrongTest]:
    return [
        WrongTest(index, entry.when, entry.what, *entry.wrong)
        for index, entry in enumerate(entries)
        if entry.wrong is not None
    ]


def _spells(life: Life, places: dict[int, int]) -> list[Spell]:
    spells = []
    for tests in life.spells.values():
        kept = [entry for entry, _ in tests if id(entry) in places]
        rows = tuple(places[id(entry)] for entry in kept)
        whens = tuple(entry.when for entry in kept)
        spells.append(Spell(tests[0][0].what, rows, whens, tests[0][1]))
    return spells


def without_noise(scenario: Scenario) -> Scenario:
    """The same life with exact kits, exact pumps and labels, and nothing forgotten."""
    kits = tuple(
        replace(
            kit, resolution=1e-7, repeatability=1e-12, trueness=0.0, fraction=0.0, replicate=0.0,
            low=None, high=None,
        )
        for kit in scenario.kits
    )  # fmt: skip
    bottles = tuple(
        replace(bottle, strength=1.0, batch_sd=0.0, pump=1.0, wear=0.0)
        for bottle in scenario.bottles
    )
    mix = replace(scenario.mix, true_factor={}, batch=0.0)
    return replace(
        scenario, kits=kits, bottles=bottles, mix=mix, gross=0.0, spells=0, mishaps=(),
        lime_strength=1.0, noise=False,
    )  # fmt: skip
