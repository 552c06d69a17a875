"""Every quantity as one row of a page: the number with its doubt, use, course, state and age."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer, QuantityAnswer
from brinebook.measure import Measure
from brinebook.report.dates import age_text, ago_text
from brinebook.report.numbers import measure_text, range_text
from brinebook.report.shown import shown_measure
from brinebook.report.spark import Spark, spark
from brinebook.texts import typed_as_marked
from brinebook.texts.names import quantity_label


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity, in the units that the keeper reads.

    ``use`` is what goes in a day, without sign; ``way`` is whether that is used, made, lost or
    gained.
    """

    name: str
    now: str
    between: str
    use: str
    way: str
    status: str
    age: str
    ago: str
    spark: Spark

    @property
    def label(self) -> str:
        """The quantity's name as people write it."""
        return quantity_label(self.name)


def unit_label(unit: str) -> str:
    """A unit as people write it on paper."""
    return _UNITS.get(unit, unit)


def printed_amounts(text: str) -> str:
    """“17 C, 25 C” as “17 °C, 25 °C”: every number's unit as people write it."""
    printed = _AMOUNT.sub(lambda found: f"{found[1]} {unit_label(found[2])}", text)
    return typed_as_marked(printed)


def _printed(measure: Measure) -> Measure:
    return replace(measure, unit=unit_label(measure.unit))


_UNITS = {
    "C": "°C", "F": "°F", "dC": "°C", "dF": "°F", "uatm": "µatm", "umol/kg": "µmol/kg",
    "umol/L": "µmol/L", "ug/L": "µg/L", "m3": "m³", "m3/h": "m³/h", "m2": "m²", "kg/m3": "kg/m³",
}  # fmt: skip
_AMOUNT = re.compile(r"(\d) ([A-Za-z][\w/]*)")


#: What a fall and a rise by themselves are called: nothing uses salt as a reef uses calcium.
_OF_SALT, _OF_OTHERS = ("loses", "gains"), ("uses", "makes")


def page_rows(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> tuple[Row, ...]:
    """A row a quantity, in the order of the answer."""
    return tuple(_row(answer, one, zone, units[one.name]) for one in answer.quantities.values())


def _row(answer: Answer, quantity: QuantityAnswer, zone: ZoneInfo, unit: str) -> Row:
    now = _printed(shown_measure(quantity.name, quantity.now, unit))
    use, falls = "", True
    if quantity.consumption is not None:
        shown = shown_measure(quantity.name, quantity.consumption, unit, difference=True)
        falls = shown.value >= 0
        use = measure_text(_printed(replace(shown, value=abs(shown.value))))
    ways = _OF_SALT if quantity.name == "salinity" else _OF_OTHERS
    return Row(
        name=quantity.name,
        now=measure_text(now),
        between=f"{range_text(now)} {now.unit}".strip(),
        use=use,
        way=ways[0] if falls else ways[1],
        status=quantity.status,
        age=age_text(quantity.tested, answer.at, zone) if quantity.tested else "",
        ago=ago_text(quantity.tested, answer.at, zone) if quantity.tested else "",
        spark=spark(answer, quantity),
    )
