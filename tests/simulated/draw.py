"""Draw an ordinary reef and its keeper; the families then change what they are about."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.simulated.chemistry import ALK, CA, CALCIUM_PER_MEQ, DKH, PER_GRAM
from tests.simulated.scenario import Bottle, Changes, Kit, SaltMix, Scenario
from tests.simulated.tank import Physics

Rng = np.random.Generator


def generator(family: str, seed: int) -> Rng:
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
        decay=float(rng.uniform(0.5, 1.3)),
    )  # fmt: skip


def feed_for(p: Physics, rng: Rng, n: float) -> float:
    """Grams of food a day that suit the tank's sinks, give or take."""
    wanted = (p.denitrify_max + p.algae) * float(rng.uniform(0.7, 1.15)) * p.volume  # mg NO3
    return wanted / 4.42664 / 1000.0 / n / ((1.0 - p.kept) * (1.0 - p.skimmed))


def kits(rng: Rng, *, every: float = 4.0, described: bool = True) -> tuple[Kit, ...]:
    """The usual shelf: alkalinity most often, magnesium seldom."""
    hour = float(rng.uniform(8.0, 21.5))
    part = round(float(rng.uniform(0.07, 0.12)), 2)
    shelf = (
        alkalinity_kit(rng, every),
        Kit("calcium", "mg/L", float(rng.choice([2.0, 5.0, 10.0])), float(rng.integers(5, 10)),
            4.5, "titration", every=every * 2.0),
        Kit("magnesium", "mg/L", float(rng.choice([10.0, 15.0, 30.0])), 20.0, 12.0, "titration",
            every=every * 5.0),
        Kit("nitrate", "mg/L", 0.5, 0.0, 0.25, "colour disc", fraction=part,
            high=100.0, low=0.5, every=every * 1.75),
        phosphate_kit(rng, every),
        Kit("salinity", "PSU", float(rng.choice([0.1, 0.5])), 0.2, 0.15, "refractometer",
            every=every * 1.75, lot_days=900.0, lots_named=False),
    )  # fmt: skip
    named = described or bool(rng.random() < 0.5)
    lots = bool(rng.random() < 0.6)
    return tuple(
        replace(
            kit, hour=hour + 0.3 * (kit.quantity != "alkalinity"), described=described,
            name=kit.name if named else "", lots_named=kit.lots_named and named and lots,
        )
        for kit in shelf
    )  # fmt: skip


def alkalinity_kit(rng: Rng, every: float) -> Kit:
    """Read in the keeper's unit, fine or coarse."""
    unit = str(rng.choice(["dKH", "dKH", "dKH", "meq/L", "mg/L CaCO3"]))
    fine, coarse, scale = {
        "dKH": (0.1, 0.3, 1.0),
        "meq/L": (0.02, 0.1, 1.0 / DKH),
        "mg/L CaCO3": (2.0, 5.0, 50.043 / DKH),
    }[unit]
    return Kit(
        "alkalinity", unit, fine if rng.random() < 0.7 else coarse,
        float(f"{scale * rng.uniform(0.1, 0.16):.2g}"), float(f"{scale * 0.08:.2g}"),
        "drop count", every=every,
    )  # fmt: skip


def phosphate_kit(rng: Rng, every: float) -> Kit:
    """A photometer in mg/L, or in ug/L of phosphorus."""
    if rng.random() < 0.3:
        return Kit("phosphate", "ug/L P", 1.0, 4.0, 2.5, "photometer", low=5.0, every=every * 1.75)
    low = float(rng.choice([0.02, 0.03]))
    return Kit("phosphate", "mg/L", 0.01, 0.012, 0.008, "photometer", low=low, every=every * 1.75)


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
                stroke_hours=stroke, strength=float(rng.normal(1.0, 0.025)),
                pump=float(rng.normal(1.0, 0.035)),
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


def base(
    family: str,
    seed: int,
    *,
    days: int = 425,
    volume: float | None = None,
    use: float | None = None,
    steps: tuple[tuple[float, float], ...] | None = None,
    decline: tuple[float, float, float] | None = None,
    belief: float | None = None,
    every: float | None = None,
    described: bool = True,
) -> tuple[Rng, Scenario]:
    """An ordinary two-part reef, all that is not given drawn at random."""
    rng = generator(family, seed)
    litres = float(rng.uniform(150.0, 600.0)) if volume is None else volume
    # 0.2 to 1.5 dKH a day: from a few soft corals to a full stony reef
    meq = float(np.exp(rng.uniform(np.log(0.07), np.log(0.55)))) if use is None else use
    sudden = use_steps(rng, days) if steps is None else steps
    p = physics(rng, days, litres, meq, steps=sudden, decline=decline)
    # a keeper who says "give or take 8 %" is somewhat better than that as a rule
    stated = float(rng.choice([0.05, 0.08, 0.10]))
    error = float(rng.normal(1.0, 0.8 * stated)) if belief is None else belief
    believed = float(round(litres * error, -1 if litres > 120 else 0))
    between = float(rng.choice([3.0, 4.0, 7.0])) if every is None else every
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
        believed_volume=believed,
        volume_sd=float(round(believed * stated, 0 if believed > 100.0 else 1)),
        kits=kits(rng, every=between, described=described),
        bottles=two_part(rng, p, believed), mix=mix(rng, p),
        changes=Changes(
            every=float(rng.choice([7.0, 7.0, 14.0])), litres=float(round(0.1 * believed)),
            percent=bool(rng.random() < 0.5), by_belief=bool(rng.random() < 0.5),
        ),
        feed=feed_for(p, rng, n), feed_n=n, feed_sd=float(rng.uniform(0.08, 0.3)),
        feed_skip=float(rng.uniform(0.0, 0.06)), use_steps=sudden,
    )  # fmt: skip
    return rng, scenario


def use_steps(rng: Rng, days: int, *, most: int = 1) -> tuple[tuple[float, float], ...]:
    """Sudden changes of use: corals lost or new ones put in."""
    chosen = []
    for _ in range(int(rng.integers(0, most + 1))):
        size = float(rng.uniform(0.3, 0.6))
        factor = 1.0 - size if rng.random() < 0.5 else 1.0 + size
        chosen.append((float(rng.uniform(0.15, 0.95)) * days, factor))
    return tuple(sorted(chosen))
