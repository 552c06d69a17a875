"""Invented books for the tests of Today: made-up reefs whose story is known, told as facts.

Nothing here was measured. The water is stepped day by day with plain arithmetic, tests read it with
a small fixed unrest instead of chance, so that a book is the same on every run.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from brinebook.balance.answer import Answer, answer
from brinebook.book.description import read_description
from brinebook.book.identity import make_fact
from brinebook.system import System
from brinebook.timeline import Fact

#: A Saturday morning; London time is UTC then.
NOW = datetime(2026, 1, 17, 9, 0, tzinfo=UTC)
DKH = 2.80385
#: What a test is off by, in its own noise: looks like chance, and isn't.
UNREST = (0.3, -0.8, 0.6, 0.1, -0.4, 0.9, -0.2, -0.7, 0.4, 0.0, -0.5, 0.7)

HEAD = """\
name = "{name}"
timezone = "Europe/London"
net_volume = {{ value = "{litres} L", sd = "{spread} L" }}

[units]
alkalinity = "dKH"

[bands]
alkalinity = ["7.3 dKH", "9 dKH"]
calcium = ["390 mg/L", "460 mg/L"]
nitrate = ["1 mg/L", "25 mg/L"]
phosphate = ["0.02 mg/L", "0.12 mg/L"]
salinity = ["34 PSU", "36 PSU"]
temperature = ["24 C", "27 C"]

[limits_per_day]
alkalinity = "1 dKH"

[[additives]]
name = "carbonate solution"
recipe = {{ salt = "NaHCO3", grams_per_litre = 80 }}

[[additives]]
name = "calcium solution"
recipe = {{ salt = "CaCl2.2H2O", grams_per_litre = 70 }}

[[mixes]]
name = "barrel"
at_salinity = 35
alkalinity = "8 dKH"
calcium = "420 mg/L"
magnesium = "1300 mg/L"

[[methods]]
name = "drops"
quantity = "alkalinity"
resolution = "0.1 dKH"
repeatability = "0.1 dKH"
trueness = "0.05 dKH"

[[methods]]
name = "syringe"
quantity = "calcium"
resolution = "5 mg/L"
repeatability = "6 mg/L"
trueness = "4 mg/L"
"""

#: One standard deviation of a test, its step, unit and method.
TESTS = {
    "alkalinity": (0.1, 0.1, "dKH", "drops"),
    "calcium": (5.0, 5.0, "mg/L", "syringe"),
    "magnesium": (15.0, 10.0, "mg/L", ""),
    "nitrate": (0.6, 0.5, "mg/L", ""),
    "phosphate": (0.008, 0.01, "mg/L", ""),
    "salinity": (0.2, 0.1, "PSU", ""),
    "temperature": (0.1, 0.1, "C", ""),
    "ph": (0.02, 0.01, "NBS", ""),
    "ammonia": (0.03, 0.05, "mg/L N", ""),
    "room_temperature": (0.3, 0.5, "C", ""),
}


@dataclass
class Story:
    """A book in the making: its description, and the facts so far."""

    name: str = "An invented shelf"
    litres: float = 300.0
    spread: float = 20.0
    more: str = ""
    now: datetime = NOW
    facts: list[Fact] = field(default_factory=list)
    count: int = 0

    @property
    def system(self) -> System:
        """What system.toml says."""
        head = HEAD.format(name=self.name, litres=self.litres, spread=self.spread)
        return read_description(head + self.more).system

    def when(self, days_ago: float) -> datetime:
        """An instant so many days before now, to the second."""
        return self.now - timedelta(seconds=round(days_ago * 86400))

    def add(
        self, days_ago: float, kind: str, what: str = "", amount: str = "", **detail: str
    ) -> Fact:
        """One fact: ``add(3, "dose", "carbonate solution", "30 mL")``."""
        value, _, unit = amount.partition(" ")
        fact = make_fact(
            self.when(days_ago), kind, what=what, value=value, unit=unit, detail=detail
        )
        self.facts.append(fact)
        return fact

    def test(self, days_ago: float, what: str, water: float, **detail: str) -> Fact:
        """A test of what the water holds, off by a little and rounded to the kit's step."""
        noise, step, unit, method = TESTS[what]
        off = UNREST[self.count % len(UNREST)] * noise
        self.count += 1
        read = round(round((water + off) / step) * step, 3)
        if method:
            detail.setdefault("method", method)
        return self.add(days_ago, "test", what, f"{read:g} {unit}", **detail)

    def told(self) -> Answer:
        """The balance's answer of the book."""
        return answer(self.system, self.facts, self.now)

    def per_day(self, dkh: float) -> str:
        """The daily carbonate solution that brings so many dKH to the water."""
        millilitres = dkh / DKH * self.litres / 0.9523
        return f"{millilitres:.0f} mL/day"


