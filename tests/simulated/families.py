"""Named families of systems, each a function from a seed to a case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.simulated.case import Case
from tests.simulated.chemistry import ALK, CA, CALCIUM_PER_MEQ, PER_GRAM
from tests.simulated.keeper import simulate
from tests.simulated.scenario import Bottle, Changes, Kit, Mishap, SaltMix, Scenario
from tests.simulated.tank import Physics

Rng = np.random.Generator


def _rng(family: str, seed: int) -> Rng:
    return np.random.default_rng([seed, *family.encode()])


def colony(
    rng: Rng,
    days: int,
    *,
    steps: tuple[tuple[float, float], ...] = (),
    growth: float = 0.15,
    decline: tuple[float, float, float] | None = None,
) -> tuple[float, ...]:
    """The reef's appetite, a factor each quarter of a day: growth, wander, steps, slow decline."""
    count = (days + 9) * 4
    t = np.arange(count) / 4.0
    wander = np.empty(count)
    level = 0.04 * float(rng.normal())
    keep = float(np.exp(-0.25 / 30.0))
    kicks = rng.normal(size=count) * 0.05 * np.sqrt(1.0 - keep**2)
    for index in range(count):
        level = keep * level + kicks[index]
        wander[index] = level
    factor = np.exp(growth * t / 365.25 + wander)
    for day, size in steps:
        factor[t >= day] *= size
    if decline is not None:
        start, length, size = decline
        factor *= 1.0 + (size - 1.0) * np.clip((t - start) / length, 0.0, 1.0)
    return tuple(float(each) for each in factor)


def physics(
    rng: Rng,
    days: int,
    volume: float,
    use: float,
    *,
    steps: tuple[tuple[float, float], ...] = (),
    decline: tuple[float, float, float] | None = None,
    growth: float | None = None,
) -> Physics:
    """A tank of ``volume`` litres that uses about ``use`` meq/L a day, all else drawn."""
    grown = float(rng.uniform(-0.05, 0.45)) if growth is None else growth
    ratio = float(rng.normal(2.0, 0.07)) if rng.random() < 0.7 else float(rng.normal(1.8, 0.1))
    noise = np.exp(0.12 * rng.normal(size=days + 9))
    smooth = np.convolve(noise, np.ones(3) / 3.0, mode="same")
    smooth[[0, -1]] = 1.0
    food = float(rng.uniform(0.35, 0.9))  # mg NO3 per litre a day that the food makes
    return Physics(
        volume=volume,
        use=use,
        reference_alkalinity=float(rng.uniform(2.7, 3.1)),
        reference_calcium=float(rng.uniform(410.0, 440.0)),
        saturation_power=float(rng.uniform(0.6, 1.3)),
        pco2_follows=float(rng.uniform(0.3, 0.8)),
        night=float(rng.uniform(0.25, 0.6)),
        light_from=float(rng.uniform(8.0, 12.0)),
        light_until=float(rng.uniform(19.0, 23.0)),
        colony=colony(rng, days, steps=steps, growth=grown, decline=decline),
        ratio=float(np.clip(ratio, 1.5, 2.25)),
        magnesium_per_meq=float(rng.uniform(0.5, 2.2)),
        strontium_per_meq=float(rng.uniform(0.2, 0.5)),
        temperature=float(rng.uniform(24.6, 26.2)),
        temperature_swing=float(rng.uniform(0.2, 1.1)),
        pco2=float(rng.uniform(430.0, 700.0)),
        pco2_swing=float(rng.uniform(0.0, 0.2)),
        evaporation=volume * float(rng.uniform(0.008, 0.018)),
        evaporation_swing=float(rng.uniform(0.1, 0.35)),
        evaporation_noise=tuple(float(each) for each in smooth),
        skimmate=volume * float(rng.uniform(0.0001, 0.0008)),
        creep=float(rng.uniform(0.0, 0.00008)),
        denitrify_max=food * float(rng.uniform(0.35, 0.8)),
        denitrify_half=float(rng.uniform(2.0, 7.0)),
        algae=food * float(rng.uniform(0.05, 0.25)),
        algae_half=float(rng.uniform(0.5, 2.0)),
        algae_np=float(rng.uniform(15.0, 45.0)),
        phosphate_max=food * 0.08 * float(rng.uniform(0.75, 1.6)),
        phosphate_half=float(rng.uniform(0.02, 0.08)),
        rock=float(rng.uniform(0.6, 3.0)),
        rock_rate=float(rng.uniform(0.05, 0.3)),
        media_capacity=10.0 * float(rng.lognormal(0.0, 0.25)),
    )  # fmt: skip


