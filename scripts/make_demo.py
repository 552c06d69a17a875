"""Make the demo's history.csv anew: fourteen invented months, the same on every run.

The story is in docs/demo.md. The simulator of the tests lives it; what its keepers wrote down goes
to src/brinebook/demo/history.csv, and nothing of the truth does.

    python -m scripts.make_demo
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tests.simulated.case import Case, write_history
from tests.simulated.draw import colony
from tests.simulated.keeper import simulate
from tests.simulated.scenario import (
    Bottle,
    Changes,
    Kit,
    Mishap,
    Reference,
    SaltMix,
    Scenario,
)
from tests.simulated.tank import Physics

HISTORY = Path(__file__).resolve().parent.parent / "src" / "brinebook" / "demo" / "history.csv"
SEED = 46
DAYS = 425
NEW_CORALS = 403.0
STEP = 1.25
KEEPERS = ("Jorrit", "Mieke")

Note = tuple[float, str, str, dict[str, str]]


def make() -> Case:
    """The whole story, with its truth."""
    return simulate(scenario())


def scenario() -> Scenario:
    """The shed, its reef and the ways of the two who keep it."""
    return Scenario(
        family="demo", seed=SEED, name="demo", start="2023-12-04", timezone="Europe/Amsterdam",
        days=DAYS, local_times=True, physics=_physics(), believed_volume=480.0, volume_sd=40.0,
        start_at={
            "alkalinity": 2.88, "calcium": 424.0, "magnesium": 1318.0, "potassium": 402.0,
            "strontium": 8.0, "nitrate": 9.0, "phosphate": 0.07, "ammonia": 0.01, "salinity": 34.8,
        },
        kits=_kits(), bottles=_bottles(), references=(_standard(),),
        mix=SaltMix(
            name="shed mix",
            label={"alkalinity": 3.246, "calcium": 440.0, "magnesium": 1350.0},
            true_factor={"alkalinity": 1.02, "calcium": 0.99, "magnesium": 1.01}, batch=0.02,
        ),
        changes=Changes(every=14.0, litres=50.0, measured=0.2),
        feed=2.15, feed_n=0.045, feed_p=0.005, food="flakes and frozen",
        feed_logged="weekly", alga="chaetomorpha",
        top_off_logged="level", media_every=49.0, media_grams=120.0,
        harvest_every=16.0, harvest_grams=220.0, gross=0.0, corrects=False, retune_until=385.0,
        sudden=(
            (118.0, "MgCl2.6H2O", 160.0), (141.0, "NaHCO3", 16.0), (248.0, "MgCl2.6H2O", 180.0),
            (262.0, "NaHCO3", 14.0), (340.0, "MgCl2.6H2O", 160.0),
        ),
        slips=((96.0, "alkalinity", 1.1), (243.0, "calcium", -90.0), (331.0, "alkalinity", -0.9)),
        mishaps=(Mishap("unlogged change", 152.45, 0.4),),
        use_steps=((NEW_CORALS, STEP),), holes=((225.0, 12.0),), moments=2, first_moment=0.9,
        notes=_notes(),
    )  # fmt: skip


def _physics() -> Physics:
    rng = np.random.default_rng(SEED)
    air = np.exp(0.1 * rng.normal(size=DAYS + 9))
    return Physics(
        volume=508.0, use=0.30, reference_alkalinity=2.85, reference_calcium=425.0,
        saturation_power=0.9, colony=colony(rng, DAYS, steps=((NEW_CORALS, STEP),), growth=0.22),
        ratio=1.97, temperature=25.2, temperature_swing=0.9, pco2=560.0, pco2_swing=0.12,
        evaporation=5.2, evaporation_swing=0.25, evaporation_noise=tuple(float(a) for a in air),
        skimmate=0.2, creep=0.00004, denitrify_max=0.34, denitrify_half=5.0, algae=0.12,
        algae_np=28.0, phosphate_max=0.018, phosphate_half=0.05, rock=1.4, rock_rate=0.12,
        media_rate=0.5, media_capacity=9.0,
    )  # fmt: skip


def _kits() -> tuple[Kit, ...]:
    return (
        Kit("alkalinity", "dKH", 0.1, 0.12, 0.08, "drop count", every=4.0, hour=19.5, by=KEEPERS,
            replicate=0.08),
        Kit("calcium", "mg/L", 5.0, 6.0, 4.0, "titration", every=10.0, hour=19.8, by=KEEPERS[:1]),
        Kit("magnesium", "mg/L", 15.0, 18.0, 12.0, "titration", every=30.0, hour=20.0,
            by=KEEPERS[:1]),
        Kit("nitrate", "mg/L", 0.5, 0.0, 0.3, "colour disc", fraction=0.08, low=0.5, high=100.0,
            every=8.0, hour=20.0),
        Kit("phosphate", "mg/L", 0.01, 0.012, 0.008, "pocket photometer", low=0.02, every=8.0,
            hour=20.2, last_day=411.0),
        Kit("salinity", "PSU", 0.5, 0.2, 0.2, "refractometer", every=8.0, hour=19.2,
            lots_named=False, lot_days=900.0),
        Kit("temperature", "C", 0.1, 0.1, 0.2, "glass thermometer", every=9.0, hour=8.0,
            lots_named=False, lot_days=900.0),
        Kit("ph", "NBS", 0.01, 0.03, 0.05, "pH pen", every=15.0, hour=8.2, lots_named=False,
            lot_days=900.0),
    )  # fmt: skip


def _bottles() -> tuple[Bottle, ...]:
    common = {"hours": (22, 6), "stroke_hours": 0.5, "container": 5000.0, "level_every": 14.0}
    return (
        Bottle("carbonate solution", "NaHCO3", 80.0, daily=152.0, strength=1.02, pump=0.965,
               **common),  # type: ignore[arg-type]
        Bottle("calcium solution", "CaCl2.2H2O", 70.0, daily=152.0, strength=0.98, pump=1.02,
               **common),  # type: ignore[arg-type]
    )  # fmt: skip


def _standard() -> Reference:
    return Reference("kitchen standard", "drop count", "alkalinity", 2.85322, 0.0178)


def _notes() -> tuple[Note, ...]:
    told: list[Note] = [
        (0.35, "note", "", {"text": "Invented data: this reef and all its facts are made up."}),
        (0.5, "event", "start_of_book", {"text": "the reef is three years old"}),
        (96.9, "note", "", {"text": "new drop bottle next time, this one drips"}),
        (151.9, "event", "away", {"text": "Jorrit is off for a week, Mieke minds the shed"}),
        (224.9, "event", "away", {"text": "both away, the feeder feeds"}),
        (237.8, "event", "back", {"text": "all well, glass green"}),
        (NEW_CORALS + 0.65, "event", "livestock", {"value": "14", "unit": "pieces",
         "text": "stony coral pieces from the neighbour's tank"}),
        (383.8, "event", "heating", {"text": "stove lit every evening from now on"}),
        (408.5, "event", "power_cut", {"value": "40", "unit": "min", "text": "all started again"}),
    ]  # fmt: skip
    chores = (
        ("rinse the filter socks", 6.45, 14), ("clear the skimmer neck", 3.4, 28),
        ("brush the dosing tips", 20.45, 42), ("soak the return pump", 75.5, 120),
    )  # fmt: skip
    for chore, first, every in chores:
        days = np.arange(first, DAYS - 1, every)
        told += [(float(day), "done", chore, {}) for day in days if not 225 <= day < 237]
    carbon = {"value": "150", "unit": "g", "flow": "80"}
    told += [(float(day), "media", "carbon", carbon) for day in np.arange(12.5, DAYS - 10, 56)]
    return tuple(told)


def main() -> None:
    case = make()
    write_history(HISTORY, case.history)
    print(f"{len(case.history)} facts in {HISTORY.relative_to(HISTORY.parents[3])}")


if __name__ == "__main__":
    main()
