"""What a chart of one quantity draws, small enough for a phone: line, band, tests, ticks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.answer import Answer
from brinebook.errors import BrinebookError
from brinebook.measure import Measure
from brinebook.report.facts import KIND_LABELS
from brinebook.report.numbers import decimals_for
from brinebook.report.page_rows import unit_label
from brinebook.report.shown import shown_measure
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES, parse_number, parse_reading_value
from brinebook.water.quantities import from_canonical, to_canonical

#: More tests than this are drawn as the mean of neighbouring ones, and the sentence says so.
MOST_TESTS = 500
MOST_MARKS = 220
SOUND, SUSPECT, SUPERSEDED, OFF_SCALE = range(4)
#: What has a tick on the strip below the figure.
MARKED = ("dose", "dosing", "water_change", "media", "harvest", "event", "removed", "lot")


@dataclass(frozen=True, slots=True)
class Dot:
    """One test as drawn: its value in the shown unit, and how it stands."""

    when: datetime
    value: float
    sd: float
    state: int


@dataclass(frozen=True, slots=True)
class Mark:
    """One tick of the strip below: when, of which kind, in words."""

    when: datetime
    kind: str
    said: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything that is drawn, in the unit that the keeper reads."""

    quantity: str
    unit: str
    begins: datetime
    at: datetime
    line: tuple[tuple[datetime, Measure], ...]
    ahead: tuple[tuple[datetime, Measure], ...]
    dots: tuple[Dot, ...]
    marks: tuple[Mark, ...]
    band: tuple[float, float] | None
    now: Measure
    merged: int

    @property
    def decimals(self) -> int:
        """How many decimals a number of the axis needs."""
        return max(decimals_for(self.now.sd) if self.now.sd > 0 else 2, 0)


def chart(
    answer: Answer,
    facts: Sequence[Fact],
    quantity: str,
    *,
    unit: str,
    begins: datetime,
    line: Sequence[tuple[datetime, Measure]] = (),
    superseded: Sequence[Fact] = (),
) -> Chart:
    """The chart of one quantity from ``begins`` to a week ahead. ``quantity`` is in the answer."""
    told = answer.quantities[quantity]
    suspects = {one.fact for one in answer.suspects}
    test_sd = next((one.sd for one in answer.methods if one.quantity == quantity), 0.0)

    def shown(measure: Measure) -> Measure:
        return shown_measure(quantity, measure, unit)

    since = [fact for fact in facts if fact.when >= begins]
    before = [fact for fact in superseded if fact.when >= begins]
    dots = [*_dots(since, quantity, unit, suspects=suspects, test_sd=test_sd),
            *_dots(before, quantity, unit)]  # fmt: skip
    merged, groups = _merge(sorted(dots, key=lambda dot: dot.when))
    band = told.band
    return Chart(
        quantity=quantity,
        unit=unit,
        begins=begins,
        at=answer.at,
        line=tuple((when, shown(each)) for when, each in line if when >= begins),
        ahead=((answer.at, shown(told.now)),
               *((when, shown(each)) for when, each in told.forecast)),
        dots=merged,
        marks=tuple(_marks(facts, quantity, begins, answer.at)),
        band=None if band is None else _band(quantity, unit, band),
        now=shown(told.now),
        merged=groups,
    )  # fmt: skip


def _band(quantity: str, unit: str, band: tuple[float, float]) -> tuple[float, float]:
    low, high = sorted(from_canonical(quantity, end, unit) for end in band)
    return low, high