def feed_for(p: Physics, rng: Rng, n: float) -> float:
    """Grams of food a day that suit the tank's sinks, give or take."""
    wanted = (p.denitrify_max + p.algae) * float(rng.uniform(0.7, 1.15)) * p.volume  # mg NO3
    return wanted / 4.42664 / 1000.0 / n / ((1.0 - p.kept) * (1.0 - p.skimmed))


def kits(
    rng: Rng, *, every: float = 4.0, described: bool = True, coarse: float = 1.0
) -> tuple[Kit, ...]:
    """The usual shelf: alkalinity most often, magnesium seldom."""
    dkh = bool(rng.random() < 0.8)
    scale = 1.0 if dkh else 1.0 / 2.80385
    hour = float(rng.uniform(8.0, 21.5))
    low = float(rng.choice([0.02, 0.03]))
    alkalinity = Kit(
        "alkalinity", "dKH" if dkh else "meq/L",
        (0.1 if dkh else 0.05) if rng.random() < 0.7 else (0.3 if dkh else 0.1),
        0.13 * coarse * scale * float(rng.uniform(0.8, 1.2)), 0.09 * coarse * scale,
        "drop count", every=every, hour=hour, described=described,
    )  # fmt: skip
    others = (
        Kit("calcium", "mg/L", 5.0, 7.0 * coarse, 5.0, "titration", every=every * 2.0),
        Kit("magnesium", "mg/L", 15.0, 20.0 * coarse, 14.0, "titration", every=every * 5.0),
        Kit("nitrate", "mg/L", 0.5, 0.4, 0.3, "colour disc", fraction=0.08, high=100.0, low=0.5,
            every=every * 1.75),
        Kit("phosphate", "mg/L", 0.01, 0.012, 0.008, "photometer", fraction=0.05, low=low,
            every=every * 1.75),
        Kit("salinity", "PSU", 0.1, 0.2, 0.2, "refractometer", every=every * 1.75, lot_days=900.0,
            lots_named=False),
    )  # fmt: skip
    rest = tuple(
        replace(kit, hour=hour + 0.3, described=described, name=kit.name if described else "")
        for kit in others
    )
    return (replace(alkalinity, name=alkalinity.name if described else ""), *rest)


def two_part(
    rng: Rng, p: Physics, believed: float, *, levels: float = 0.0, wear: bool = False
) -> tuple[Bottle, ...]:
    """Carbonate and calcium on two pumps, set about right by the keeper's belief."""
    hours = None
    if rng.random() < 0.45:
        hours = (22, 6) if rng.random() < 0.6 else (8, 20)
    stroke = float(rng.choice([0.25, 0.5, 1.0]))
    soda = rng.random() < 0.35
    salt, grams = ("Na2CO3", 50.0) if soda else ("NaHCO3", 80.0)
    need = p.use * p.volume * float(rng.normal(1.0, 0.08))
    first = need / (PER_GRAM[salt][ALK] * grams * 1e-3)
    second = need * CALCIUM_PER_MEQ / (PER_GRAM["CaCl2.2H2O"][CA] * 70.0 * 1e-3)
    rounding = 1.0 if first > 15.0 else 0.2
    bottles = []
    for name, what, strong, daily in (
        ("carbonate solution", salt, grams, first),
        ("calcium solution", "CaCl2.2H2O", 70.0, second),
    ):
        bottles.append(
            Bottle(
                name=name, salt=what, grams_per_litre=strong,
                daily=round(round(daily / rounding) * rounding, 2), hours=hours,
                stroke_hours=stroke, strength=float(rng.normal(1.0, 0.03)),
                pump=float(rng.normal(1.0, 0.04)),
                wear=float(rng.uniform(0.0, 0.0003)) if wear else 0.0,
                container=float(np.ceil(daily * 30.0 / 500.0) * 500.0), level_every=levels,
            )
        )  # fmt: skip
    return tuple(bottles)


def mix(rng: Rng, p: Physics) -> SaltMix:
    label = {
        "alkalinity": round(p.reference_alkalinity + float(rng.uniform(-0.1, 0.4)), 2),
        "calcium": float(round(p.reference_calcium + float(rng.uniform(-15.0, 20.0)))),
        "magnesium": float(round(float(rng.uniform(1280.0, 1380.0)), -1)),
    }
    truth = {name: float(rng.normal(1.0, 0.02)) for name in label}
    return SaltMix(label=label, true_factor=truth, batch=0.02)