def quiet(*, days: int = 60, use: float = 0.9, level: float = 8.1, until: float = 1.0) -> Story:
    """An established reef: dosing is what is used, tests every few days, last ``until`` ago."""
    story = Story(litres=420.0, spread=15.0)
    story.add(days + 1, "dosing", "carbonate solution", story.per_day(use))
    story.add(days + 1, "dosing", "calcium solution", story.per_day(use))
    for at in (until + 4.0 * step for step in reversed(range(int((days - until) / 4) + 1))):
        story.test(at, "alkalinity", level)
        story.test(at, "temperature", 25.2)
        if round((at - until) / 4) % 2 == 0:
            story.test(at, "calcium", 425.0)
            story.test(at, "salinity", 35.0)
            story.test(at, "nitrate", 8.0)
    for ago in range(days, 15, -8):
        story.test(ago, "phosphate", 0.06)
    for ago in range(days, 15, -21):
        story.test(ago, "magnesium", 1310.0)
    return story


def cycling() -> Story:
    """A tank in its sixth week: no dosing, ammonia under what the kit sees, nitrate rising."""
    story = Story(name="An invented new box", litres=180.0, spread=20.0)
    for ago, level in ((13.0, 7.9), (9.0, 7.8), (5.0, 7.6), (1.0, 7.5)):
        story.test(ago, "alkalinity", level)
    for ago in (29.0, 22.0, 15.0, 8.0, 2.0):
        story.test(ago, "nitrate", 4.0 + 0.8 * (29.0 - ago))
    story.add(26, "test", "ammonia", "0.5 mg/L N")
    for ago in (5.0, 2.0):
        story.add(ago, "test", "ammonia", "<0.1 mg/L N")
    for ago in (20.0, 10.0, 2.0):
        story.test(ago, "salinity", 35.0)
        story.test(ago, "temperature", 25.4)
    story.add(20, "event", "livestock", "2 fish")
    return story


def stopped(*, fall_days: float = 3.0) -> Story:
    """A reef whose carbonate line split three days ago: seven tests, the last two after it."""
    story = Story(name="An invented reef in trouble")
    story.add(40, "dosing", "carbonate solution", story.per_day(0.5))
    story.add(40, "dosing", "calcium solution", story.per_day(0.5))
    for ago in (31, 25, 19, 12, 6, 3.1):
        story.test(ago, "alkalinity", 8.3)
    story.test(0.1, "alkalinity", 8.3 - 0.5 * fall_days)
    story.test(0.08, "alkalinity", 8.3 - 0.5 * fall_days, replicate="2")
    for ago in (30, 16, 4):
        story.test(ago, "calcium", 430.0)
    for ago in (20, 10, 1):
        story.test(ago, "salinity", 35.0)
        story.test(ago, "temperature", 25.1)
    return story


def doubtful() -> Story:
    """A quiet reef whose newest test says 6.9 dKH, the day after one of 8.2."""
    story = quiet()
    story.add(1.0, "test", "alkalinity", "8.2 dKH", method="drops")
    story.add(0.1, "test", "alkalinity", "6.9 dKH", method="drops")
    return story


def _canned(per_day: list[float]) -> Story:
    """A quiet reef topped off from a can that is marked and filled every week."""
    story = quiet()
    weeks = len(per_day)
    for week, litres in enumerate(per_day):
        start = 7.0 * (weeks - week)
        story.add(start, "level", "top-off", "50 L")
        story.add(start - 6.9, "level", "top-off", f"{50 - 6.9 * litres:.1f} L")
    return story


def leaking() -> Story:
    """The can goes down by 4 L a day more this week, and salinity falls as it would by that."""
    story = _canned([3.1, 2.9, 3.0, 3.2, 3.0, 2.9, 3.1, 7.0])
    for ago in (20.0, 12.0, 8.0):
        story.test(ago, "salinity", 35.0)
    story.add(0.3, "test", "salinity", "32.8 PSU")
    story.add(0.28, "test", "salinity", "32.8 PSU", replicate="2")
    return story


def drier() -> Story:
    """The can goes down by a third more this week, the heating is on, salinity stays."""
    story = _canned([3.1, 2.9, 3.0, 3.2, 3.0, 2.9, 3.1, 4.2])
    story.add(8.0, "event", "heating", text="stove lit")
    for ago in (20.0, 12.0, 8.0, 0.3):
        story.test(ago, "salinity", 35.0)
    return story


