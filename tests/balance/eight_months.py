"""An invented reef with eight and a half months of every kind of fact: it shows that code runs."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

from brinebook.measure import Measure
from brinebook.system import Additive, Method, Mix, System
from brinebook.timeline import Fact

START = datetime(2024, 2, 1, 9, tzinfo=UTC)
DAYS = 260
REEF = System(
    name="a reef",
    timezone="Europe/Lisbon",
    net_volume=Measure(300.0, 25.0, "L"),
    bands={"alkalinity": (2.6, 3.2)},
    targets={"salinity": 35.0},
    additives=(
        Additive("carbonate", salt="NaHCO3", grams_per_litre=80.0),
        Additive("lime", per_ml={"alkalinity": 0.04, "calcium": 0.8}),
    ),
    mixes=(Mix("salt", composition={"alkalinity": 2.9, "calcium": 420.0}),),
    methods=(Method("drops", "alkalinity", resolution=0.02, repeatability=0.05, trueness=0.02),),
)


def fact(day: float, kind: str, what: str, value: str = "", unit: str = "", **detail: str) -> Fact:
    when = START + timedelta(days=round(day, 4))
    identity = f"{kind}.{what}.{day:.4f}.{value}"
    return Fact(identity, when, kind, what, value, unit, detail)


def normal_book() -> list[Fact]:
    """Eight and a half invented months: tests, dosing, doses, changes, meals, marks, top-offs."""
    draw = random.Random(7)
    facts = [fact(0.0, "dosing", "carbonate", "60", "mL/day", hours="22-06")]
    for day in range(0, DAYS, 2):
        level = 2.9 + 0.05 * draw.gauss(0, 1)
        facts.append(fact(day, "test", "alkalinity", f"{level:.2f}", "meq/L", method="drops"))
    for day in range(1, DAYS, 5):
        facts.append(fact(day, "test", "nitrate", f"{8 + draw.gauss(0, 1):.1f}", "mg/L"))
        facts.append(fact(day + 0.2, "feed", "flakes", "2", "g"))
    for day in range(3, DAYS, 14):
        facts.append(fact(day, "water_change", "salt", "25", "L"))
        facts.append(fact(day + 0.4, "level", "carbonate", f"{2000 - 5 * (day % 70)}", "mL"))
    for day in range(20, DAYS, 9):
        facts.append(fact(day, "top_off", "", f"{4 + draw.random():.1f}", "L"))
    facts.append(fact(131.3, "dosing", "carbonate", "70", "mL/day", hours="22-06"))
    return facts


BOOK = normal_book()
AT = START + timedelta(days=DAYS + 0.5)
