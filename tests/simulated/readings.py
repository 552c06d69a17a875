"""Kits, bottles of reagent and the ways in which a reading goes wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tests.simulated.scenario import Kit, Scenario

#: Physical ranges of the contract: a reading beyond them never gets into a book.
RANGE = {
    "alkalinity": (0.0, 15.0),
    "calcium": (0.0, 2000.0),
    "magnesium": (0.0, 5000.0),
    "strontium": (0.0, 100.0),
    "potassium": (0.0, 2000.0),
    "nitrate": (0.0, 1000.0),
    "phosphate": (0.0, 50.0),
    "ammonia": (0.0, 100.0),
    "salinity": (0.0, 60.0),
    "temperature": (-2.0, 45.0),
    "ph": (4.0, 11.0),
}

#: kits whose reagents go bad often enough
SPELLS = ("alkalinity", "calcium", "nitrate", "phosphate")


@dataclass(frozen=True)
class Reading:
    text: str
    canonical: float
    lot_label: str
    wrong: tuple[str, float] | None
    spell: int | None
    spell_size: float


#: Bad bottles of one kit begin no closer than that: two at once would be read by turns.
_APART_DAYS = 60.0


@dataclass
class _BadBottle:
    """A spell: the next occasions from ``day`` on, of one lot, read ``deviations`` off."""

    number: int
    day: float
    occasions: int
    deviations: float
    last: float = -9.0  # a replicate is of the same occasion
    lot: str = ""  # of its first test

    def read(self, t: float, lot: str) -> bool:
        """Whether a test at ``t`` from this lot is made from it."""
        same = t - self.last < 1.0 / 16.0
        if t < self.day or (self.lot or lot) != lot or not (same or self.occasions > 0):
            return False
        self.lot = lot
        self.occasions -= not same
        self.last = t
        return True


@dataclass
class _Shelf:
    """One kit's reagent: when the bottle changes, what it adds, and its bad bottles."""

    bias: float
    lots: list[tuple[float, float, str]]  # from day, bias, label
    spells: list[_BadBottle]
    last: float = math.nan


