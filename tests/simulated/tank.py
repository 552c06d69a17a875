"""The water itself, stepped a quarter of an hour at a time.

Amounts (meq, mg, PSU times litre) in a volume that shrinks and is topped off. Every gram that
enters or leaves goes through :meth:`Tank.flow` or is booked as used, so that the books close.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from tests.simulated.chemistry import (
    ALK,
    CA,
    CALCIUM_PER_MEQ,
    MEQ_PER_MG_N,
    MG,
    NH,
    NO3,
    NO3_PER_N,
    PO4,
    PO4_PER_P,
    QUANTITIES,
    SAL,
    SEAWATER,
    SR,
    carbonate_state,
)

YEAR = 365.25


@dataclass(frozen=True)
class Physics:
    """What is true of the tank; litres, days, and per litre of the full tank where so said."""

    volume: float = 300.0
    # calcification
    use: float = 0.35  # meq/L/day at the reference state
    reference_alkalinity: float = 2.9
    reference_calcium: float = 425.0
    saturation_power: float = 1.0
    pco2_follows: float = 0.5  # how far the water's CO2 rises with its alkalinity (exponent)
    night: float = 0.4  # calcification in the dark as a part of that in the light
    light_from: float = 9.0  # local hour
    light_until: float = 20.0
    warmth: float = 0.06  # relative change of rate per °C
    colony: tuple[float, ...] = (1.0,)  # factor each quarter of a day
    ratio: float = 2.0  # mol alkalinity per mol calcium
    magnesium_per_meq: float = 1.2
    strontium_per_meq: float = 0.35
    # room
    temperature: float = 25.3
    temperature_swing: float = 0.7
    warmest_day: float = 205.0
    pco2: float = 520.0
    pco2_swing: float = 0.15
    evaporation: float = 3.0  # L/day
    evaporation_swing: float = 0.25
    evaporation_noise: tuple[float, ...] = (1.0,)  # factor each day
    skimmate: float = 0.1  # L/day of system water lost
    creep: float = 0.00005  # part of the salt lost a day
    # nutrients (mg per litre of the full tank a day)
    nitrify_max: float = 1.5  # mg N
    nitrify_half: float = 0.05
    denitrify_max: float = 0.5  # mg NO3
    denitrify_half: float = 4.0
    algae: float = 0.15  # mg NO3 a day for each unit of standing crop
    algae_half: float = 1.0
    algae_phosphate_half: float = 0.015
    algae_np: float = 22.0  # mg NO3 taken per mg PO4
    algae_growth: float = 0.03
    phosphate_max: float = 0.02
    phosphate_half: float = 0.04
    decay: float = 1.5  # a day, of leftovers
    skimmed: float = 0.3  # part of the leftovers that the skimmer gets
    kept: float = 0.25  # part of the food's N and P that stays in the animals
    rock: float = 2.0  # mg PO4 per litre of tank on the rock at 1 mg/L
    rock_power: float = 0.5
    rock_rate: float = 0.15  # a day
    media_rate: float = 1.2  # tank volumes a day through the media, times its contact
    media_capacity: float = 10.0  # mg P a gram at 0.3 mg/L P (Chitrakar et al. 2006)

    def __deepcopy__(self, memo: object) -> Physics:
        return self  # frozen: a branch may share it


@dataclass
class Tank:
    """The state of the water and all that is in it."""

    physics: Physics
    start_day: float  # day of the year at t = 0
    amounts: list[float] = field(default_factory=list)
    volume: float = 0.0
    leftovers_n: float = 0.0  # mg N
    leftovers_p: float = 0.0  # mg P
    crop: float = 1.0
    on_rock: float = 0.0  # mg PO4
    media_grams: float = 0.0
    on_media: float = 0.0  # mg P
    on_media_ever: float = 0.0  # mg PO4 that media took, all in all
    used: list[float] = field(default_factory=lambda: [0.0] * len(QUANTITIES))
    moved: list[float] = field(default_factory=lambda: [0.0] * len(QUANTITIES))
    evaporated: float = 0.0
    temperature: float = 25.0
    ph: float = 8.1  # NBS scale
    topped: float = 0.0
    auto_top_off: bool = True
    top_content: dict[int, float] = field(default_factory=dict)  # amount per litre of top-off
    nitrogen_gone: float = 0.0  # mg N: gas, crop, skimmate, animals
    nitrogen_fed: float = 0.0
    _light_scale: float = 1.0
    _reference: float = 1.0

    def __post_init__(self) -> None:
        p = self.physics
        if not self.amounts:
            self.volume = p.volume
            self.amounts = [value * p.volume for value in SEAWATER]
        lit = (p.light_until - p.light_from) / 24.0
        self._light_scale = 1.0 / (lit + (1.0 - lit) * p.night)
        reference = p.reference_alkalinity, p.reference_calcium
        omega, _ = carbonate_state(*reference, p.pco2, p.temperature)
        self._reference = omega - 1.0

    def settle_rock(self) -> None:
        """Let the rock start in balance with the water."""
        level = max(self.amounts[PO4] / self.volume, 1e-4)
        p = self.physics
        self.on_rock = p.rock * p.volume * level**p.rock_power

    def settle_leftovers(self, daily_mg: float, *, n: float, p: float) -> None:
        """Start with the leftovers of an ordinary day."""
        wasted = (1.0 - self.physics.kept) * (1.0 - self.physics.skimmed) / self.physics.decay
        self.leftovers_n, self.leftovers_p = daily_mg * n * wasted, daily_mg * p * wasted

    def concentration(self, index: int) -> float:
        return self.amounts[index] / self.volume

    def concentrations(self) -> list[float]:
        return [amount / self.volume for amount in self.amounts]

    # ---- what people and machines do to the water -----------------------------------------------

    def flow(self, litres: float, content: dict[int, float]) -> None:
        """Bring ``litres`` of water holding ``content`` (total amounts)."""
        self.volume += litres
        for index, amount in content.items():
            self.amounts[index] += amount
            self.moved[index] += amount

    def top_off(self, litres: float) -> None:
        self.topped += litres
        self.flow(litres, {index: each * litres for index, each in self.top_content.items()})

    def drain(self, litres: float) -> None:
        part = litres / self.volume
        for index, amount in enumerate(self.amounts):
            self.moved[index] -= amount * part
            self.amounts[index] = amount - amount * part
        self.volume -= litres

    def exchange(self, litres: float, new: list[float]) -> None:
        """A change in one go: take out, then put back."""
        self.drain(litres)
        self.flow(litres, {index: value * litres for index, value in enumerate(new)})

    def feed(self, grams: float, *, n: float, p: float) -> None:
        eaten = grams * 1000.0
        lost = self.physics.kept + (1.0 - self.physics.kept) * self.physics.skimmed
        self.leftovers_n += eaten * n * (1.0 - lost)
        self.leftovers_p += eaten * p * (1.0 - lost)
        self.nitrogen_fed += eaten * n
        self.nitrogen_gone += eaten * n * lost

    def new_media(self, grams: float) -> None:
        self.media_grams, self.on_media = grams, 0.0

    # ---- what happens by itself -----------------------------------------------------------------

    def step(self, t: float, dt: float, hour: float) -> None:
        """Advance by ``dt`` days from ``t``; ``hour`` is the local clock."""
        p = self.physics
        day = self.start_day + t
        season = math.cos(2.0 * math.pi * (day - p.warmest_day) / YEAR)
        light = self._light(hour)
        self._calcify(t, dt, season, light)
        self._nutrients(dt, light)
        self._phosphate(dt)
        self._water(t, dt, season)

    def _light(self, hour: float) -> float:
        p = self.physics
        if hour < p.light_from or hour >= p.light_until:
            return p.night
        ramp = min(hour - p.light_from, p.light_until - hour, 1.0)
        return p.night + (1.0 - p.night) * ramp

    def _calcify(self, t: float, dt: float, season: float, light: float) -> None:
        p, amounts, volume = self.physics, self.amounts, self.volume
        alkalinity = amounts[ALK] / volume
        warmth = p.temperature_swing * season
        relative = alkalinity / p.reference_alkalinity
        pco2 = p.pco2 * (1.0 - p.pco2_swing * season) * relative**p.pco2_follows
        pco2 *= 1.15 - 0.25 * light
        self.temperature = p.temperature + warmth + 0.25 * (light - 0.6)
        omega, self.ph = carbonate_state(alkalinity, amounts[CA] / volume, pco2, self.temperature)
        if omega <= 1.0:
            return
        drive = ((omega - 1.0) / self._reference) ** p.saturation_power
        quarter = min(int(t * 4.0), len(p.colony) - 1)
        rate = p.use * p.volume * p.colony[quarter] * light * self._light_scale
        meq = min(rate * drive * (1.0 + p.warmth * warmth) * dt, 0.2 * amounts[ALK])
        self._use(ALK, meq)
        self._use(CA, meq * CALCIUM_PER_MEQ * 2.0 / p.ratio)
        self._use(MG, meq * p.magnesium_per_meq)
        self._use(SR, meq * p.strontium_per_meq * amounts[SR] / volume / SEAWATER[SR])

    def _use(self, index: int, amount: float) -> None:
        self.amounts[index] -= amount
        self.used[index] += amount

    def _nutrients(self, dt: float, light: float) -> None:
        p, volume, full = self.physics, self.volume, self.physics.volume
        made = self.leftovers_n * p.decay * dt
        self.leftovers_n -= made
        ammonia = self.amounts[NH] / volume
        nitrified = p.nitrify_max * full * ammonia / (p.nitrify_half + ammonia) * dt
        nitrified = min(nitrified, 0.5 * self.amounts[NH])
        nitrate = self.amounts[NO3] / volume
        phosphate = self.amounts[PO4] / volume
        gas = p.denitrify_max * full * nitrate / (p.denitrify_half + nitrate) * dt
        by_phosphate = phosphate / (p.algae_phosphate_half + phosphate)
        limit = min(nitrate / (p.algae_half + nitrate), by_phosphate)
        grown = p.algae * full * self.crop * limit * light * dt
        grown = min(grown, 0.3 * self.amounts[NO3])
        gas = min(gas, 0.3 * self.amounts[NO3])
        self.crop += self.crop * p.algae_growth * limit * light * (1.0 - self.crop / 4.0) * dt
        self._use(NH, nitrified - made)
        self._use(NO3, gas + grown - nitrified * NO3_PER_N)
        self._use(PO4, min(grown / p.algae_np, 0.3 * self.amounts[PO4]))
        taken = (gas + grown) / NO3_PER_N
        self.nitrogen_gone += taken
        self._use(ALK, (2.0 * nitrified - made - taken) * MEQ_PER_MG_N)

    def _phosphate(self, dt: float) -> None:
        p, full = self.physics, self.physics.volume
        made = self.leftovers_p * p.decay * dt
        self.leftovers_p -= made
        level = max(self.amounts[PO4] / self.volume, 0.0)
        sink = p.phosphate_max * full * level / (p.phosphate_half + level) * dt
        balance = (self.on_rock / (p.rock * full)) ** (1.0 / p.rock_power)
        to_rock = p.rock_rate * full * (level - balance) * dt
        to_rock = min(max(to_rock, -0.2 * self.on_rock), 0.3 * self.amounts[PO4])
        self.on_rock += to_rock
        to_media = 0.0
        if self.media_grams > 0.0:
            loaded = self.on_media / self.media_grams / p.media_capacity
            gap = level / PO4_PER_P - 0.3 * loaded**3.0  # Golterman 1995: q rises as C**(1/3)
            to_media = max(p.media_rate * full * gap * dt, 0.0)
            to_media = min(to_media * PO4_PER_P, 0.3 * self.amounts[PO4])
            self.on_media += to_media / PO4_PER_P
            self.on_media_ever += to_media
        self._use(PO4, min(sink, 0.2 * self.amounts[PO4]) + to_rock + to_media - made * PO4_PER_P)

    def _water(self, t: float, dt: float, season: float) -> None:
        p = self.physics
        noise = p.evaporation_noise[min(int(t), len(p.evaporation_noise) - 1)]
        gone = p.evaporation * (1.0 - p.evaporation_swing * season) * noise * dt
        self.volume -= gone
        self.evaporated += gone
        if p.skimmate > 0.0:
            self.drain(p.skimmate * dt)
        salt = self.amounts[SAL] * p.creep * dt
        self.amounts[SAL] -= salt
        self.moved[SAL] -= salt
        if self.auto_top_off and self.volume < p.volume:
            self.top_off(p.volume - self.volume)
