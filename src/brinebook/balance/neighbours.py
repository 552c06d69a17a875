"""What the tests around a test let one expect of it, in its own series and without a model.

A series is one quantity by one method in one system. What a day's test should read is the middle of
the two days tested before and the two after; how far such a guess is usually off is the series' own
robust spread. So a test is judged without itself, and by others of its kind alone.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median
from zoneinfo import ZoneInfo

from brinebook.balance.season import Test, instant
from brinebook.units import split_amount
from brinebook.water.quantities import from_canonical

#: With fewer days of tests in a series nothing is expected of a further one: common practice.
FEWEST_DAYS = 5
#: Days tested before, and as many after, that a guess is the middle of (common practice).
_EACH_SIDE = 2
#: A guess is never held surer than this share of a usual test's noise: kits read in steps.
_LEAST_SHARE = 0.5
#: Median absolute deviation to standard deviation, for a normal spread.
_MAD = 1.4826
#: Share of readings that lie in a Cauchy tail so many times as wide, as tests really do.
_TAIL_SHARE, _TAIL_WIDTH = 0.05, 6.0


@dataclass(frozen=True, slots=True)
class Reading:
    """A test of the system: its canonical value and usual noise there, number and unit as typed.

    ``day`` counts days of the system's own calendar.
    """

    fact: str
    quantity: str
    method: str
    replicate: str
    day: int
    t: float
    value: float
    noise: float
    typed: str
    unit: str
    sound: bool  # the keeper said so

    @property
    def number(self) -> float:
        """The number as typed, without its unit."""
        return float(self.typed)

    @property
    def step(self) -> float:
        """The size of the last digit typed."""
        return 10.0 ** -len(self.typed.partition(".")[2])


@dataclass(frozen=True, slots=True)
class Guess:
    """What a reading should be near to: middle and standard deviation, in one unit."""

    middle: float
    sd: float

    def off(self, value: float) -> float:
        """How many standard deviations a value lies off."""
        return (value - self.middle) / self.sd

    def log_density(self, value: float) -> float:
        """Log density of a reading, with tails."""
        z = self.off(value)
        near = (1.0 - _TAIL_SHARE) * math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
        far = _TAIL_SHARE / (math.pi * _TAIL_WIDTH * (1.0 + (z / _TAIL_WIDTH) ** 2))
        return math.log((near + far) / self.sd)

    def as_typed(self, quantity: str, unit: str) -> Guess:
        """The same guess in a unit that tests of the quantity are typed in.

        Raises what the conversion raises; the sd is carried over as the slope there.
        """
        middle = from_canonical(quantity, self.middle, unit, detail_temperature=25.0)
        above = from_canonical(quantity, self.middle + self.sd, unit, detail_temperature=25.0)
        return Guess(middle, max(abs(above - middle), 1e-12))


def readings_of(tests: Iterable[Test], zone: ZoneInfo) -> tuple[Reading, ...]:
    """Tests of the system itself, on the kit's scale, that nobody called wrong."""
    found = []
    for test in tests:
        if test.target or test.edge or test.verdict == "wrong":
            continue
        typed, unit = split_amount(test.typed)
        found.append(
            Reading(
                fact=test.fact,
                quantity=test.quantity,
                method=test.method,
                replicate=test.replicate,
                day=instant(test.t).astimezone(zone).date().toordinal(),
                t=test.t,
                value=test.value,
                noise=math.hypot(test.noise, test.fraction * test.value, test.step / 12**0.5),
                typed=typed,
                unit=unit,
                sound=test.verdict == "sound",
            )
        )
    return tuple(sorted(found, key=lambda r: (r.t, r.quantity, r.method, r.replicate, r.fact)))


class Neighbours:
    """The readings of one system by day and by series, and what each day's should have been."""

    def __init__(self, readings: Sequence[Reading]) -> None:
        self.readings = tuple(readings)
        self.by_day: dict[int, list[Reading]] = defaultdict(list)
        series: dict[tuple[str, str], dict[int, list[Reading]]] = defaultdict(dict)
        for reading in readings:
            self.by_day[reading.day].append(reading)
            days = series[reading.quantity, reading.method]
            days.setdefault(reading.day, []).append(reading)
        self._series = {key: _Series(days) for key, days in series.items()}

    def of_day(self, day: int) -> dict[tuple[str, str], list[Reading]]:
        """The readings of a day by quantity and method."""
        found: dict[tuple[str, str], list[Reading]] = {}
        for reading in self.by_day.get(day, ()):
            found.setdefault((reading.quantity, reading.method), []).append(reading)
        return found

    def guess(self, quantity: str, method: str, day: int) -> Guess | None:
        """What a test of that day should read by the tests of other days, in the canonical unit.

        Where the method was never used, the quantity's longest series answers; None where there are
        too few days.
        """
        series = self._series.get((quantity, method))
        if series is None:
            others = [s for (name, _), s in sorted(self._series.items()) if name == quantity]
            series = max(others, key=lambda s: len(s.days), default=None)
        return series.guess(day) if series is not None else None

    def usual_unit(self, quantity: str) -> str:
        """The unit that the quantity's tests are mostly typed in; empty where there are none."""
        units = [r.unit for r in self.readings if r.quantity == quantity]
        return max(sorted(set(units)), key=units.count, default="")


class _Series:
    def __init__(self, days: dict[int, list[Reading]]) -> None:
        self.days = sorted(days)
        self.values = [median(r.value for r in days[day]) for day in self.days]
        noise = median(r.noise for same in days.values() for r in same)
        off = [
            abs(value - middle)
            for day, value in zip(self.days, self.values, strict=True)
            if (middle := self._middle(day)) is not None
        ]
        self.sd = max(_MAD * median(off), _LEAST_SHARE * noise, 1e-9) if off else math.nan

    def _middle(self, day: int) -> float | None:
        if len(self.days) <= FEWEST_DAYS:
            return None
        here = bisect_left(self.days, day)
        past = here + (here < len(self.days) and self.days[here] == day)
        before = self.values[max(here - _EACH_SIDE, 0) : here]
        after = self.values[past : past + _EACH_SIDE]
        return median(before + after)

    def guess(self, day: int) -> Guess | None:
        """The middle of the neighbouring days, with the usual error of such a guess."""
        middle = self._middle(day)
        return Guess(middle, self.sd) if middle is not None and self.sd > 0.0 else None