def _dots(
    facts: Sequence[Fact],
    quantity: str,
    unit: str,
    *,
    suspects: set[str] | None = None,
    test_sd: float = 0.0,
) -> Iterator[Dot]:
    """The tests as typed, in the shown unit; without ``suspects`` they are superseded ones."""
    spread = abs(shown_measure(quantity, Measure(0.0, test_sd, ""), unit, difference=True).sd)
    for fact in facts:
        if fact.kind != "test" or fact.what != quantity or fact.detail.get("of"):
            continue
        try:
            reading = parse_reading_value(fact.value)
            degrees = fact.detail.get("temperature")
            celsius = parse_number(degrees) if degrees else None
            row = QUANTITIES[quantity]
            level = to_canonical(row, reading.value, fact.unit, detail_temperature=celsius).value
            value = from_canonical(quantity, level, unit, detail_temperature=celsius)
        except BrinebookError:
            continue
        state = SUPERSEDED if suspects is None else SUSPECT if fact.id in suspects else SOUND
        if suspects is not None and reading.censor:
            state = OFF_SCALE
        yield Dot(fact.when, value, spread, state)


def _merge(dots: Sequence[Dot]) -> tuple[tuple[Dot, ...], int]:
    """At most `MOST_TESTS` dots: where there are more, means of so many sound ones in a row."""
    if len(dots) <= MOST_TESTS:
        return tuple(dots), 1
    sound = [dot for dot in dots if dot.state == SOUND]
    others = [dot for dot in dots if dot.state != SOUND][-MOST_TESTS // 4 :]
    size = -(-len(sound) // (MOST_TESTS - len(others)))
    means = []
    for start in range(0, len(sound), size):
        run = sound[start : start + size]
        middle = run[0].when + (run[-1].when - run[0].when) / 2
        mean = sum(dot.value for dot in run) / len(run)
        means.append(Dot(middle, mean, run[0].sd / len(run) ** 0.5, SOUND))
    return tuple(sorted([*means, *others], key=lambda dot: dot.when)), size


def _marks(
    facts: Sequence[Fact], quantity: str, begins: datetime, ends: datetime
) -> Iterator[Mark]:
    lot = ""
    found = []
    for fact in facts:
        if fact.when > ends:
            break
        if fact.kind == "test" and fact.what == quantity:
            now = fact.detail.get("lot", "")
            if now and lot and now != lot and fact.when >= begins:
                found.append(Mark(fact.when, "lot", now))
            lot = now or lot
        elif fact.kind in MARKED and fact.when >= begins:
            amount = f"{fact.value} {fact.unit}".strip()
            said = ", ".join(part for part in (fact.what, amount, fact.detail.get("text", ""))
                             if part)  # fmt: skip
            found.append(Mark(fact.when, fact.kind, said[:60]))
    yield from found[-MOST_MARKS:]


def chart_json(found: Chart) -> dict[str, object]:
    """The chart for a script: times in whole minutes from ``from``, numbers at five digits."""

    def minutes(when: datetime) -> int:
        return round((when - found.begins) / timedelta(minutes=1))

    def course(points: Sequence[tuple[datetime, Measure]]) -> Mapping[str, object]:
        return {
            "t": [minutes(when) for when, _ in points],
            "v": [_short(each.value) for _, each in points],
            "lo": [_short(each.low) for _, each in points],
            "hi": [_short(each.high) for _, each in points],
        }

    kinds = sorted({mark.kind for mark in found.marks})
    return {
        "quantity": found.quantity,
        "unit": unit_label(found.unit),
        "from": round(found.begins.timestamp()),
        "now": minutes(found.at),
        "decimals": found.decimals,
        "line": course(found.line),
        "ahead": course(found.ahead),
        "tests": {
            "t": [minutes(dot.when) for dot in found.dots],
            "v": [_short(dot.value) for dot in found.dots],
            "k": "".join(str(dot.state) for dot in found.dots),
            "sd": _short(max((dot.sd for dot in found.dots), default=0.0)),
        },
        "band": None if found.band is None else [_short(end) for end in found.band],
        "kinds": [[kind, KIND_LABELS.get(kind, say("new bottle"))] for kind in kinds],
        "marks": [[minutes(mark.when), kinds.index(mark.kind), mark.said] for mark in found.marks],
    }


def _short(value: float) -> float:
    return float(f"{value:.5g}")