def base(family: str, seed: int, **over: object) -> tuple[Rng, Scenario]:
    """An ordinary two-part reef; ``over`` holds what the family fixes beforehand."""
    rng = _rng(family, seed)
    days = int(over.pop("days", 425))  # type: ignore[call-overload]
    volume = float(over.pop("volume", rng.uniform(150.0, 600.0)))  # type: ignore[arg-type]
    use = float(over.pop("use", rng.uniform(0.15, 0.7)))  # type: ignore[arg-type]
    steps = over.pop("steps", None)
    if steps is None:
        steps = use_steps(rng, days)
    decline = over.pop("decline", None)
    p = physics(rng, days, volume, use, steps=steps, decline=decline)  # type: ignore[arg-type]
    error = float(over.pop("belief", rng.normal(1.0, 0.07)))  # type: ignore[arg-type]
    believed = float(round(volume * error, -1 if volume > 120 else 0))
    every = float(over.pop("every", rng.choice([3.0, 4.0, 7.0])))  # type: ignore[arg-type]
    described = bool(over.pop("described", True))
    n = 0.07
    scenario = Scenario(
        family=family, seed=seed, name=f"{family} {seed}", days=days, physics=p,
        start=str(np.datetime64("2022-03-01") + int(rng.integers(0, 700))),
        timezone=str(rng.choice(["Europe/Lisbon", "Europe/Vienna", "UTC", "America/Chicago"])),
        start_at={
            "alkalinity": p.reference_alkalinity * float(rng.normal(1.0, 0.03)),
            "calcium": p.reference_calcium * float(rng.normal(1.0, 0.02)),
            "magnesium": float(rng.uniform(1250.0, 1380.0)),
            "potassium": 400.0, "strontium": 8.0,
            "nitrate": float(rng.uniform(2.0, 15.0)), "phosphate": float(rng.uniform(0.03, 0.12)),
            "ammonia": 0.01, "salinity": float(rng.normal(35.0, 0.4)),
        },
        believed_volume=believed, volume_sd=float(round(believed * 0.1)),
        kits=kits(rng, every=every, described=described),
        bottles=two_part(rng, p, believed), mix=mix(rng, p),
        changes=Changes(
            every=float(rng.choice([7.0, 7.0, 14.0])), litres=float(round(0.1 * believed)),
            percent=bool(rng.random() < 0.5), by_belief=bool(rng.random() < 0.5),
        ),
        feed=feed_for(p, rng, n), feed_n=n, use_steps=tuple(steps),  # type: ignore[arg-type]
    )  # fmt: skip
    return rng, replace(scenario, **over)  # type: ignore[arg-type]


def use_steps(rng: Rng, days: int, *, most: int = 2) -> tuple[tuple[float, float], ...]:
    """Sudden changes of use: corals lost or new ones put in."""
    chosen = []
    for _ in range(int(rng.integers(0, most + 1))):
        size = float(rng.uniform(0.3, 0.6))
        factor = 1.0 - size if rng.random() < 0.5 else 1.0 + size
        chosen.append((float(rng.uniform(0.15, 0.95)) * days, factor))
    return tuple(sorted(chosen))


# ---- the families -------------------------------------------------------------------------------


def two_part_steady(seed: int) -> Case:
    _, s = base("two_part_steady", seed, steps=())
    return simulate(s)


def two_part_steps(seed: int) -> Case:
    rng = _rng("two_part_steps", seed + 1000)
    steps = (
        (float(rng.uniform(120, 230)), float(rng.choice([0.5, 0.6, 1.4, 1.5]))),
        (float(rng.uniform(260, 400)), float(rng.choice([0.45, 0.65, 1.35, 1.6]))),
    )
    _, s = base("two_part_steps", seed, steps=steps)
    return simulate(s)


def daily_tests(seed: int) -> Case:
    rng, s = base("daily_tests", seed, every=1.0, days=330, volume=400.0)
    kits_ = tuple(
        replace(kit, every=every, jitter=0.0 if every == 1.0 else 0.25)
        for kit, every in zip(s.kits, (1.0, 3.0, 10.0, 4.0, 4.0, 4.0), strict=True)
    )
    return simulate(replace(s, kits=kits_, feed_logged="daily" if rng.random() < 0.5 else "none"))


