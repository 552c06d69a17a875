"""Two keepers of the same simulated reef: one by habit, one by plans; the truth known to neither.

The reef is the simulator's, not the planner's own model: its use follows saturation, light, warmth
and a wandering appetite, its bottles and pumps are untrue, its tests noisy and now and then wrong.
Both keepers share ten weeks of an ordinary past; then the pumps are set wrong, and for eight weeks
the one tests everything each week and corrects from the last test, the other does what plans say.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import timedelta

import numpy as np

from brinebook.balance.answer import answer
from brinebook.balance.decided import Decided
from brinebook.balance.drawn import draw
from brinebook.desk.plan_correct import ask_for
from brinebook.desk.plan_dose import dosing, without_the_odd
from brinebook.desk.plan_now import Said, WaterNow
from brinebook.desk.plan_start import Start, started
from brinebook.desk.plan_surprise import surprise
from brinebook.planning.corrections import Correction, correct
from brinebook.planning.pours import poured, water_of
from brinebook.report.advice import next_test
from brinebook.report.shown import shown_units
from tests.simulated import chores, mishaps, testing
from tests.simulated.case import Case
from tests.simulated.chemistry import ALK, CA, DKH, PER_GRAM, QUANTITIES
from tests.simulated.described import system_toml
from tests.simulated.draw import base, generator
from tests.simulated.life import Life
from tests.simulated.ours import read_case
from tests.simulated.scenario import Scenario

PAST = 70  # days before the two keepers part
AFTER = 56  # days in which they are judged
LIMIT = 1.0 / DKH  # the description's own limit of alkalinity a day
BANDS = {"alkalinity": (7.3 / DKH, 9.0 / DKH), "calcium": (400.0, 450.0)}
CORRECTED = ("alkalinity", "calcium", "magnesium")
_SALT = {"alkalinity": "NaHCO3", "calcium": "CaCl2.2H2O", "magnesium": "MgCl2.6H2O"}
_HOUR = 19.0


@dataclass
class Tally:
    """What one keeper did and what became of the water."""

    tests: int = 0
    turns: int = 0
    grams: float = 0.0
    plans: list[Planned] = field(default_factory=list)
    inside: dict[str, float] = field(default_factory=dict)


@dataclass
class Planned:
    """One plan of a correction: when, of what, and which limit it passed, if any."""

    quantity: str
    begins: float
    ends: float
    passed: tuple[str, ...] = ()
    saturation: list[tuple[float, float]] = field(default_factory=list)  # reached, cap


def scenario(seed: int) -> Scenario:
    """An ordinary reef that is set wrong when the two keepers part."""
    rng = generator("planned", seed)
    _, s = base("planned", seed, days=PAST + AFTER, steps=_steps(rng))
    kits = tuple(replace(kit, last_day=float(PAST)) for kit in s.kits)
    return replace(s, kits=kits, retune_until=float(PAST - 10), moments=0)


def _steps(rng: np.random.Generator) -> tuple[tuple[float, float], ...]:
    """In half of the reefs the appetite changes for good while the keepers are judged."""
    if rng.random() < 0.5:
        return ()
    return ((PAST + float(rng.uniform(3.0, 30.0)), float(rng.choice([0.7, 0.8, 1.25, 1.4]))),)


def live(seed: int, keeper: Callable[[Life, Tally], None]) -> Tally:
    """One life with one keeper from day ``PAST`` on."""
    s = scenario(seed)
    life, tally = Life(s), Tally()
    for part in (testing, chores, mishaps):
        part.begin(life)
    rng = generator("set wrong", seed)
    factor = float(rng.uniform(0.72, 1.15))
    life.plan(life.at_hour(PAST - 6, 12.0), lambda t: _set_wrong(life, t, factor))
    keeper(life, tally)
    levels = []
    for index in range(round(s.days / life.dt) + 1):
        t = index * life.dt
        life.due(index)
        hour = life.hour(t)
        life.machines.step(life.tank, t, life.dt, hour)
        life.tank.step(t, life.dt, hour)
        levels.append([life.tank.concentration(ALK), life.tank.concentration(CA)])
    _judge(life, tally, np.array(levels))
    return tally


def _set_wrong(life: Life, t: float, factor: float) -> None:
    for pump in life.machines.pumps:
        pump.daily = round(pump.daily * factor, 1)
        chores.log_dosing(life, t, pump)


def _judge(life: Life, tally: Tally, levels: np.ndarray) -> None:
    start = round(PAST / life.dt)
    for name, place in (("alkalinity", 0), ("calcium", 1)):
        low, high = BANDS[name]
        water = levels[start:, place]
        tally.inside[name] = float(np.mean((water >= low) & (water <= high)))
    day = round(1.0 / life.dt)
    for plan in tally.plans:
        passed = [] if all(a <= cap * 1.001 for a, cap in plan.saturation) else ["saturation"]
        if plan.quantity in BANDS:
            place = ("alkalinity", "calcium").index(plan.quantity)
            begin, end = round(plan.begins / life.dt), round((plan.ends + 1.0) / life.dt)
            span = levels[begin : min(end, len(levels)), place]
            before = levels[begin - day : begin - day + span.size, place]
            limit = LIMIT if plan.quantity == "alkalinity" else 30.0
            if float(np.max(span - before)) > limit:
                passed.append("a day")
            if float(np.max(span)) > BANDS[plan.quantity][1] >= levels[begin, place]:
                passed.append("edge")
        plan.passed = tuple(passed)


# ---- what both can do ---------------------------------------------------------------------------


def _test(life: Life, t: float, tally: Tally, quantity: str) -> float:
    """One test, written down; its reading."""
    kit = next(each for each in life.scenario.kits if each.quantity == quantity)
    reading = life.bench.read(kit, t, life.level(quantity))
    testing._write(life, t, kit, reading, replicate="")
    life.memory[quantity].append((t, reading.canonical))
    tally.tests += 1
    return reading.canonical


def _pour(life: Life, t: float, tally: Tally, salt: str, *, grams: float, plan: Planned) -> None:
    grams = float(f"{grams:.3g}")
    per = PER_GRAM[salt]
    litres = life.tank.volume
    carbon = {"NaHCO3": 1.0, "Na2CO3": 0.5}.get(salt, 0.0)
    water = water_of(life.level("alkalinity"), calcium=life.level("calcium"), ph=life.tank.ph)
    start = float(water.state().omega_aragonite)
    meq = grams * per.get(ALK, 0.0) / litres
    after = poured(
        water, alkalinity=meq, carbon=carbon * meq, calcium=grams * per.get(CA, 0.0) / litres
    )
    first = plan.saturation[0][1] - 1.0 if plan.saturation else start
    plan.saturation.append((float(after.state().omega_aragonite), max(5.0, first + 1.0)))
    tally.grams += grams
    testing.sudden(life, salt, grams)(t)


# ---- habit --------------------------------------------------------------------------------------


def habit(life: Life, tally: Tally) -> None:
    """Everything tested weekly; the last reading corrected to the target, a day's limit at a time.

    The pumps are set by the last two readings as before.
    """
    targets = {"alkalinity": 8.15 / DKH, "calcium": 425.0, "magnesium": 1310.0}
    short = {"alkalinity": 0.25 / DKH, "calcium": 12.0, "magnesium": 50.0}
    limits = {"alkalinity": LIMIT, "calcium": 30.0, "magnesium": 75.0}

    def week(t: float) -> None:
        if t + 7.0 < life.scenario.days:
            life.plan(t + 7.0, week)
        seen = {kit.quantity: _test(life, t, tally, kit.quantity) for kit in life.scenario.kits}
        for name in CORRECTED:
            gap = targets[name] - seen[name]
            if gap > short[name]:
                _spread(life, t, tally, name, gap=gap, limit=limits[name])
        before = [pump.daily for pump in life.machines.pumps]
        for pump in life.machines.pumps:
            new = chores._wanted(life, pump)
            if new is not None and abs(new - pump.daily) > 0.05 * pump.daily and new > 0.0:
                pump.daily = new
                chores.log_dosing(life, t, pump)
                life.tuned[pump.bottle.name] = t
        after = [pump.daily for pump in life.machines.pumps]
        tally.turns += sum(a != b for a, b in zip(before, after, strict=True))

    life.plan(life.at_hour(PAST, _HOUR), week)


def _spread(life: Life, t: float, tally: Tally, name: str, *, gap: float, limit: float) -> None:
    salt = _SALT[name]
    days = max(math.ceil(gap / limit - 1e-9), 1)
    index = QUANTITIES.index(name)
    grams = gap / days * life.scenario.believed_volume / PER_GRAM[salt][index]
    plan = Planned(name, t, t + days - 1)
    tally.plans.append(plan)
    for day in range(days):
        life.plan(
            t + day + 0.02, lambda when: _pour(life, when, tally, salt, grams=grams, plan=plan)
        )


# ---- plans --------------------------------------------------------------------------------------


def start_of_life(life: Life, t: float, memory: dict[str, Decided]) -> Start:
    """What the planner may know at ``t``: the keeper's own files, read through the same doors.

    ``memory`` holds chapters decided before; they make it quicker and never another answer.
    """
    when = life.instant(t)
    rows = tuple(e.row(None) for e in sorted(life.entries, key=lambda e: e.when) if e.when <= when)
    case = Case(
        family="planned",
        seed=life.scenario.seed,
        system_toml=system_toml(life.scenario),
        history=rows,
        truth=None,  # type: ignore[arg-type]
        scenario=life.scenario,
    )
    system, facts = read_case(case)
    told = answer(system, facts, when, remembered=memory)
    for each in told.seasons:
        memory.update(each.fresh)
    season = next(each for each in told.seasons if each.volume is not None)
    levels = {each.name: each.now for each in told.quantities.values()}
    water = WaterNow(
        at=when, zone=life.zone, units=shown_units(system, facts), system=system, facts=facts,
        drawn=draw(season, count=2000), levels=levels, litres=told.volume, pco2=600.0,
        room_pco2=600.0, answer=told,
    )  # fmt: skip
    return started(water, Said())


class _Follower:
    """A keeper who looks every other evening, tests what is due and does what plans say."""

    def __init__(self, life: Life, tally: Tally) -> None:
        self.life, self.tally = life, tally
        self.busy: dict[str, float] = {}
        self.turned = PAST - 10.0
        self.memory: dict[str, Decided] = {}

    def _start(self, t: float) -> Start:
        return start_of_life(self.life, t, self.memory)

    def look(self, t: float) -> None:
        life = self.life
        if t + 2.0 < life.scenario.days:
            life.plan(t + 2.0, self.look)
        start = self._start(t)
        told = start.water.answer
        assert told is not None
        due = [
            q.name for q in told.quantities.values()
            if next_test(told, q).by <= told.at + timedelta(hours=12)
        ]  # fmt: skip
        for name in due:
            _test(life, t, self.tally, name)
        if due:
            start = self._start(t + 0.01)
        start = self._dose(t + 0.02, start)
        for name in CORRECTED:
            if self.busy.get(name, 0.0) <= t and self._is_low(start, name):
                self._correct(t + 0.03, start, name)

    def _dose(self, t: float, start: Start) -> Start:
        """The pumps once a week, by the plan."""
        if t - self.turned < 6.5:
            return start
        turned = False
        found, odd = without_the_odd(start, dosing(start), remembered=self.memory)
        if odd:
            for each in odd:
                _test(self.life, t, self.tally, each.quantity)
            start = self._start(t + 0.001)
            found, _ = without_the_odd(start, dosing(start), remembered=self.memory)
        for setting in found.settings:
            if not setting.changes:
                continue
            pump = next(
                p for p in self.life.machines.pumps
                if p.bottle.name == setting.pump.substance.name
            )  # fmt: skip
            pump.daily = float(f"{setting.new:.6g}")
            chores.log_dosing(self.life, t, pump)
            self.tally.turns += 1
            turned = True
        if turned:
            self.turned = t
            return self._start(t + 0.001)
        return start

    def _is_low(self, start: Start, name: str) -> bool:
        """Whether Today would speak of it: likely under the band, or about to be."""
        low = BANDS.get(name, (1250.0, 1400.0))[0]
        if name not in start.drawn.quantities:
            return False
        return float(np.mean(start.drawn.level(name) < low)) > 0.3

    def _correct(self, t: float, start: Start, name: str) -> None:
        found = self._plan(start, name)
        if self._is_test_first(start, found):
            _test(self.life, t, self.tally, name)
            start = self._start(t + 0.01)
            found = self._plan(start, name)
            if self._is_test_first(start, found):
                return
        if found.is_needed:
            self._do(t + 0.02, found)

    def _is_test_first(self, start: Start, found: Correction) -> bool:
        """What the plan says first: a test that would change the act, or is odd by itself."""
        if found.worth is not None and found.worth.is_worth_it:
            return True
        if not found.is_needed:
            return False
        ask = found.ask
        return surprise(start, ask.quantity, ask.target, remembered=self.memory) is not None

    def _plan(self, start: Start, name: str) -> Correction:
        return correct(start.drawn, ask_for(start, name, to=None, substance=_SALT[name], days=1))

    def _do(self, t: float, found: Correction) -> None:
        life, name = self.life, found.ask.quantity
        pours = found.parting.pours if found.parting else 1
        last = t + found.days - 1 + (pours - 1) * found.ask.gap / 24.0
        plan = Planned(name, t, last)
        self.tally.plans.append(plan)
        self.busy[name] = last + 1.0
        salt, grams = _SALT[name], found.amounts[0] / pours
        for day in range(found.days):
            for number in range(pours):
                when = t + day + number * found.ask.gap / 24.0
                life.plan(
                    when, lambda at: _pour(life, at, self.tally, salt, grams=grams, plan=plan)
                )
        life.plan(last + 1.0, lambda at: self._look_after(at, name))

    def _look_after(self, t: float, name: str) -> None:
        if t < self.life.scenario.days:
            _test(self.life, t, self.tally, name)


def by_plans(life: Life, tally: Tally) -> None:
    """The keeper who follows plans."""
    life.plan(life.at_hour(PAST, _HOUR), _Follower(life, tally).look)
