"""The round of a reef: dosing, marks on bottles, water changes, topping off, food, media, algae."""

from __future__ import annotations

import math

from tests.simulated.chemistry import ALK, CA, PER_GRAM, QUANTITIES
from tests.simulated.life import Act, Life
from tests.simulated.machines import Pump

EVENING = 20.5


def begin(life: Life) -> None:
    """Write the first rows and plan every habit that the scenario gives the keeper."""
    s = life.scenario
    if s.changes.every > 0.0:
        life.plan(life.at_hour(2 + int(life.habits.integers(5)), 11.0), lambda t: change(life, t))
    if s.changes.continuous > 0.0:
        amount = f"{s.changes.continuous:g}"
        life.log(0.0, "water_change", s.mix.name, value=amount, unit="L/day")
    for pump in life.machines.pumps:
        log_dosing(life, 0.0, pump)
        marked = pump.bottle.level_every > 0.0
        act = _level_reader(life, pump) if marked else _quiet_refill(life, pump)
        life.plan(life.at_hour(1, EVENING), act)
    habits = (
        (any(bottle.retune for bottle in s.bottles), s.retune_every, 21.0, retune),
        (s.media_every > 0.0, 3.0, 12.0, media),
        (s.harvest_every > 0.0, 6.0, 15.0, harvest),
        (s.feed_logged != "none", 0.0, 22.0, note_feed),
        (s.top_off_logged != "none" or s.limewater > 0.0, 0.0, 9.0, note_top_off),
    )
    for wanted, day, hour, habit in habits:
        if wanted:
            life.plan(life.at_hour(day, hour), lambda t, act=habit: act(life, t))  # type: ignore[misc]


# ---- dosing -------------------------------------------------------------------------------------


def log_dosing(life: Life, t: float, pump: Pump) -> None:
    detail = {}
    if pump.bottle.hours is not None:
        detail["hours"] = f"{pump.bottle.hours[0]:02d}-{pump.bottle.hours[1]:02d}"
    amount = f"{pump.daily:g}"
    life.log(t, "dosing", pump.bottle.name, value=amount, unit="mL/day", detail=detail)


def retune(life: Life, t: float) -> None:
    """Set the pumps by the last readings, a fifth at a time, a third when far off."""
    life.plan(t + life.scenario.retune_every, lambda when: retune(life, when))
    if life.away(t) or t > life.scenario.retune_until:
        return
    for pump in life.machines.pumps:
        new = _wanted(life, pump) if pump.bottle.retune else None
        if new is not None and abs(new - pump.daily) > 0.05 * pump.daily and new > 0.0:
            pump.daily = new
            log_dosing(life, t, pump)
            life.tuned[pump.bottle.name] = t


def _wanted(life: Life, pump: Pump) -> float | None:
    """The daily amount that the keeper's last readings ask for."""
    index = ALK if ALK in PER_GRAM[pump.bottle.salt] else CA
    quantity = QUANTITIES[index]
    since = life.tuned[pump.bottle.name]
    seen = [pair for pair in life.memory.get(quantity, ()) if pair[0] > since]
    if len(seen) < 2 or seen[-1][0] - seen[0][0] < 3.0:
        return None
    slope = (seen[-1][1] - seen[0][1]) / (seen[-1][0] - seen[0][0])
    p = life.scenario.physics
    target = p.reference_alkalinity if index == ALK else p.reference_calcium
    more = (-slope + (target - seen[-1][1]) / 20.0) * life.scenario.believed_volume
    strength = PER_GRAM[pump.bottle.salt][index] * pump.bottle.grams_per_litre * 1e-3
    most = (0.35 if abs(seen[-1][1] / target - 1.0) > 0.1 else 0.2) * pump.daily
    step = max(min(more / strength, most), -most)
    rounding = 1.0 if pump.daily > 15.0 else 0.2
    return round(round((pump.daily + step) / rounding) * rounding, 3)


def _refill(life: Life, pump: Pump) -> None:
    pump.left, pump.strength = pump.bottle.container, life.batch(pump.bottle)


def _quiet_refill(life: Life, pump: Pump) -> Act:
    def act(t: float) -> None:
        life.plan(t + 1.0, act)
        if pump.left < 3.0 * pump.daily:
            _refill(life, pump)

    return act


def _level_reader(life: Life, pump: Pump) -> Act:
    """Weekly marks, read to the container's graduation; refilled in good time."""

    def write(t: float) -> None:
        container = pump.bottle.container
        mark = 50.0 if container >= 4000.0 else 10.0 if container >= 500.0 else 5.0
        seen = pump.left + 0.4 * mark * float(life.bench_rng.normal())
        value = max(round(seen / mark) * mark, 0.0)
        life.log(t, "level", pump.bottle.name, value=f"{value:g}", unit="mL")

    def act(t: float) -> None:
        life.plan(life.at_hour(t + pump.bottle.level_every, EVENING), act)
        if life.away(t):
            if pump.left < 3.0 * pump.daily:
                _refill(life, pump)
            return
        write(t)
        if pump.left < (pump.bottle.level_every + 3.0) * pump.daily:
            _refill(life, pump)
            write(t + 10 / 1440.0)

    return act


# ---- water --------------------------------------------------------------------------------------


