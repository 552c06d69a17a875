"""Named families of systems, each a function from a seed to a case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.simulated.case import Case
from tests.simulated.draw import base, colony, generator, two_part, use_steps
from tests.simulated.keeper import simulate
from tests.simulated.scenario import Changes, Kit, Mishap, Reference, Scenario


def _lived(scenario: Scenario) -> Case:
    """The case, with a fate of the family's own: else all families of a seed had the same kits."""
    return simulate(replace(scenario, fate=tuple(scenario.family.encode())))


# ---- the families -------------------------------------------------------------------------------


def two_part_steady(seed: int) -> Case:
    _, s = base("two_part_steady", seed, steps=())
    return _lived(s)


def two_part_steps(seed: int) -> Case:
    rng = generator("two_part_steps", seed + 1000)
    steps = (
        (float(rng.uniform(120, 230)), float(rng.choice([0.5, 0.6, 1.4, 1.5]))),
        (float(rng.uniform(260, 400)), float(rng.choice([0.45, 0.65, 1.35, 1.6]))),
    )
    _, s = base("two_part_steps", seed, steps=steps)
    return _lived(s)


def daily_tests(seed: int) -> Case:
    rng, s = base("daily_tests", seed, every=1.0, days=330, volume=400.0)
    kits_ = tuple(
        replace(kit, every=every, jitter=0.0 if every == 1.0 else 0.25)
        for kit, every in zip(s.kits, (1.0, 3.0, 10.0, 4.0, 4.0, 4.0), strict=True)
    )
    return _lived(replace(s, kits=kits_, feed_logged="daily" if rng.random() < 0.5 else "none"))


def nano(seed: int) -> Case:
    """Sixty litres, weekly changes of a seventh, topped off by hand, doses by hand."""
    _, s = base("nano", seed, volume=60.0, use=0.2, every=3.0)
    changes = Changes(every=7.0, litres=8.0)
    return _lived(replace(s, changes=changes, hand_top_off=1.0))


def sparse(seed: int) -> Case:
    """A test a fortnight."""
    _, s = base("sparse", seed, every=14.0)
    kits = tuple(replace(kit, every=14.0) for kit in s.kits)
    return _lived(replace(s, kits=kits, retune_every=30.0))


def changes_only(seed: int) -> Case:
    """No dosing: the mix brings what little is used."""
    rng, s = base("changes_only", seed, use=0.012, every=7.0, steps=())
    plan = Changes(every=7.0, litres=float(round(0.12 * s.believed_volume)), measured=0.3)
    p = replace(s.physics, use=float(rng.uniform(0.004, 0.016)))
    label = s.mix.label | {
        "alkalinity": round(p.reference_alkalinity + float(rng.uniform(0.2, 0.5)), 2)
    }
    mix_ = replace(s.mix, label=label)
    return _lived(replace(s, bottles=(), physics=p, changes=plan, mix=mix_, corrects=False))


def limewater(seed: int) -> Case:
    """Limewater as top-off, with a little carbonate beside it."""
    rng, s = base("limewater", seed, use=0.3)
    lime = s.physics.evaporation * 1.2 * 26.993 / s.physics.volume
    p = replace(s.physics, use=lime * float(rng.uniform(0.95, 1.25)))
    rest = max(p.use - lime, 0.01) * p.volume / (11.904 * 0.08)
    bottles = (replace(s.bottles[0], salt="NaHCO3", grams_per_litre=80.0, daily=round(rest, 1)),)
    return _lived(
        replace(s, physics=p, bottles=bottles, limewater=1.2, top_off_logged="level",
                lime_strength=float(rng.uniform(0.9, 1.02)))
    )  # fmt: skip


def pump_trouble(seed: int) -> Case:
    """A line that splits, tubes that wear, and weekly marks on the bottles of half of them."""
    rng, s = base(
        "pump_trouble", seed, use=float(generator("pt", seed).uniform(0.3, 0.8)), every=3.0
    )
    longest = min(10.0, 1.6 / s.physics.use)  # by then the keeper looks under the stand
    mishaps = tuple(
        Mishap("pump stopped", float(day), float(rng.integers(2)), float(rng.uniform(2.0, longest)))
        for day in (rng.uniform(120, 230), rng.uniform(260, 390))
    )
    levels = 7.0 if rng.random() < 0.5 else 0.0
    bottles = two_part(rng, s.physics, s.believed_volume, levels=levels, wear=True)
    return _lived(replace(s, bottles=bottles, mishaps=mishaps))


def reagent_spells(seed: int) -> Case:
    _, s = base("reagent_spells", seed, every=4.0)
    return _lived(replace(s, spells=3))


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
    return _lived(replace(s, mix=richer, mishaps=mishaps))


def volume_wrong(seed: int) -> Case:
    """A belief fifteen per cent off, and a dozen known single doses."""
    rng = generator("vw", seed)
    belief = 1.15 if rng.random() < 0.5 else 0.87
    rng, s = base("volume_wrong", seed, belief=belief, every=3.0)
    grams = 0.35 * s.believed_volume / 11.904
    sudden = tuple(
        (float(day), "NaHCO3", round(grams * float(rng.uniform(0.7, 1.3)), 1))
        for day in np.linspace(30, 400, 12) + rng.uniform(-8, 8, 12)
    )
    return _lived(replace(s, sudden=sudden, volume_sd=float(round(0.15 * s.believed_volume))))


def undescribed(seed: int) -> Case:
    """Nothing said about the kits, and a volume without a spread."""
    _, s = base("undescribed", seed, described=False)
    return _lived(replace(s, volume_sd=None))


