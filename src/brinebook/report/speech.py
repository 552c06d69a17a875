"""Numbers and days inside sentences: in the keeper's units, zone and digits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.report.dates import ago_text, calendar_days, day_text, weekday
from brinebook.report.numbers import (
    MINUS,
    decimals_for,
    measure_and_range_text,
    measure_text,
    number_text,
    plain_text,
    range_text,
    value_text,
)
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure
from brinebook.texts import SpokenLine, say, say_count
from brinebook.texts.names import quantity_label

_COUNTS = SpokenLine(
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Speech:
    """How this keeper is spoken to. Times are in days of the season, values in canonical units."""

    at: datetime
    zone: ZoneInfo
    units: Mapping[str, str]

    def name(self, quantity: str) -> str:
        """The quantity inside a sentence."""
        return quantity_label(quantity)

    def title(self, quantity: str) -> str:
        """The quantity at the start of a sentence."""
        name = self.name(quantity)
        return name if name != name.lower() else name.capitalize()

    def shown(self, quantity: str, measure: Measure, *, difference: bool = False) -> Measure:
        """A measure in the keeper's unit; a pH has none to show."""
        unit = self.units.get(quantity, measure.unit)
        found = shown_measure(quantity, measure, unit, difference=difference)
        bare = "" if unit == "NBS" else unit_label(unit)
        return Measure(found.value, found.sd, bare, found.low, found.high)

    def value(self, quantity: str, value: float, sd: float) -> str:
        """“8.1 dKH”, at the digits that a standard deviation leaves."""
        return value_text(self.shown(quantity, Measure(value, sd, "")))

    def bare(self, quantity: str, value: float, sd: float) -> str:
        """“8.1”: the same without its unit."""
        return value_text(self._without_unit(self.shown(quantity, Measure(value, sd, ""))))

    def change(self, quantity: str, value: float, sd: float) -> str:
        """“1.3 dKH”: a difference without its sign."""
        return value_text(self.shown(quantity, Measure(abs(value), sd, ""), difference=True))

    def change_and_sd(self, quantity: str, value: float, sd: float) -> str:
        """“−1.3 ± 0.1 dKH”: a difference."""
        return measure_text(self.shown(quantity, Measure(value, sd, ""), difference=True))

    def range(self, quantity: str, measure: Measure, *, difference: bool = False) -> str:
        """“7.9 to 8.3”, without the unit."""
        return range_text(self.shown(quantity, measure, difference=difference))

    def with_range(self, quantity: str, measure: Measure, *, difference: bool = False) -> str:
        """“8.1 dKH (7.9 to 8.3)”."""
        return measure_and_range_text(self.shown(quantity, measure, difference=difference))

    def unit(self, quantity: str) -> str:
        """The unit that the keeper reads it in; empty for pH."""
        return self.shown(quantity, Measure(1.0, 0.1, "")).unit

    def edge(self, quantity: str, value: float) -> str:
        """“7.3”: a limit that the keeper set, as it was set."""
        return plain_text(self.shown(quantity, Measure(value, 1.0, "")).value)

    def difference(self, quantity: str, value: float) -> str:
        """“1 dKH”: a difference that the keeper set, as it was set."""
        shown = self.shown(quantity, Measure(value, 1.0, ""), difference=True)
        return f"{plain_text(shown.value)} {shown.unit}".strip()

    def band(self, quantity: str, low: float, high: float) -> str:
        """“7.3 to 9”: both ends of a band, without the unit."""
        return say("{low} to {high}", low=self.edge(quantity, low), high=self.edge(quantity, high))

    def day(self, t: float) -> str:
        """“yesterday”, “Thursday” of the last six days, “Tue 3 March”: a day in the past."""
        when = self.moment(t)
        if -6 <= calendar_days(self.at, when, self.zone) < -1:
            return weekday(when, self.zone)
        return day_text(when, self.at, self.zone)

    def on_day(self, t: float) -> str:
        """“yesterday”, “on Thursday”, “on Tue 3 March”."""
        day = self.day(t)
        ahead = calendar_days(self.at, self.moment(t), self.zone)
        return day if abs(ahead) < 2 else say("on {day}", day=day)

    def ago(self, when: datetime) -> str:
        """“9 days ago”."""
        return ago_text(min(when, self.at), self.at, self.zone)

    def moment(self, t: float) -> datetime:
        """The instant of a time in days."""
        return instant(t)

    @staticmethod
    def _without_unit(measure: Measure) -> Measure:
        return Measure(measure.value, measure.sd, "", measure.low, measure.high)


def counted(count: float, one: str, many: str = "") -> str:
    """“two tests”, “one test”, “12 tests”."""
    whole = round(count)
    word = _COUNTS[whole] if 0 <= whole < len(_COUNTS) else str(whole)
    return say_count(whole, f"{{count}} {one}", f"{{count}} {many or one + 's'}", count=word)


def days_span(days: float) -> str:
    """“3 days”, “half a day”, “a day”: a stretch of time in a sentence."""
    if days < 0.75:
        return say("half a day") if days > 0.3 else say("a few hours")
    if days < 1.5:
        return say("a day")
    return say("{days:.0f} days", days=days)


def rounded_litres(litres: float) -> str:
    """“1.3 L”: two digits are all that a water level earns."""
    sd = max(abs(litres) * 0.1, 0.01)
    text = number_text(abs(litres), max(decimals_for(sd), 0))
    return f"{text} L"


def rounded_millilitres(millilitres: float) -> str:
    """“170 mL”: a mark on a bottle is read to about ten."""
    step = 10 if abs(millilitres) >= 50 else 1
    return f"{round(abs(millilitres) / step) * step:.0f} mL"


def signed(text: str, value: float) -> str:
    """A text of a number without sign, with the printed minus where the value is below zero."""
    return f"{MINUS}{text}" if value < 0 else text