def change(life: Life, t: float) -> None:
    """A change in one go, by buckets or by a mark, written down unless forgotten."""
    s, plan = life.scenario, life.scenario.changes
    shift = int(life.habits.integers(-1, 2)) if plan.every > 6 else 0
    next_day = math.floor(t) + plan.every + shift
    hour = 11.0 + float(life.habits.normal())
    life.plan(life.at_hour(next_day, hour), lambda when: change(life, when))
    if life.away(t) or (life.habits.random() < 0.04 and s.noise):
        return
    salinity = _mixing_salinity(life)
    new = life.new_water(salinity)
    percent = round(100.0 * plan.litres / s.believed_volume)
    litres = plan.litres
    if plan.percent:
        litres = percent / 100.0 * (s.believed_volume if plan.by_belief else s.physics.volume)
    litres *= 1.0 + (0.02 * float(life.world.normal()) if s.noise else 0.0)
    before = life.tank.concentrations()
    life.tank.exchange(litres, new)
    if life.forget_next_change:
        life.forget_next_change = False
        life.record("forgotten change", t, t, life.difference(before))
        return
    value, unit = (f"{percent}", "%") if plan.percent else (f"{plan.litres:g}", "L")
    what = s.mix.name if life.habits.random() < plan.names_mix else ""
    life.log(t, "water_change", what, value=value, unit=unit, detail=_of_new_water(life, new))


def _of_new_water(life: Life, new: list[float]) -> dict[str, object]:
    """What the keeper writes of the new water, as its own kits read it."""
    salinity = new[QUANTITIES.index("salinity")]
    detail: dict[str, object] = {}
    if abs(salinity - 35.0) > 0.3 or life.habits.random() < 0.3:
        detail["salinity"] = f"{salinity + 0.15 * float(life.bench_rng.normal()):.1f}"
    if life.habits.random() < life.scenario.changes.measured:
        for kit in life.scenario.kits:
            if kit.quantity in ("alkalinity", "calcium"):
                true = new[QUANTITIES.index(kit.quantity)]
                seen = true + kit.deviation(true) * float(life.bench_rng.normal())
                detail[kit.quantity] = f"{seen:.3g}"
    return detail


def _mixing_salinity(life: Life) -> float:
    """A little saltier or fresher than usual where the last reading was off."""
    seen = life.memory.get("salinity")
    off = seen[-1][1] - 35.0 if seen else 0.0
    if abs(off) < 0.6:
        return 35.0 + (0.2 * float(life.habits.normal()) if life.scenario.noise else 0.0)
    return min(max(35.0 - 3.0 * off, 31.0), 39.0)


def note_top_off(life: Life, t: float) -> None:
    """The can's mark once a week, or the day's litres once a month."""
    s = life.scenario
    what = "limewater" if s.limewater > 0.0 else ""
    every = 7.0 if s.top_off_logged == "level" else 30.0
    life.plan(t + every, lambda when: note_top_off(life, when))
    if s.hand_top_off > 0.0:
        return
    used = life.tank.topped - life.topped_mark
    life.topped_mark = life.tank.topped
    first = t < 1.0
    if s.top_off_logged == "level":
        full = math.ceil(s.physics.evaporation * 1.8 * every / 5.0) * 5.0
        seen = full - used + 0.3 * float(life.bench_rng.normal())
        if not first:
            life.log(t, "level", what or "top-off", value=f"{max(seen, 0.0):.1f}", unit="L")
        life.log(t + 0.01, "level", what or "top-off", value=f"{full:g}", unit="L")
    if s.top_off_logged == "rate" or (s.limewater > 0.0 and (first or every > 20.0)):
        rate = s.physics.evaporation if first else used / every
        life.log(t, "top_off", what, value=f"{rate:.1f}", unit="L/day")


def log_hand_top_offs(life: Life) -> None:
    """Write what was poured since the last look."""
    what = "limewater" if life.scenario.limewater > 0.0 else ""
    step = 0.5 if life.scenario.physics.volume > 150.0 else 0.1
    for t, litres in life.machines.topped:
        value = max(round(litres / step) * step, step)
        life.log(t, "top_off", what, value=f"{value:g}", unit="L")
    life.machines.topped.clear()


# ---- food, media, algae -------------------------------------------------------------------------


def note_feed(life: Life, t: float) -> None:
    s = life.scenario
    every = 1.0 if s.feed_logged == "daily" else 7.0
    life.plan(t + every, lambda when: note_feed(life, when))
    eaten = sum(grams for when, grams in life.machines.meals if t - every < when <= t)
    if eaten > 0.0:
        known = {"n": f"{s.feed_n:g}", "p": f"{s.feed_p:g}"} if s.feed_known else {}
        life.log(t, "feed", s.food, value=f"{eaten:.1f}", unit="g", detail=known)


def media(life: Life, t: float) -> None:
    """New ferric media, unless the last phosphate reading was low."""
    s = life.scenario
    life.plan(life.at_hour(t + s.media_every, 12.0), lambda when: media(life, when))
    seen = life.memory.get("phosphate")
    if seen and seen[-1][1] < 0.03:
        return
    life.tank.new_media(s.media_grams)
    detail = {"flow": "60"}
    life.log(t, "media", "ferric", value=f"{s.media_grams:g}", unit="g", detail=detail)


def harvest(life: Life, t: float) -> None:
    life.plan(life.at_hour(t + life.scenario.harvest_every, 15.0), lambda when: harvest(life, when))
    cut = 0.22 * life.tank.crop
    grams = cut * life.scenario.harvest_grams
    if grams < 5.0:
        return
    life.tank.crop -= cut
    life.log(t, "harvest", life.scenario.alga, value=f"{grams:.0f}", unit="g")
