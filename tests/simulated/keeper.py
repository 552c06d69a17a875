"""A keeper at work: tests, doses, changes, forgets, and writes most of it down."""

from __future__ import annotations

import copy
import heapq
import math
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from tests.simulated.case import Case, Moment, Row, Spell, Truth, Unlogged, WrongTest, detail_text
from tests.simulated.chemistry import ALK, CA, CALCIUM_PER_MEQ, PER_GRAM, PO4, QUANTITIES, SAL
from tests.simulated.described import system_toml
from tests.simulated.machines import Machines, Pump
from tests.simulated.readings import Bench, Reading
from tests.simulated.scenario import Bottle, Kit, Mishap, Scenario
from tests.simulated.tank import Tank

SCORED = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity")


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
    spell: int | None = None

    def row(self) -> Row:
        when = self.when.isoformat(timespec="minutes")
        return Row(when, self.kind, self.what, self.value, self.unit, detail_text(self.detail))


class Run:
    """One life of a tank, from the scenario's first day to its last."""

    def __init__(self, scenario: Scenario) -> None:
        self.s = scenario
        self.zone = ZoneInfo(scenario.timezone)
        self.start = datetime.fromisoformat(scenario.start).replace(tzinfo=UTC)
        self.dt = scenario.step_minutes / 1440.0
        streams = np.random.SeedSequence([scenario.seed, 77]).spawn(4)
        self.rng, self.bench_rng, self.life, self.moments_rng = (
            np.random.default_rng(stream) for stream in streams
        )
        self.offsets = [self._offset(day) for day in range(scenario.days + 12)]
        self.entries: list[Entry] = []
        self.agenda: list[tuple[int, int, Callable[[float], None]]] = []
        self._sequence = 0
        self.tank = Tank(scenario.physics, self.start.timetuple().tm_yday)
        for name, value in scenario.start_at.items():
            self.tank.amounts[QUANTITIES.index(name)] = value * scenario.physics.volume
        self.tank.auto_top_off = scenario.hand_top_off == 0.0
        if scenario.limewater > 0.0:
            grams = scenario.limewater * scenario.lime_strength
            self.tank.top_content = {i: v * grams for i, v in PER_GRAM["Ca(OH)2"].items()}
        self.tank.settle_rock()
        self.bench = Bench(scenario, self.bench_rng)
        self.machines = self._machines()
        self.memory: dict[str, deque[tuple[float, float]]] = {
            kit.quantity: deque(maxlen=5) for kit in scenario.kits
        }
        self.dosing_since = {bottle.name: 0.0 for bottle in scenario.bottles}
        self.last_correction = -99.0
        self.media_at = -99.0
        self.unlogged: list[Unlogged] = []
        self.spell_tests: dict[int, list[tuple[Entry, float]]] = {}
        self.sudden = 0
        self.topped_seen = 0
        self.topped_mark = 0.0
        self.forget_change = False

    # ---- time -----------------------------------------------------------------------------------

    def _offset(self, day: int) -> float:
        noon = self.start + timedelta(days=day, hours=12)
        offset = noon.astimezone(self.zone).utcoffset()
        return offset.total_seconds() / 3600.0 if offset else 0.0

    def hour(self, t: float) -> float:
        return (t * 24.0 + self.offsets[int(t)]) % 24.0

    def at_hour(self, day: float, hour: float) -> float:
        whole = max(int(day), 0)
        return whole + (hour - self.offsets[min(whole, len(self.offsets) - 1)]) / 24.0

    def instant(self, t: float) -> datetime:
        return self.start + timedelta(minutes=round(t * 1440.0))

    def plan(self, t: float, act: Callable[[float], None]) -> None:
        self._sequence += 1
        index = max(math.ceil(t / self.dt - 1e-6), 0)
        heapq.heappush(self.agenda, (index, self._sequence, act))

    # ---- writing down ---------------------------------------------------------------------------

    def log(
        self,
        t: float,
        kind: str,
        what: str = "",
        *,
        value: str = "",
        unit: str = "",
        detail: dict[str, object] | None = None,
    ) -> Entry:
        entry = Entry(self.instant(t), kind, what, value, unit, detail or {})
        self.entries.append(entry)
        return entry

    # ---- setting up -----------------------------------------------------------------------------

    def _machines(self) -> Machines:
        s, rng = self.s, self.life
        meals = []
        for day in range(s.days + 8):
            weekend = (day + self.start.weekday()) % 7 >= 5
            grams = s.feed * float(rng.lognormal(0.0, 0.25)) * (1.25 if weekend else 0.9)
            if rng.random() < 0.06:
                grams = 0.0
            hour = 18.0 + float(rng.normal(0.0, 1.5 if weekend else 0.7))
            meals.append((self.at_hour(day, hour), grams))
        tops = []
        day = 0.0
        while s.hand_top_off > 0.0 and day < s.days + 8:
            tops.append(self.at_hour(day, 20.0 + float(rng.normal(0.0, 1.0))))
            day += max(1.0, round(s.hand_top_off + float(rng.normal(0.0, 0.6))))
        pumps = [Pump(b, b.daily, b.container, self._batch(b)) for b in s.bottles]
        new = self._new_water(35.0)
        return Machines(
            pumps=pumps,
            continuous=s.changes.continuous,
            new_water=new,
            meals=sorted(meals),
            feed_n=s.feed_n,
            feed_p=s.feed_p,
            top_offs=tops,
        )

    def _batch(self, bottle: Bottle) -> float:
        return bottle.strength * (1.0 + bottle.batch_sd * float(self.life.normal()))

    def _new_water(self, salinity: float) -> list[float]:
        """A batch of the mix as it truly is."""
        mix = self.s.mix
        names = {"strontium": 8.1, "potassium": 400.0, "nitrate": 0.2, "phosphate": 0.005}
        label = names | mix.label
        new = [0.0] * len(QUANTITIES)
        for name, value in label.items():
            batch = 1.0 + mix.batch * float(self.life.normal()) if self.s.noise else 1.0
            factor = mix.true_factor.get(name, 1.0)
            new[QUANTITIES.index(name)] = value * factor * batch * salinity / 35.0
        new[SAL] = salinity
        return new

    def set_out(self) -> None:
        s = self.s
        for kit in s.kits:
            self.plan(
                self.at_hour(self.rng.random() * min(kit.every, 5.0), kit.hour), self._tester(kit)
            )
        if s.changes.every > 0.0:
            self.plan(self.at_hour(2 + self.rng.integers(5), 11.0), self.change)
        if s.changes.continuous > 0.0:
            self.log(
                0.0, "water_change", s.mix.name, value=f"{s.changes.continuous:g}", unit="L/day"
            )
        for pump in self.machines.pumps:
            self.log_dosing(0.0, pump)
            if pump.bottle.level_every > 0.0:
                self.plan(self.at_hour(1, 20.5), self._level_reader(pump))
            else:
                self.plan(1.0, self._quiet_refill(pump))
        if any(pump.bottle.retune for pump in self.machines.pumps):
            self.plan(self.at_hour(s.retune_every, 21.0), self.retune)
        if s.media_every > 0.0:
            self.plan(self.at_hour(3, 12.0), self.media)
        if s.harvest_every > 0.0:
            self.plan(self.at_hour(6, 15.0), self.harvest)
        if s.feed_logged != "none":
            self.plan(self.at_hour(0, 22.0), self.note_feed)
        if s.top_off_logged != "none" or s.limewater > 0.0:
            self.plan(self.at_hour(0, 9.0), self.note_top_off)
        for mishap in s.mishaps:
            self.plan(mishap.day, self._mishap(mishap))
        for day, salt, grams in s.sudden:
            self.plan(self.at_hour(day, 10.0), self._sudden(salt, grams))
        for day, factor in s.use_steps:
            assert 0.0 < day < s.days
            assert factor > 0.0
        for day, kind, what, text in s.notes:
            detail: dict[str, object] = {"text": text} if text else {}
            self.plan(
                self.at_hour(day, 21.5), lambda t, k=kind, w=what, d=detail: self._note(t, k, w, d)
            )

    def _note(self, t: float, kind: str, what: str, detail: dict[str, object]) -> None:
        self.log(t, kind, what, detail=detail)

    # ---- testing --------------------------------------------------------------------------------

    def _tester(self, kit: Kit) -> Callable[[float], None]:
        def act(t: float) -> None:
            spread = kit.every * kit.jitter * float(self.rng.normal())
            step = max(1.0, round(kit.every + spread)) if kit.every >= 1.0 else kit.every
            hour = kit.hour + kit.hour_sd * float(self.rng.normal())
            day = math.floor(t + self.offsets[int(t)] / 24.0) + step
            if day < self.s.days:
                self.plan(max(self.at_hour(day, min(max(hour, 0.5), 23.4)), t + 0.2), act)
            if self.rng.random() >= kit.skip:
                self.test(t, kit)

        return act

    def test(self, t: float, kit: Kit, *, again: bool = False) -> None:
        true = self.tank.concentration(QUANTITIES.index(kit.quantity))
        first = self.bench.read(kit, t, true)
        twice = not again and self.rng.random() < kit.replicate
        self._write_test(t, kit, first, "1" if twice else "")
        if twice:
            self._write_test(t + 12 / 1440.0, kit, self.bench.read(kit, t, true), "2")
        remembered = self.memory[kit.quantity]
        surprising = bool(remembered) and (
            abs(first.canonical - remembered[-1][1]) > 4.0 * kit.deviation(remembered[-1][1])
        )
        if surprising and not again and self.rng.random() < kit.retest:
            later = t + (0.02 if self.rng.random() < 0.5 else 1.0)
            if later < self.s.days:
                self.plan(later, lambda when: self.test(when, kit, again=True))
        if not surprising or again:
            remembered.append((t, first.canonical))
        if self.s.corrects and (again or not surprising):
            self._maybe_correct(t, kit.quantity)

    def _write_test(self, t: float, kit: Kit, reading: Reading, replicate: str) -> None:
        detail: dict[str, object] = {"method": kit.name, "lot": reading.lot_label}
        if kit.by:
            detail["by"] = kit.by[int(self.rng.integers(len(kit.by)))]
        detail["replicate"] = replicate
        entry = self.log(t, "test", kit.quantity, value=reading.text, unit=kit.unit, detail=detail)
        entry.wrong = reading.wrong
        if reading.spell is not None:
            entry.spell = reading.spell
            self.spell_tests.setdefault(reading.spell, []).append((entry, reading.spell_size))

    def _maybe_correct(self, t: float, quantity: str) -> None:
        """A single dose, or water out, when a level is well off what the keeper wants."""
        level = self.memory[quantity][-1][1]
        litres = self.s.believed_volume
        short = self.s.physics.reference_alkalinity - level
        if quantity == "alkalinity" and short > 0.3 and t - self.last_correction > 2.0:
            self.last_correction = t
            grams = round(min(short, 0.5) * 0.6 * litres / 11.904, 1)
            self.plan(t + 0.06, self._sudden("NaHCO3", grams))
        if quantity == "calcium" and level < 385.0:
            grams = round(15.0 * litres / 272.62, 1)
            self.plan(t + 0.06, self._sudden("CaCl2.2H2O", grams))
        if quantity == "magnesium" and level < 1240.0:
            grams = round(45.0 * litres / 119.56, 0)
            self.plan(t + 0.06, self._sudden("MgCl2.6H2O", grams))
        if quantity == "salinity" and level > 36.0:
            self.plan(t + 0.03, self._freshen)

    def _freshen(self, t: float) -> None:
        """Take some water out and let fresh water come in."""
        litres = float(round(0.02 * self.s.believed_volume, 0)) or 1.0
        self.tank.drain(litres)
        self.log(t, "removed", value=f"{litres:g}", unit="L")

    def _sudden(self, salt: str, grams: float) -> Callable[[float], None]:
        def act(t: float) -> None:
            scale = 1.0 + 0.01 * float(self.life.normal()) if self.s.noise else 1.0
            content = {i: v * grams * scale for i, v in PER_GRAM[salt].items()}
            self.tank.flow(0.0, content)
            self.log(t, "dose", salt, value=f"{grams:g}", unit="g")
            for index, each in PER_GRAM[salt].items():
                past = self.memory.get(QUANTITIES[index])
                if past is not None:  # the keeper allows for the dose when looking at a slope
                    rise = each * grams / self.s.believed_volume
                    past.extend([(when, value + rise) for when, value in list(past)])
            for kit in self.s.kits:
                index = QUANTITIES.index(kit.quantity)
                if index in content and kit.quantity != "salinity":
                    rise = content[index] / self.tank.volume
                    self.sudden += rise >= 3.0 * kit.deviation(self.tank.concentration(index))

        return act

    # ---- dosing ---------------------------------------------------------------------------------

    def log_dosing(self, t: float, pump: Pump) -> None:
        detail: dict[str, object] = {}
        if pump.bottle.hours is not None:
            detail["hours"] = f"{pump.bottle.hours[0]:02d}-{pump.bottle.hours[1]:02d}"
        self.log(
            t, "dosing", pump.bottle.name, value=f"{pump.daily:g}", unit="mL/day", detail=detail
        )

    def retune(self, t: float) -> None:
        """Set the pumps by the last readings, by hand arithmetic, a fifth at most."""
        self.plan(t + self.s.retune_every, self.retune)
        for pump in self.machines.pumps:
            if not pump.bottle.retune:
                continue
            quantity = "alkalinity" if ALK in PER_GRAM[pump.bottle.salt] else "calcium"
            since = self.dosing_since[pump.bottle.name]
            seen = [pair for pair in self.memory.get(quantity, ()) if pair[0] > since]
            if len(seen) < 2 or seen[-1][0] - seen[0][0] < 3.0:
                continue
            slope = (seen[-1][1] - seen[0][1]) / (seen[-1][0] - seen[0][0])
            p = self.s.physics
            target = p.reference_alkalinity if quantity == "alkalinity" else p.reference_calcium
            index = ALK if quantity == "alkalinity" else CA
            wanted = (-slope + (target - seen[-1][1]) / 20.0) * self.s.believed_volume
            strength = PER_GRAM[pump.bottle.salt][index] * pump.bottle.grams_per_litre * 1e-3
            step = max(min(wanted / strength, 0.2 * pump.daily), -0.2 * pump.daily)
            rounding = 1.0 if pump.daily > 15.0 else 0.2
            new = round(round((pump.daily + step) / rounding) * rounding, 3)
            if abs(new - pump.daily) > 0.05 * pump.daily and new > 0.0:
                pump.daily = new
                self.log_dosing(t, pump)
                self.dosing_since[pump.bottle.name] = t

    def _quiet_refill(self, pump: Pump) -> Callable[[float], None]:
        def act(t: float) -> None:
            self.plan(t + 1.0, act)
            if pump.left < 3.0 * pump.daily:
                pump.left, pump.strength = pump.bottle.container, self._batch(pump.bottle)

        return act

    def _level_reader(self, pump: Pump) -> Callable[[float], None]:
        def write(t: float) -> None:
            mark = 10.0 if pump.bottle.container >= 500.0 else 5.0
            seen = pump.left + 0.4 * mark * float(self.bench_rng.normal())
            value = max(round(seen / mark) * mark, 0.0)
            self.log(t, "level", pump.bottle.name, value=f"{value:g}", unit="mL")

        def act(t: float) -> None:
            self.plan(self.at_hour(t + pump.bottle.level_every, 20.5), act)
            write(t)
            if pump.left < (pump.bottle.level_every + 3.0) * pump.daily:
                pump.left, pump.strength = pump.bottle.container, self._batch(pump.bottle)
                write(t + 10 / 1440.0)

        return act

    # ---- water ----------------------------------------------------------------------------------

    def change(self, t: float) -> None:
        s, plan = self.s, self.s.changes
        day = math.floor(t) + plan.every + (int(self.life.integers(-1, 2)) if plan.every > 6 else 0)
        self.plan(self.at_hour(day, 11.0 + float(self.life.normal())), self.change)
        if self.life.random() < 0.04 and s.noise:
            return
        salinity = self._mixing_salinity()
        new = self._new_water(salinity)
        percent = round(100.0 * plan.litres / s.believed_volume)
        litres = plan.litres
        if plan.percent:
            of = s.believed_volume if plan.by_belief else s.physics.volume
            litres = percent / 100.0 * of
        if s.noise:
            litres *= 1.0 + 0.02 * float(self.life.normal())
        before = self.tank.concentrations()
        self.tank.exchange(litres, new)
        if self.forget_change:
            self.forget_change = False
            self._record("forgotten change", t, t, self._difference(before))
            return
        detail: dict[str, object] = {}
        if abs(salinity - 35.0) > 0.05 or self.life.random() < 0.3:
            detail["salinity"] = f"{salinity + 0.15 * float(self.bench_rng.normal()):.1f}"
        if self.life.random() < plan.measured:
            detail |= self._measured(new)
        what = s.mix.name if self.life.random() < plan.names_mix else ""
        value, unit = (f"{percent}", "%") if plan.percent else (f"{plan.litres:g}", "L")
        self.log(t, "water_change", what, value=value, unit=unit, detail=detail)

    def _measured(self, new: list[float]) -> dict[str, object]:
        """The new water as the keeper's own kits read it."""
        result: dict[str, object] = {}
        for kit in self.s.kits:
            if kit.quantity in ("alkalinity", "calcium"):
                true = new[QUANTITIES.index(kit.quantity)]
                seen = true + kit.deviation(true) * float(self.bench_rng.normal())
                result[kit.quantity] = f"{seen:.3g}"
        return result

    def _mixing_salinity(self) -> float:
        seen = self.memory.get("salinity")
        if not seen:
            return 35.0
        off = seen[-1][1] - 35.0
        if abs(off) < 0.6:
            return 35.0 + (0.2 * float(self.life.normal()) if self.s.noise else 0.0)
        return min(max(35.0 - 3.0 * off, 31.0), 39.0)

    def _difference(self, before: list[float]) -> dict[str, float]:
        after = self.tank.concentrations()
        return {name: after[i] - before[i] for i, name in enumerate(QUANTITIES)}

    def note_top_off(self, t: float) -> None:
        s = self.s
        what = "limewater" if s.limewater > 0.0 else ""
        every = 7.0 if s.top_off_logged == "level" else 30.0
        self.plan(t + every, self.note_top_off)
        if s.hand_top_off > 0.0:
            return
        used = self.tank.topped - self.topped_mark
        self.topped_mark = self.tank.topped
        rate = used / every if t > 1.0 else s.physics.evaporation
        if s.top_off_logged == "level":
            left = max(round(40.0 - used + 0.3 * float(self.bench_rng.normal()), 1), 0.0)
            if t > 1.0:
                self.log(t, "level", what or "top-off", value=f"{left:g}", unit="L")
            self.log(t + 0.01, "level", what or "top-off", value="40", unit="L")
        if s.top_off_logged == "rate" or (s.limewater > 0.0 and (t < 1.0 or every > 20.0)):
            self.log(t, "top_off", what, value=f"{rate:.1f}", unit="L/day")

    def _log_hand_top_offs(self) -> None:
        what = "limewater" if self.s.limewater > 0.0 else ""
        for t, litres in self.machines.topped[self.topped_seen :]:
            step = 0.5 if self.s.physics.volume > 150.0 else 0.1
            value = max(round(litres / step) * step, step)
            self.log(t, "top_off", what, value=f"{value:g}", unit="L")
        self.topped_seen = len(self.machines.topped)

    # ---- food, media, algae ---------------------------------------------------------------------

    def note_feed(self, t: float) -> None:
        every = 1.0 if self.s.feed_logged == "daily" else 7.0
        self.plan(t + every, self.note_feed)
        eaten = sum(grams for when, grams in self.machines.meals if t - every < when <= t)
        if eaten <= 0.0:
            return
        detail: dict[str, object] = {}
        if self.s.feed_known:
            detail = {"n": f"{self.s.feed_n:g}", "p": f"{self.s.feed_p:g}"}
        self.log(t, "feed", "pellets", value=f"{eaten:.1f}", unit="g", detail=detail)

    def media(self, t: float) -> None:
        self.plan(self.at_hour(t + self.s.media_every, 12.0), self.media)
        seen = self.memory.get("phosphate")
        if seen and seen[-1][1] < 0.03:
            return
        self.tank.new_media(self.s.media_grams)
        self.log(
            t, "media", "ferric", value=f"{self.s.media_grams:g}", unit="g", detail={"flow": "60"}
        )

    def harvest(self, t: float) -> None:
        self.plan(self.at_hour(t + self.s.harvest_every, 15.0), self.harvest)
        cut = 0.4 * self.tank.crop
        self.tank.crop -= cut
        self.log(t, "harvest", "green algae", value=f"{cut * 60.0:.0f}", unit="g")

    # ---- what nobody writes down ----------------------------------------------------------------

    def _record(self, kind: str, start: float, end: float, change: dict[str, float]) -> None:
        deviations = {}
        for kit in self.s.kits:
            level = self.tank.concentration(QUANTITIES.index(kit.quantity))
            deviations[kit.quantity] = abs(change.get(kit.quantity, 0.0)) / kit.deviation(level)
        first, last = self.instant(start), self.instant(end)
        self.unlogged.append(Unlogged(kind, first, last, change, deviations))

    def _mishap(self, mishap: Mishap) -> Callable[[float], None]:
        acts: dict[str, Callable[[float, Mishap], None]] = {
            "forgotten change": self._forget_change,
            "unlogged change": self._unlogged_change,
            "forgotten dose": self._forgotten_dose,
            "double dose": self._forgotten_dose,
            "pump stopped": self._stop_pump,
            "top-off stuck": self._stuck_top_off,
            "precipitation": self._precipitate,
        }
        act = acts[mishap.kind]
        return lambda t: act(t, mishap)

    def _forget_change(self, t: float, mishap: Mishap) -> None:
        self.forget_change = True

    def _unlogged_change(self, t: float, mishap: Mishap) -> None:
        before = self.tank.concentrations()
        self.tank.exchange(mishap.size * self.tank.physics.volume, self._new_water(35.0))
        self._record("forgotten change", t, t, self._difference(before))

    def _forgotten_dose(self, t: float, mishap: Mishap) -> None:
        before = self.tank.concentrations()
        grams = mishap.size * self.tank.volume / PER_GRAM["NaHCO3"][ALK]
        self.tank.flow(0.0, {i: v * grams for i, v in PER_GRAM["NaHCO3"].items()})
        if mishap.kind == "double dose":
            self._sudden("NaHCO3", round(grams, 1))(t)
        change = self._difference(before)
        if mishap.kind == "double dose":
            change = {name: value / 2.0 for name, value in change.items()}
        self._record(mishap.kind, t, t, change)

    def _stop_pump(self, t: float, mishap: Mishap) -> None:
        pump = self.machines.pumps[int(mishap.size) % len(self.machines.pumps)]
        pump.stopped = True
        missed = pump.missed

        def mend(when: float) -> None:
            pump.stopped = False
            lost = pump.content(pump.missed - missed)
            change = {QUANTITIES[i]: -v / self.tank.physics.volume for i, v in lost.items()}
            self._record("pump stopped", t, when, change)

        self.plan(t + mishap.length, mend)

    def _stuck_top_off(self, t: float, mishap: Mishap) -> None:
        before = self.tank.concentrations()
        extra = mishap.size * self.tank.physics.volume
        self.tank.top_off(extra)

        def take_out(when: float) -> None:
            self.tank.drain(max(self.tank.volume - self.tank.physics.volume, 0.0))

        self._record("top-off stuck", t, t + 0.5, self._difference(before))
        self.plan(t + 0.5, take_out)

    def _precipitate(self, t: float, mishap: Mishap) -> None:
        pieces = 16

        def fall(_: float) -> None:
            meq = mishap.size * self.tank.physics.volume / pieces
            self.tank.flow(0.0, {ALK: -meq, CA: -meq * CALCIUM_PER_MEQ})

        for piece in range(pieces):
            self.plan(t + piece * self.dt, fall)
        change = {"alkalinity": -mishap.size, "calcium": -mishap.size * CALCIUM_PER_MEQ}
        self._record("precipitation", t, t + pieces * self.dt, change)

    # ---- the whole life -------------------------------------------------------------------------

    def live(self) -> Case:
        self.set_out()
        steps = round(self.s.days / self.dt)
        day = round(1.0 / self.dt)
        hourly = max(round(1.0 / 24.0 / self.dt), 1)
        asked = self._asked(steps)
        past: list[list[float]] = []
        levels: list[list[float]] = []
        rates: list[list[float]] = []
        moments: list[Moment] = []
        full = self.tank.physics.volume
        media: list[float] = []
        for index in range(steps + 1):
            t = index * self.dt
            while self.agenda and self.agenda[0][0] <= index:
                heapq.heappop(self.agenda)[2](t)
            past.append(list(self.tank.used))
            media.append(self.tank.on_media_ever)
            before = past[max(index - day, 0)]
            if index % hourly == 0:
                levels.append(self.tank.concentrations())
                rates.append(
                    [(now - then) / full for now, then in zip(past[-1], before, strict=True)]
                )
            if index in asked:
                gone = (media[-1] - media[max(index - day, 0)]) / full
                moments.append(self._moment(t, before, gone))
            hour = self.hour(t)
            self.machines.step(self.tank, t, self.dt, hour)
            self.tank.step(t, self.dt, hour)
            if self.topped_seen < len(self.machines.topped):
                self._log_hand_top_offs()
        return self._case(np.array(levels), np.array(rates), moments, hourly)

    def _asked(self, steps: int) -> set[int]:
        first = int(self.s.first_moment * steps)
        wanted = min(self.s.moments, steps - first)
        spaced = np.linspace(first, steps, wanted + 1)
        width = (steps - first) / max(wanted, 1)
        shift = self.moments_rng.random(wanted) * width
        return {int(start + move) for start, move in zip(spaced[:-1], shift, strict=True)}

    def _moment(self, t: float, before: list[float], media: float) -> Moment:
        full = self.tank.physics.volume
        state = dict(zip(QUANTITIES, self.tank.concentrations(), strict=True))
        use = {name: (self.tank.used[i] - before[i]) / full for i, name in enumerate(QUANTITIES)}
        without = dict(use) | {"phosphate": use["phosphate"] - media}
        tank, machines = copy.deepcopy(self.tank), self.machines.branch()
        ahead: dict[str, list[float]] = {name: [] for name in QUANTITIES}
        per_day = round(1.0 / self.dt)
        for index in range(7 * per_day):
            when = t + index * self.dt
            hour = (when * 24.0 + self.offsets[int(when)]) % 24.0
            for pump in machines.pumps:  # a bottle is filled up in time
                pump.left = max(pump.left, pump.daily)
            machines.step(tank, when, self.dt, hour)
            tank.step(when, self.dt, hour)
            if (index + 1) % per_day == 0:
                for name, value in zip(QUANTITIES, tank.concentrations(), strict=True):
                    ahead[name].append(value)
        stopped = any(pump.stopped for pump in self.machines.pumps)
        forecast = {name: tuple(values) for name, values in ahead.items()}
        return Moment(self.instant(t), state, use, without, forecast, stopped)

    def _case(
        self,
        levels: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
        rates: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
        moments: list[Moment],
        hourly: int,
    ) -> Case:
        s = self.s
        entries = sorted(self.entries, key=lambda entry: (entry.when, entry.kind, entry.what))
        entries = self._unlike(entries)
        end = self.start + timedelta(days=s.days)
        entries = [entry for entry in entries if entry.when <= end]
        wrong = tuple(
            WrongTest(i, e.when, e.what, e.wrong[0], e.wrong[1])
            for i, e in enumerate(entries)
            if e.wrong is not None
        )
        spells = []
        for tests in self.spell_tests.values():
            places = [i for i, e in enumerate(entries) if any(e is other for other, _ in tests)]
            whens = tuple(entries[i].when for i in places)
            spells.append(Spell(tests[0][0].what, tuple(places), whens, tests[0][1]))
        truth = Truth(
            start=self.start,
            hours=np.arange(len(levels)) * hourly * self.dt * 24.0,
            concentration={name: levels[:, i] for i, name in enumerate(QUANTITIES)},
            consumption={name: rates[:, i] for i, name in enumerate(QUANTITIES)},
            net_volume=s.physics.volume,
            believed_volume=s.believed_volume,
            moments=tuple(moments),
            wrong_tests=wrong,
            spells=tuple(spells),
            unlogged=tuple(self.unlogged),
            use_steps=tuple((self.instant(day), factor) for day, factor in s.use_steps),
            pump_factors={p.bottle.name: p.factor(s.days) for p in self.machines.pumps},
            strengths={p.bottle.name: p.strength for p in self.machines.pumps},
            method_bias=dict(self.bench.biases),
            sudden_doses=self.sudden,
        )
        history = tuple(entry.row() for entry in entries)
        return Case(s.family, s.seed, system_toml(s), history, truth)

    @staticmethod
    def _unlike(entries: list[Entry]) -> list[Entry]:
        """No two facts of one kind and thing at one minute."""
        taken: set[tuple[datetime, str, str]] = set()
        for entry in entries:
            while (entry.when, entry.kind, entry.what) in taken:
                entry.when += timedelta(minutes=1)
            taken.add((entry.when, entry.kind, entry.what))
        return sorted(entries, key=lambda entry: (entry.when, entry.kind, entry.what))


def simulate(scenario: Scenario) -> Case:
    """Let the scenario happen."""
    return Run(scenario).live()


def without_noise(scenario: Scenario) -> Scenario:
    """The same life with exact kits, exact pumps and nothing forgotten."""
    kits = tuple(
        replace(k, resolution=1e-6, repeatability=1e-9, trueness=0.0, fraction=0.0, replicate=0.0,
                low=None, high=None)
        for k in scenario.kits
    )  # fmt: skip
    bottles = tuple(
        replace(b, strength=1.0, batch_sd=0.0, pump=1.0, wear=0.0) for b in scenario.bottles
    )
    mix = replace(scenario.mix, true_factor={}, batch=0.0)
    return replace(
        scenario, kits=kits, bottles=bottles, mix=mix, gross=0.0, spells=0, mishaps=(), noise=False
    )


__all__ = ["PO4", "SCORED", "Run", "simulate", "without_noise"]
