"""One life of a tank with its keeper: the clock, the agenda and the written rows."""

from __future__ import annotations

import heapq
import math
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from tests.simulated.case import Row, Unlogged, detail_text
from tests.simulated.chemistry import PER_GRAM, QUANTITIES, SAL
from tests.simulated.machines import Machines, Pump
from tests.simulated.readings import Bench
from tests.simulated.scenario import Bottle, Scenario
from tests.simulated.tank import Tank

Act = Callable[[float], None]

#: what a batch of salt mix holds of things that no label names
UNSAID = {"strontium": 8.1, "potassium": 400.0, "nitrate": 0.2, "phosphate": 0.005}


@dataclass
class Entry:
    """A row before it is text; ``wrong`` says how a test came to be untrue."""

    when: datetime
    kind: str
    what: str = ""
    value: str = ""
    unit: str = ""
    detail: dict[str, object] = field(default_factory=dict)
    wrong: tuple[str, float] | None = None

    def row(self, zone: ZoneInfo | None) -> Row:
        when = self.when.astimezone(zone) if zone else self.when
        text = when.isoformat(timespec="minutes")
        return Row(text, self.kind, self.what, self.value, self.unit, detail_text(self.detail))


class Life:
    """The state that chores, tests and mishaps act upon."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.zone = ZoneInfo(scenario.timezone)
        self.start = datetime.fromisoformat(scenario.start).replace(tzinfo=UTC)
        self.dt = scenario.step_minutes / 1440.0
        streams = np.random.SeedSequence([scenario.seed, 77, *scenario.fate]).spawn(4)
        #: the keeper's habits, the kits, the world, and the moments at which we ask
        self.habits, bench, self.world, self.asking = (
            np.random.default_rng(stream) for stream in streams
        )
        self.bench_rng = bench
        self.offsets = [self._offset(day) for day in range(scenario.days + 12)]
        self.entries: list[Entry] = []
        self.spells: dict[int, list[tuple[Entry, float]]] = {}
        self.unlogged: list[Unlogged] = []
        self.bench = Bench(scenario, bench)
        self.tank = self._tank()
        self.machines = self._machines()
        self.memory: dict[str, deque[tuple[float, float]]] = {
            kit.quantity: deque(maxlen=5) for kit in scenario.kits
        }
        self.tuned = {bottle.name: 0.0 for bottle in scenario.bottles}
        self.last_correction = -99.0
        self.sudden_doses = 0
        self.topped_mark = 0.0
        self.forget_next_change = False
        self._agenda: list[tuple[int, int, Act]] = []
        self._planned = 0

    # ---- time -----------------------------------------------------------------------------------

    def _offset(self, day: int) -> float:
        noon = self.start + timedelta(days=day, hours=12)
        offset = noon.astimezone(self.zone).utcoffset()
        return offset.total_seconds() / 3600.0 if offset else 0.0

    def hour(self, t: float) -> float:
        """The local clock at ``t`` days."""
        return (t * 24.0 + self.offsets[int(t)]) % 24.0

    def at_hour(self, day: float, hour: float) -> float:
        """The instant of a local hour on a day, in days from the start."""
        whole = min(max(int(day), 0), len(self.offsets) - 1)
        return whole + (hour - self.offsets[whole]) / 24.0

    def instant(self, t: float) -> datetime:
        return self.start + timedelta(minutes=round(t * 1440.0))

    def away(self, t: float) -> bool:
        """Whether the keeper is not at home."""
        return any(start <= t < start + length for start, length in self.scenario.holes)

    def plan(self, t: float, act: Act) -> None:
        self._planned += 1
        index = max(math.ceil(t / self.dt - 1e-6), 0)
        heapq.heappush(self._agenda, (index, self._planned, act))

    def due(self, index: int) -> None:
        """Do what is planned up to step ``index``."""
        while self._agenda and self._agenda[0][0] <= index:
            heapq.heappop(self._agenda)[2](index * self.dt)

    # ---- writing down ---------------------------------------------------------------------------

    def log(
        self,
        t: float,
        kind: str,
        what: str = "",
        *,
        value: str = "",
        unit: str = "",
        detail: Mapping[str, object] | None = None,
    ) -> Entry:
        entry = Entry(self.instant(t), kind, what, value, unit, dict(detail or {}))
        self.entries.append(entry)
        return entry

    def record(self, kind: str, start: float, end: float, change: Mapping[str, float]) -> None:
        """Remember a change that nobody wrote down."""
        deviations: dict[str, float] = {}
        for kit in self.scenario.kits:
            if kit.quantity in QUANTITIES:
                level = self.tank.concentration(QUANTITIES.index(kit.quantity))
                deviations[kit.quantity] = abs(change.get(kit.quantity, 0.0)) / kit.deviation(level)
        span = self.instant(start), self.instant(end)
        self.unlogged.append(Unlogged(kind, *span, dict(change), deviations))

    def level(self, quantity: str) -> float:
        """The true level of anything that a kit or a probe can read."""
        if quantity in QUANTITIES:
            return self.tank.concentration(QUANTITIES.index(quantity))
        return {"temperature": self.tank.temperature, "ph": self.tank.ph}[quantity]

    def difference(self, before: list[float]) -> dict[str, float]:
        after = self.tank.concentrations()
        return {name: after[i] - before[i] for i, name in enumerate(QUANTITIES)}

    # ---- setting up -----------------------------------------------------------------------------

    def _tank(self) -> Tank:
        s = self.scenario
        tank = Tank(s.physics, self.start.timetuple().tm_yday)
        for name, value in s.start_at.items():
            tank.amounts[QUANTITIES.index(name)] = value * s.physics.volume
        tank.auto_top_off = s.hand_top_off == 0.0
        if s.limewater > 0.0:
            grams = s.limewater * s.lime_strength
            tank.top_content = {i: v * grams for i, v in PER_GRAM["Ca(OH)2"].items()}
        tank.settle_rock()
        tank.settle_leftovers(s.feed * 1000.0, n=s.feed_n, p=s.feed_p)
        return tank

    def _machines(self) -> Machines:
        s = self.scenario
        return Machines(
            pumps=[Pump(b, b.daily, b.container, self.batch(b)) for b in s.bottles],
            continuous=s.changes.continuous * (1.0 + (0.03 * self._normal() if s.noise else 0.0)),
            new_water=self.new_water(35.0),
            meals=self._meals(),
            feed_n=s.feed_n,
            feed_p=s.feed_p,
            top_offs=self._top_offs(),
        )

    def _normal(self) -> float:
        return float(self.world.normal())

    def _meals(self) -> list[tuple[float, float]]:
        meals = []
        for day in range(self.scenario.days + 9):
            weekend = (day + self.start.weekday()) % 7 >= 5
            grams = float(self.world.lognormal(0.0, self.scenario.feed_sd)) * (
                1.25 if weekend else 0.9
            )
            if self.world.random() < self.scenario.feed_skip:
                grams = 0.0
            hour = 18.0 + self._normal() * (1.5 if weekend else 0.7)
            meals.append((self.at_hour(day, hour), grams * self.scenario.feed))
        return sorted(meals)

    def _top_offs(self) -> list[float]:
        every = self.scenario.hand_top_off
        times: list[float] = []
        day = 0.0
        while every > 0.0 and day < self.scenario.days + 9:
            times.append(self.at_hour(day, 20.0 + self._normal()))
            day += max(1.0, round(every + 0.6 * self._normal()))
        return times

    def batch(self, bottle: Bottle) -> float:
        """The strength of a newly mixed bottle as a part of its label."""
        return bottle.strength * (1.0 + bottle.batch_sd * self._normal())

    def new_water(self, salinity: float) -> list[float]:
        """A batch of the mix as it truly is."""
        mix = self.scenario.mix
        new = [0.0] * len(QUANTITIES)
        for name, value in (UNSAID | mix.label).items():
            batch = 1.0 + mix.batch * self._normal()
            factor = mix.true_factor.get(name, 1.0)
            new[QUANTITIES.index(name)] = value * factor * batch * salinity / 35.0
        new[SAL] = salinity
        return new