def nano(seed: int) -> Case:
    """Sixty litres, weekly changes of a seventh, topped off by hand, doses by hand."""
    _, s = base("nano", seed, volume=60.0, use=0.2, every=3.0)
    changes = Changes(every=7.0, litres=8.0)
    return simulate(replace(s, changes=changes, hand_top_off=1.0))


def sparse(seed: int) -> Case:
    """A test a fortnight."""
    _, s = base("sparse", seed, every=14.0, retune_every=30.0)
    return simulate(replace(s, kits=tuple(replace(kit, every=14.0) for kit in s.kits)))


def changes_only(seed: int) -> Case:
    """No dosing: the mix brings what little is used."""
    rng, s = base("changes_only", seed, use=0.012, every=7.0, steps=())
    plan = Changes(every=7.0, litres=float(round(0.12 * s.believed_volume)), measured=0.3)
    p = replace(s.physics, use=float(rng.uniform(0.004, 0.016)))
    label = s.mix.label | {
        "alkalinity": round(p.reference_alkalinity + float(rng.uniform(0.2, 0.5)), 2)
    }
    mix_ = replace(s.mix, label=label)
    return simulate(replace(s, bottles=(), physics=p, changes=plan, mix=mix_, corrects=False))


def limewater(seed: int) -> Case:
    """Limewater as top-off, with a little carbonate beside it."""
    rng, s = base("limewater", seed, use=0.3)
    lime = s.physics.evaporation * 1.2 * 26.993 / s.physics.volume
    p = replace(s.physics, use=lime * float(rng.uniform(0.95, 1.25)))
    rest = max(p.use - lime, 0.01) * p.volume / (11.904 * 0.08)
    bottles = (replace(s.bottles[0], salt="NaHCO3", grams_per_litre=80.0, daily=round(rest, 1)),)
    return simulate(
        replace(s, physics=p, bottles=bottles, limewater=1.2, top_off_logged="level",
                lime_strength=float(rng.uniform(0.9, 1.02)))
    )  # fmt: skip


def pump_trouble(seed: int) -> Case:
    """A line that splits, tubes that wear, and weekly marks on the bottles of half of them."""
    rng, s = base("pump_trouble", seed, use=float(_rng("pt", seed).uniform(0.3, 0.8)), every=3.0)
    mishaps = tuple(
        Mishap("pump stopped", float(day), float(rng.integers(2)), float(rng.uniform(2.0, 10.0)))
        for day in (rng.uniform(120, 230), rng.uniform(260, 390))
    )
    levels = 7.0 if rng.random() < 0.5 else 0.0
    bottles = two_part(rng, s.physics, s.believed_volume, levels=levels, wear=True)
    return simulate(replace(s, bottles=bottles, mishaps=mishaps))


def reagent_spells(seed: int) -> Case:
    _, s = base("reagent_spells", seed, every=4.0)
    return simulate(replace(s, spells=3))


def forgotten(seed: int) -> Case:
    """Changes and doses that were never written down, and a precipitation."""
    rng, s = base("forgotten", seed, every=4.0)
    days = sorted(float(day) for day in rng.uniform(110.0, 400.0, 3))
    dose = str(rng.choice(["forgotten dose", "double dose"]))
    last = str(rng.choice(["precipitation", "unlogged change"]))
    mishaps = (
        Mishap("unlogged change", days[0], float(rng.uniform(0.2, 0.45))),
        Mishap(dose, days[1], float(rng.uniform(0.3, 0.6))),
        Mishap(last, days[2], float(rng.uniform(0.3, 0.6))),
    )
    # a change is seen only where the mix differs from the tank
    label = s.mix.label | {"alkalinity": 3.9, "calcium": 465.0, "magnesium": 1400.0}
    richer = replace(s.mix, label=label) if rng.random() < 0.6 else s.mix
    return simulate(replace(s, mix=richer, mishaps=mishaps))


def volume_wrong(seed: int) -> Case:
    """A belief fifteen per cent off, and a dozen known single doses."""
    rng = _rng("vw", seed)
    belief = 1.15 if rng.random() < 0.5 else 0.87
    rng, s = base("volume_wrong", seed, belief=belief, every=3.0)
    grams = 0.35 * s.believed_volume / 11.904
    sudden = tuple(
        (float(day), "NaHCO3", round(grams * float(rng.uniform(0.7, 1.3)), 1))
        for day in np.linspace(30, 400, 12) + rng.uniform(-8, 8, 12)
    )
    return simulate(replace(s, sudden=sudden, volume_sd=float(round(0.15 * s.believed_volume))))


