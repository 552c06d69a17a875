"""The description of a simulated system and of its keeper's ways, as plain values."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from tests.simulated.chemistry import DKH, PO4_PER_P
from tests.simulated.tank import Physics

#: typed = canonical * factor
UNIT_FACTOR = {
    ("alkalinity", "dKH"): DKH,
    ("alkalinity", "mg/L CaCO3"): 50.043,
    ("phosphate", "ug/L P"): 1000.0 / PO4_PER_P,
    ("nitrate", "mg/L N"): 1.0 / 4.42664,
}


@dataclass(frozen=True)
class Kit:
    """A test as its user knows it, in the unit that it is read in."""

    quantity: str
    unit: str
    resolution: float
    repeatability: float
    trueness: float
    name: str = ""
    fraction: float = 0.0  # repeatability as a part of the reading, on top
    low: float | None = None  # ends of the scale
    high: float | None = None
    described: bool = True
    every: float = 4.0
    jitter: float = 0.25  # of the interval
    hour: float = 19.0
    hour_sd: float = 1.5
    lot_days: float = 95.0
    lots_named: bool = True
    replicate: float = 0.05
    retest: float = 0.4
    skip: float = 0.05
    by: tuple[str, ...] = ()
    first_day: float = 0.0  # 0: soon
    last_day: float = math.inf

    @property
    def factor(self) -> float:
        return UNIT_FACTOR.get((self.quantity, self.unit), 1.0)

    def deviation(self, canonical: float) -> float:
        """One standard deviation of a sound test, canonical unit, bias apart."""
        typed = canonical * self.factor
        part = self.fraction * typed
        spread = math.sqrt(self.repeatability**2 + part**2 + self.resolution**2 / 12.0)
        return spread / self.factor


@dataclass(frozen=True)
class Bottle:
    """An additive and the pump that doses it."""

    name: str
    salt: str
    grams_per_litre: float
    daily: float = 0.0  # mL, at the start
    hours: tuple[int, int] | None = None
    stroke_hours: float = 0.5
    strength: float = 1.0  # true part of the label
    batch_sd: float = 0.01
    pump: float = 1.0
    wear: float = 0.0  # relative loss of delivery a day
    container: float = 1500.0
    level_every: float = 0.0
    stated_strength_sd: float = 0.03
    stated_pump_sd: float = 0.05
    per_ml: bool = False  # described by its effect and not by its salt
    retune: bool = True


@dataclass(frozen=True)
class SaltMix:
    name: str = "house mix"
    label: dict[str, float] = field(
        default_factory=lambda: {"alkalinity": 2.95, "calcium": 428.0, "magnesium": 1330.0}
    )
    true_factor: dict[str, float] = field(default_factory=dict)
    batch: float = 0.02


@dataclass(frozen=True)
class Changes:
    every: float = 7.0  # 0: none
    litres: float = 30.0
    percent: bool = False
    by_belief: bool = False  # a percentage is of what the keeper believes
    measured: float = 0.0  # chance that the new water was tested
    continuous: float = 0.0  # L/day
    names_mix: float = 0.9


@dataclass(frozen=True)
class Mishap:
    """Something that nobody writes down. ``size`` is in the kind's own unit."""

    kind: str
    day: float
    size: float
    length: float = 0.0


@dataclass(frozen=True)
class Reference:
    """A solution of known content that one kit is now and then tried on (canonical unit)."""

    name: str
    kit: str
    quantity: str
    value: float
    sd: float


@dataclass(frozen=True)
class Scenario:
    family: str
    seed: int
    name: str
    start: str = "2023-02-06"
    timezone: str = "Europe/Lisbon"
    days: int = 425
    step_minutes: int = 15
    physics: Physics = field(default_factory=Physics)
    start_at: dict[str, float] = field(default_factory=dict)
    believed_volume: float = 300.0
    volume_sd: float | None = 30.0
    kits: tuple[Kit, ...] = ()
    bottles: tuple[Bottle, ...] = ()
    mix: SaltMix = field(default_factory=SaltMix)
    changes: Changes = field(default_factory=Changes)
    feed: float = 3.0  # g/day
    feed_n: float = 0.07
    feed_p: float = 0.008
    feed_sd: float = 0.25  # day to day, relative
    feed_skip: float = 0.06  # chance of a day without
    food: str = "pellets"
    alga: str = "green algae"
    feed_logged: str = "none"  # none, weekly, daily
    feed_known: bool = True
    hand_top_off: float = 0.0  # days between, 0: automatic
    top_off_logged: str = "none"  # none, level, rate
    limewater: float = 0.0  # g Ca(OH)2 per litre of top-off
    lime_strength: float = 1.0
    media_every: float = 0.0
    media_grams: float = 0.0
    harvest_every: float = 0.0
    gross: float = 0.03
    spells: int = 0
    mishaps: tuple[Mishap, ...] = ()
    corrects: bool = True
    sudden: tuple[tuple[float, str, float], ...] = ()  # planned known doses: day, salt, grams
    use_steps: tuple[tuple[float, float], ...] = ()
    moments: int = 10
    first_moment: float = 0.5  # part of the time
    noise: bool = True
    retune_every: float = 14.0
    retune_until: float = math.inf
    slips: tuple[tuple[float, str, float], ...] = ()  # from day, quantity, typed amount too much
    harvest_grams: float = 120.0  # wet grams for one unit of standing crop
    holes: tuple[tuple[float, float], ...] = ()  # days away: from, how long
    fate: tuple[int, ...] = ()  # beside the seed, what chance draws from while the system is lived
    references: tuple[Reference, ...] = ()
    notes: tuple[tuple[float, str, str, dict[str, str]], ...] = ()  # day, kind, what, detail
    local_times: bool = False  # rows in the keeper's own zone, with its offset
