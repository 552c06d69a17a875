"""What a chart shows, as a sentence, and its numbers as a table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from brinebook.measure import Measure
from brinebook.report.chart import OFF_SCALE, SOUND, SUPERSEDED, SUSPECT, Chart, Dot
from brinebook.report.dates import calendar_days, date_text, instant_text
from brinebook.report.numbers import (
    decimals_for,
    measure_and_range_text,
    number_text,
    plain_text,
    range_text,
    value_text,
)
from brinebook.report.page_rows import unit_label
from brinebook.texts import Spoken, begun, say, say_count
from brinebook.texts.names import quantity_label

_STATES = Spoken(
    {SOUND: "sound", SUSPECT: "suspect", SUPERSEDED: "superseded", OFF_SCALE: "off the scale"}
)
_MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One row of the table: when, which kind of number, the number in the chart's unit, its 95 %
    interval or state, and whether it is doubted."""

    when: str
    kind: str
    value: str
    said: str
    suspect: bool = False


def chart_sentence(found: Chart, zone: ZoneInfo) -> str:
    """What the figure says to somebody who can't see it."""
    name, unit = quantity_label(found.quantity), unit_label(found.unit)
    days = calendar_days(found.begins, found.at, zone)
    sound = [dot.value for dot in found.dots if dot.state == SOUND]
    tests = say("no test")
    if sound:
        decimals = _decimals(found)
        low, high = (number_text(value, decimals) for value in (min(sound), max(sound)))
        count = len(sound) * found.merged
        about = say("about ") if found.merged > 1 else ""
        tests = say(
            "{about}{count} sound {test_or_tests} from {low} to {high}",
            about=about,
            count=count,
            test_or_tests=say("test") if count == 1 else say("tests"),
            low=low,
            high=high,
        )
    text = say(
        "{name} over {days}, in {unit}: {tests}.",
        name=begun(name),
        days=_days(days),
        unit=unit,
        tests=tests,
    )
    if found.merged > 1:
        text += say(" Each dot is the mean of {merged} tests.", merged=found.merged)
    last = found.ahead[-1][1]
    text += say(
        " Now about {now}; in a week, with dosing as it is, {last}.",
        now=_plain(found.now),
        last=_plain(last),
    )
    if found.band is not None:
        low, high = (plain_text(end, digits=4) for end in found.band)
        text += say(" Your band is {low} to {high}.", low=low, high=high)
    return text


def _plain(measure: Measure) -> str:
    return measure_and_range_text(Measure(measure.value, measure.sd, "", measure.low, measure.high))


def _days(days: int) -> str:
    return say("a day") if days <= 1 else say_count(days, "{count} day", "{count} days")


def _decimals(found: Chart) -> int:
    spread = max((dot.sd for dot in found.dots if dot.state == SOUND), default=0.0)
    return max(decimals_for(spread), 0) if spread > 0 else found.decimals


def chart_table(found: Chart, zone: ZoneInfo) -> list[ChartRow]:
    """The figure's numbers, newest first: forecast, the present, and every test."""
    rows = [
        ChartRow(date_text(when, found.at, zone), "ahead", _bare(each), range_text(each))
        for when, each in reversed(found.ahead[1:])
    ]
    rows.append(
        ChartRow(
            instant_text(found.at, found.at, zone), "now", _bare(found.now), range_text(found.now),
        )
    )  # fmt: skip
    decimals = _decimals(found)
    tests = list(reversed(found.dots))[:_MOST_ROWS]
    rows += [_test_row(dot, found, decimals, zone) for dot in tests]
    return rows


def _bare(measure: Measure) -> str:
    return value_text(replace(measure, unit=""))


def _test_row(dot: Dot, found: Chart, decimals: int, zone: ZoneInfo) -> ChartRow:
    when = instant_text(dot.when, found.at, zone)
    value = number_text(dot.value, decimals)
    return ChartRow(when, "test", value, _STATES[dot.state], suspect=dot.state == SUSPECT)


def line_table(found: Chart, zone: ZoneInfo, *, rows: int = 14) -> list[ChartRow]:
    """The line of the past, at so many days evenly apart, newest first."""
    if not found.line:
        return []
    step = max(len(found.line) // rows, 1)
    picked = list(reversed(found.line))[::step]
    return [
        ChartRow(date_text(when, found.at, zone), "line", _bare(each), range_text(each))
        for when, each in picked
    ]