def stuffy() -> Story:
    """pH falls from 8.15 to 7.88 while alkalinity stays."""
    story = quiet()
    for ago in range(50, 7, -4):
        story.test(ago, "ph", 8.15)
    story.add(0.2, "test", "ph", "7.88 NBS")
    return story


def tired() -> Story:
    """Phosphate rises since three weeks under ferric media that are seven weeks old."""
    story = quiet()
    story.add(49, "media", "ferric", "150 g", flow="60")
    for ago, level in ((21.0, 0.03), (14.0, 0.04), (7.0, 0.08), (1.0, 0.11)):
        story.test(ago, "phosphate", level)
    return story


def new_bottle() -> Story:
    """A new bottle of reagent reads 0.6 dKH higher than the one before it, four times."""
    story = quiet(until=18.0)
    story.facts = [f for f in story.facts if f.what != "alkalinity"]
    for before in range(60, 14, -4):
        story.test(before, "alkalinity", 8.1, lot="A1")
    for ago in (13.0, 9.0, 5.0, 1.0):
        story.test(ago, "alkalinity", 8.7, lot="B2")
    for ago in (13.0, 5.0, 1.0):
        story.test(ago, "calcium", 425.0)
    return story


def tenfold() -> Story:
    """A dose written as 5 g of soda that was 50 g: alkalinity rises by what 45 g more bring."""
    story = quiet(until=3.0)
    story.add(2.0, "dose", "NaHCO3", "5 g")
    # 50 g of NaHCO3 is 595 meq (84.007 g/mol); in 420 L that is 1.42 meq/L.
    level = 8.1 + 50 / 84.007 * 1000 / 420 * DKH
    for ago in (1.5, 0.5):
        story.test(ago, "alkalinity", level)
    return story


def twice() -> Story:
    """A dose of 30 g of soda that went in twice and was written down once."""
    story = quiet(until=3.0)
    story.add(2.0, "dose", "NaHCO3", "30 g")
    level = 8.1 + 60 / 84.007 * 1000 / 420 * DKH
    for ago in (1.5, 0.5):
        story.test(ago, "alkalinity", level)
    return story


def forgotten() -> Story:
    """Half of the water was changed three days ago, and nobody wrote it down."""
    story = quiet(until=4.0)
    story.facts = [fact for fact in story.facts if fact.what not in ("nitrate", "magnesium")]
    for ago in (45.0, 35.0, 25.0, 12.0, 4.0):
        story.test(ago, "nitrate", 20.0)
        story.test(ago, "magnesium", 1420.0)
    for ago in (2.0, 1.0):
        story.test(ago, "nitrate", 10.0)
        story.test(ago, "magnesium", 1360.0)
        story.test(ago, "calcium", 422.0)
        story.test(ago, "alkalinity", 8.05)
    return story


def fallen_out() -> Story:
    """Far too much soda went in, as written; then alkalinity and calcium fell together."""
    story = quiet(until=6.0, use=0.0)
    grams = 84.007 * 420 * 5.0 / DKH / 1000  # what raises 420 L by 5 dKH
    story.add(4.2, "dose", "NaHCO3", f"{grams:.0f} g")
    story.test(4.0, "alkalinity", 13.1)
    story.add(4.0, "test", "ph", "8.6 NBS")
    story.test(4.0, "calcium", 425.0)
    for ago in (1.0, 0.5):
        story.test(ago, "alkalinity", 9.1)
        story.test(ago, "calcium", 425.0 - 4.0 / DKH * 20.04)
    return story


def hot() -> Story:
    """A quiet reef at 30 degrees this morning."""
    story = quiet()
    story.add(0.1, "test", "temperature", "30.1 C")
    story.add(0.05, "test", "temperature", "30.2 C")
    return story


def poisoned() -> Story:
    """Ammonia of 2 mg/L as nitrogen, twice, at a pH of 8.2."""
    story = cycling()
    story.add(0.5, "test", "ph", "8.2 NBS")
    story.add(0.5, "test", "ammonia", "2 mg/L N")
    story.add(0.2, "test", "ammonia", "2 mg/L N")
    return story


def off_standard() -> Story:
    """The keeper's own standard of 8 dKH reads 8.7 dKH with the usual drops."""
    story = quiet()
    story.more = (
        '\n[[references]]\nname = "own standard"\n'
        'alkalinity = { value = "8 dKH", sd = "0.05 dKH" }\n'
    )
    story.add(30.0, "test", "alkalinity", "8.0 dKH", method="drops", of="own standard")
    story.add(1.0, "test", "alkalinity", "8.7 dKH", method="drops", of="own standard")
    return story


def abandoned() -> Story:
    """Nothing was written down for fourteen months."""
    story = quiet()
    story.now = NOW + timedelta(days=425)
    return story