def young_tank(seed: int) -> Case:
    """Nitrate rises for months; little calcifies."""
    rng, s = base("young_tank", seed, use=0.05, every=5.0, steps=())
    p = replace(
        s.physics, use=0.04, denitrify_max=0.12, algae=0.05, colony=colony(rng, s.days, growth=1.2),
        phosphate_max=0.03,
    )  # fmt: skip
    start = s.start_at | {"nitrate": 1.0, "phosphate": 0.02}
    feed = 0.45 * p.volume / 4.42664 / 1000.0 / s.feed_n / (0.75 * 0.7)
    plan = Changes(every=14.0, litres=float(round(0.1 * s.believed_volume)))
    return _lived(replace(s, physics=p, bottles=(), start_at=start, feed=feed, changes=plan))


def continuous_change(seed: int) -> Case:
    """A large tank with one per cent of new water a day."""
    rng, s = base("continuous_change", seed, volume=float(generator("cc", seed).uniform(800, 1500)))
    plan = Changes(every=0.0, continuous=float(round(0.01 * s.believed_volume)))
    return _lived(replace(s, changes=plan, feed_logged="weekly" if rng.random() < 0.5 else "none"))


def hand_top_off(seed: int) -> Case:
    _, s = base(
        "hand_top_off", seed, every=3.0, volume=float(generator("ht", seed).uniform(90, 250))
    )
    return _lived(replace(s, hand_top_off=2.0))


def media_and_harvest(seed: int) -> Case:
    """Ferric media every six weeks and algae cut every fortnight."""
    rng, s = base("media_and_harvest", seed, every=4.0)
    p = replace(s.physics, phosphate_max=0.006, algae=s.physics.algae * 1.5)
    return _lived(
        replace(s, physics=p, media_every=42.0, media_grams=float(round(0.3 * p.volume)),
                harvest_every=14.0, feed_logged="weekly", feed_known=bool(rng.random() < 0.5))
    )  # fmt: skip


def slow_decline(seed: int) -> Case:
    """Weeks in which the reef takes less and less."""
    rng = generator("sd", seed)
    decline = (
        float(rng.uniform(180, 280)),
        float(rng.uniform(30, 80)),
        float(rng.uniform(0.4, 0.7)),
    )
    _, s = base("slow_decline", seed, steps=(), decline=decline)
    return _lived(s)


def top_off_trouble(seed: int) -> Case:
    """The float valve sticks, twice."""
    rng, s = base("top_off_trouble", seed, every=4.0)
    mishaps = tuple(
        Mishap("top-off stuck", float(day), float(rng.uniform(0.05, 0.12)))
        for day in (rng.uniform(120, 230), rng.uniform(260, 390))
    )
    return _lived(replace(s, mishaps=mishaps, top_off_logged="level"))


def three_tests(seed: int) -> Case:
    """A new book with three tests of alkalinity and one of the others."""
    _, s = base("three_tests", seed, days=40, steps=())
    every = (10.0, 25.0, 60.0, 25.0, 25.0, 25.0)
    few = tuple(
        replace(kit, every=days, skip=0.0, replicate=0.0, retest=0.0)
        for kit, days in zip(s.kits, every, strict=True)
    )
    return _lived(replace(s, kits=few, moments=3, first_moment=0.75, gross=0.0))


def two_methods(seed: int) -> Case:
    """Alkalinity by two kits, one of them tried on a standard; two people test."""
    _, s = base("two_methods", seed, every=5.0)
    second = Kit(
        "alkalinity", "dKH", 0.1, 0.2, 0.25, "colour strip", every=6.0, hour=20.0, lots_named=True
    )
    kits = (replace(s.kits[0], name="drop count", by=("first", "second")), second, *s.kits[1:])
    standard = Reference("own standard", "drop count", "alkalinity", 2.853, 0.02)
    return _lived(replace(s, kits=kits, references=(standard,)))


def gone_away(seed: int) -> Case:
    """Three or four weeks without a test, twice, and a potassium kit now and then."""
    rng, s = base("gone_away", seed, every=4.0)
    holes = ((float(rng.uniform(120, 200)), 24.0), (float(rng.uniform(280, 360)), 20.0))
    potassium = Kit("potassium", "mg/L", 5.0, 8.0, 8.0, "titration", every=30.0, hour=20.0)
    bottles = tuple(replace(bottle, per_ml=True) for bottle in s.bottles)
    return _lived(replace(s, holes=holes, kits=(*s.kits, potassium), bottles=bottles))


def ten_years(seed: int) -> Case:
    """Long, for speed: about six thousand facts."""
    rng, s = base("ten_years", seed, days=3652, every=4.0, use=0.35, steps=())
    steps = use_steps(rng, 3652, most=6)
    p = replace(s.physics, colony=colony(rng, 3652, growth=0.03, steps=steps))
    s = replace(s, physics=p, use_steps=steps)
    return _lived(replace(s, step_minutes=60, spells=6, moments=8, first_moment=0.8))


FAMILIES: dict[str, Callable[[int], Case]] = {
    each.__name__: each
    for each in (
        two_part_steady, two_part_steps, daily_tests, nano, sparse, changes_only, limewater,
        pump_trouble, reagent_spells, forgotten, volume_wrong, undescribed, young_tank,
        continuous_change, hand_top_off, media_and_harvest, slow_decline, top_off_trouble,
        two_methods, gone_away, three_tests, ten_years,
    )
}  # fmt: skip
#: those that a full evaluation runs; ten years are for the clock
JUDGED = tuple(name for name in FAMILIES if name != "ten_years")