class Bench:
    """All kits of one keeper, with what is wrong with them."""

    def __init__(self, scenario: Scenario, rng: np.random.Generator) -> None:
        self.s, self.rng = scenario, rng
        self.biases: dict[tuple[str, str, str], float] = {}
        self.slips = list(scenario.slips)
        self.shelves = {id(kit): self._shelf(kit) for kit in scenario.kits}
        self._plan_spells()

    def _shelf(self, kit: Kit) -> _Shelf:
        share = math.sqrt(0.5) * kit.trueness / kit.factor
        constant = share * float(self.rng.normal())
        lots: list[tuple[float, float, str]] = []
        day = 0.0
        while day < self.s.days:
            lot_bias = share * float(self.rng.normal())
            label = f"{kit.name[:1].upper() or 'L'}{int(self.rng.integers(1000, 9999))}"
            lots.append((day, constant + lot_bias, label))
            self.biases[(kit.quantity, kit.name, label)] = constant + lot_bias
            day += kit.lot_days * float(self.rng.uniform(0.65, 1.35))
        return _Shelf(constant, lots, [])

    def _plan_spells(self) -> None:
        often = [kit for kit in self.s.kits if kit.quantity in SPELLS]
        for number in range(self.s.spells):
            kit = often[int(self.rng.integers(len(often)))]
            day = float(self.rng.uniform(0.25, 0.9)) * self.s.days
            size = float(self.rng.uniform(7.0, 14.0)) * (1 if self.rng.random() < 0.6 else -1)
            tests = int(self.rng.integers(2, 5))
            spells = self.shelves[id(kit)].spells
            if all(abs(each.day - day) > _APART_DAYS for each in spells):
                spells.append(_BadBottle(number, day, tests, size))

    def read(self, kit: Kit, t: float, true: float, *, sound: bool = False) -> Reading:
        """One test at ``t`` of water that holds ``true`` (canonical unit)."""
        shelf = self.shelves[id(kit)]
        lot = max((lot for lot in shelf.lots if lot[0] <= t), key=lambda lot: lot[0])
        deviation = kit.deviation(true)
        noise = math.hypot(kit.repeatability / kit.factor, kit.fraction * true)
        seen = true + lot[1] + noise * float(self.rng.normal())
        bad = None if sound else next((each for each in shelf.spells if each.read(t, lot[2])), None)
        wrong: tuple[str, float] | None = None
        if bad is not None:
            if true + bad.deviations * deviation < 0.0:
                bad.deviations = -bad.deviations
            seen += bad.deviations * deviation
        elif not sound and float(self.rng.random()) < self.s.gross:
            kind, seen = self._gross(kit, true, seen, shelf)
            wrong = (kind, 0.0)
        slip = None if sound else self._slip(kit, t)
        if slip is not None:
            seen += slip / kit.factor
            wrong = ("slip", 0.0)
        text, canonical = self._write(kit, seen)
        if wrong is not None:
            wrong = (wrong[0], abs(canonical - true) / deviation)
        if math.isfinite(canonical):
            shelf.last = canonical
        label = lot[2] if kit.lots_named else ""
        number, size = (bad.number, abs(bad.deviations)) if bad else (None, 0.0)
        return Reading(text, canonical, label, wrong, number, size)

    def _slip(self, kit: Kit, t: float) -> float | None:
        """What the story says is typed wrong in this test: each slip happens once."""
        for each in self.slips:
            day, quantity, amount = each
            if quantity == kit.quantity and t >= day:
                self.slips.remove(each)
                return amount
        return None

    def _write(self, kit: Kit, canonical: float) -> tuple[str, float]:
        typed = max(canonical * kit.factor, 0.0)
        if kit.low is not None and typed < kit.low:
            return f"<{kit.low:g}", kit.low / kit.factor
        if kit.high is not None and typed > kit.high:
            return f">{kit.high:g}", kit.high / kit.factor
        value = round(typed / kit.resolution) * kit.resolution
        decimals = max(0, math.ceil(-math.log10(kit.resolution) - 1e-9) + 1)
        text = f"{value:.{decimals}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        return text, float(text) / kit.factor

    def _gross(self, kit: Kit, true: float, seen: float, shelf: _Shelf) -> tuple[str, float]:
        low, high = RANGE[kit.quantity]
        choice = float(self.rng.random())
        sign = 1.0 if self.rng.random() < 0.5 else -1.0
        if choice < 0.12:
            kind, value = "decimal point", seen * (10.0 if sign > 0 else 0.1)
        elif choice < 0.22:
            kind, value = "unit", self._wrong_unit(kit, seen)
        elif choice < 0.32:
            kind, value = "digit", self._wrong_digit(kit, seen, sign)
        elif choice < 0.40 and math.isfinite(shelf.last):
            return "copied", shelf.last
        elif choice < 0.50:
            kind, value = "dirty vial", seen * float(self.rng.uniform(1.2, 2.2))
        else:
            kind, value = "far", math.nan
        if math.isfinite(value) and low <= value <= high and abs(value - true) > 0.0:
            return kind, value
        size = float(self.rng.uniform(6.0, 20.0)) * kit.deviation(true)
        far = true + sign * size
        return "far", far if low <= far <= high else true + size

    def _wrong_unit(self, kit: Kit, seen: float) -> float:
        factors = {
            "alkalinity": 2.80385,
            "calcium": 2.497,  # as calcium carbonate
            "nitrate": 4.42664,
            "phosphate": 3.06614,
            "magnesium": 4.118,
            "salinity": 1.0,
        }
        factor = factors.get(kit.quantity, 1.0)
        return seen / factor if self.rng.random() < 0.6 else seen * factor

    def _wrong_digit(self, kit: Kit, seen: float, sign: float) -> float:
        typed = seen * kit.factor
        place = 10.0 ** math.floor(math.log10(max(typed, kit.resolution)))
        step = place if kit.quantity not in ("calcium", "salinity") else place / 10.0
        return max(typed + sign * step, 0.0) / kit.factor