def undescribed(seed: int) -> Case:
    """Nothing said about the kits, and a volume without a spread."""
    _, s = base("undescribed", seed, described=False, volume_sd=None)
    return simulate(s)


def young_tank(seed: int) -> Case:
    """Nitrate rises for months; little calcifies."""
    rng, s = base("young_tank", seed, use=0.05, every=5.0, steps=())
    p = replace(
        s.physics, use=0.04, denitrify_max=0.12, algae=0.05, colony=colony(rng, s.days, growth=1.2),
        phosphate_max=0.008,
    )  # fmt: skip
    start = s.start_at | {"nitrate": 1.0, "phosphate": 0.02}
    feed = 0.45 * p.volume / 4.42664 / 1000.0 / s.feed_n / (0.75 * 0.7)
    plan = Changes(every=14.0, litres=float(round(0.1 * s.believed_volume)))
    return simulate(replace(s, physics=p, bottles=(), start_at=start, feed=feed, changes=plan))


def continuous_change(seed: int) -> Case:
    """A large tank with one per cent of new water a day."""
    rng, s = base("continuous_change", seed, volume=float(_rng("cc", seed).uniform(800, 1500)))
    plan = Changes(every=0.0, continuous=float(round(0.01 * s.believed_volume)))
    return simulate(
        replace(s, changes=plan, feed_logged="weekly" if rng.random() < 0.5 else "none")
    )


def hand_top_off(seed: int) -> Case:
    _, s = base("hand_top_off", seed, every=3.0, volume=float(_rng("ht", seed).uniform(90, 250)))
    return simulate(replace(s, hand_top_off=2.0))


def media_and_harvest(seed: int) -> Case:
    """Ferric media every six weeks and algae cut every fortnight."""
    rng, s = base("media_and_harvest", seed, every=4.0)
    p = replace(s.physics, phosphate_max=0.006, algae=s.physics.algae * 1.5)
    return simulate(
        replace(s, physics=p, media_every=42.0, media_grams=float(round(0.3 * p.volume)),
                harvest_every=14.0, feed_logged="weekly", feed_known=bool(rng.random() < 0.5))
    )  # fmt: skip


def slow_decline(seed: int) -> Case:
    """Weeks in which the reef takes less and less."""
    rng = _rng("sd", seed)
    decline = (
        float(rng.uniform(180, 280)),
        float(rng.uniform(30, 80)),
        float(rng.uniform(0.4, 0.7)),
    )
    _, s = base("slow_decline", seed, steps=(), decline=decline)
    return simulate(s)


def top_off_trouble(seed: int) -> Case:
    """The float valve sticks, twice."""
    rng, s = base("top_off_trouble", seed, every=4.0)
    mishaps = tuple(
        Mishap("top-off stuck", float(day), float(rng.uniform(0.05, 0.12)))
        for day in (rng.uniform(120, 230), rng.uniform(260, 390))
    )
    return simulate(replace(s, mishaps=mishaps, top_off_logged="level"))


def three_tests(seed: int) -> Case:
    """A new book with three tests of alkalinity and one of the others."""
    _, s = base("three_tests", seed, days=40, steps=())
    every = (10.0, 25.0, 60.0, 25.0, 25.0, 25.0)
    few = tuple(
        replace(kit, every=days, skip=0.0, replicate=0.0, retest=0.0)
        for kit, days in zip(s.kits, every, strict=True)
    )
    return simulate(replace(s, kits=few, moments=3, first_moment=0.75, gross=0.0))


def ten_years(seed: int) -> Case:
    """Long, for speed: about six thousand facts."""
    rng, s = base("ten_years", seed, days=3652, every=4.0, use=0.35, steps=())
    steps = use_steps(rng, 3652, most=6)
    p = replace(s.physics, colony=colony(rng, 3652, growth=0.03, steps=steps))
    s = replace(s, physics=p, use_steps=steps)
    return simulate(replace(s, step_minutes=60, spells=6, moments=8, first_moment=0.8))


FAMILIES: dict[str, Callable[[int], Case]] = {
    each.__name__: each
    for each in (
        two_part_steady, two_part_steps, daily_tests, nano, sparse, changes_only, limewater,
        pump_trouble, reagent_spells, forgotten, volume_wrong, undescribed, young_tank,
        continuous_change, hand_top_off, media_and_harvest, slow_decline, top_off_trouble,
        three_tests, ten_years,
    )
}  # fmt: skip
#: those that a full evaluation runs; ten years are for the clock
JUDGED = tuple(name for name in FAMILIES if name != "ten_years")
