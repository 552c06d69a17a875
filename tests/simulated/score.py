"""How an estimator does against the truth, and against the hand.

Errors are root mean squares over all moments of all cases. An error of use is scaled by its case's
mean absolute true use of that quantity, or by a fifth of a test deviation a day where that is more;
one of state or forecast by one test deviation: so neither a hungry tank nor an idle one rules the
figure. ``ratio`` divides two such figures over the same moments; ``family_ratio`` is the median of
the families' ratios; ``absolute_ratio`` divides mean absolute errors, ``median_ratio`` median ones,
which are blind to the rare wild answer. Interval scores are those of Gneiting & Raftery 2007
(J. Am. Stat. Assoc. 102:359, eq. 43) at 95 %.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from tests.simulated.case import Case, Unlogged
from tests.simulated.chemistry import CANONICAL_UNIT, QUANTITIES
from tests.simulated.hand import Reader, by_hand, days_since

SCORED = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity")
WITH_USE = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate")
ASPECTS = ("state", "use", "ahead")
#: one sound test, canonical unit, used only to scale the errors of state and forecast
TEST_SCALE = {
    "alkalinity": 0.05, "calcium": 7.5, "magnesium": 20.0, "nitrate": 0.6, "phosphate": 0.013,
    "salinity": 0.2,
}  # fmt: skip

#: An event is due once it moved something by so many deviations and two later tests exist.
LOUD = 8.0

WATER_KNOWN = "water known"
TEN_DAYS = "ten-day mean"

Estimate = Callable[[Case, datetime], Mapping[str, Any]]


@dataclass(frozen=True)
class Sample:
    """One number asked for: what was true, what was said, what the hand said."""

    family: str
    seed: int
    at: str
    quantity: str
    aspect: str
    truth: float
    scale: float
    value: float
    low: float
    high: float
    hand: Mapping[str, float]

    @property
    def inside(self) -> bool:
        return self.low <= self.truth <= self.high

    @property
    def interval_score(self) -> float:
        miss = max(self.low - self.truth, 0.0) + max(self.truth - self.high, 0.0)
        return (self.high - self.low + 2.0 / 0.05 * miss) / self.scale


@dataclass(frozen=True)
class Finds:
    """Counts of what was to be found and what was said, over all moments of one case."""

    family: str
    seed: int
    wrong_due: int = 0
    wrong_found: int = 0
    sound_tests: int = 0
    sound_suspected: int = 0
    spells_due: int = 0
    spells_found: int = 0
    events_due: int = 0
    events_found: int = 0
    events_said: int = 0
    events_true: int = 0
    volume_error: float = 0.0
    belief_error: float = 0.0
    sudden_doses: int = 0
    missed: tuple[str, ...] = field(default=())


def evaluate(case: Case, estimate: Estimate, *, slow: bool = False) -> tuple[list[Sample], Finds]:
    """Ask the estimator at each of the case's moments."""
    samples: list[Sample] = []
    counts: list[Finds] = []
    for number, moment in enumerate(case.truth.moments):
        known = case.until(moment.when)
        said = estimate(known, moment.when)
        hand = by_hand(case, moment.when, slow=slow)
        believed = use_if_water_were_known(case, number)
        samples += _samples(case, number, said, hand, believed)
        counts.append(_finds(case, known, moment.when, said))
    return samples, _add(counts)


def _samples(
    case: Case,
    number: int,
    said: Mapping[str, Any],
    hand: Mapping[str, Mapping[str, Any]],
    believed: Mapping[str, float],
) -> list[Sample]:
    moment = case.truth.moments[number]
    result = []
    for quantity in SCORED:
        answer = said["quantities"].get(quantity)
        if answer is None:
            continue
        mean_use = float(np.mean(np.abs(case.truth.consumption[quantity])))
        mean_use = max(mean_use, TEST_SCALE[quantity] / 5.0)
        last = answer["forecast"][-1]
        asked = {
            "state": (moment.state[quantity], answer["now"], TEST_SCALE[quantity], "now"),
            "use": (moment.consumption[quantity], answer["consumption"], mean_use, "use"),
            "ahead": (moment.forecast[quantity][-1], last, TEST_SCALE[quantity], "ahead"),
        }
        for aspect, (truth, span, scale, name) in asked.items():
            if aspect == "use" and quantity not in WITH_USE:
                continue
            if aspect == "ahead" and moment.pump_stopped:
                continue
            by = {m: getattr(each[quantity], name) for m, each in hand.items() if quantity in each}
            if aspect == "use" and quantity in believed:
                by[WATER_KNOWN] = believed[quantity]
                by[TEN_DAYS] = use_of_ten_days(case, number, quantity)
            result.append(
                Sample(case.family, case.seed, moment.when.isoformat(), quantity, aspect, truth,
                       scale, span["value"], span["low"], span["high"], by)
            )  # fmt: skip
    return result


def _exact(case: Case) -> Case:
    """The same rows with every test of the system replaced by the truth."""
    truth = case.truth
    rows = []
    for row in case.history:
        if row.kind == "test" and row.what in truth.concentration:
            hour = (row.instant - truth.start).total_seconds() / 3600.0
            level = float(np.interp(hour, truth.hours, truth.concentration[row.what]))
            rows.append(row._replace(value=f"{level:.9g}", unit=CANONICAL_UNIT[row.what]))
        else:
            rows.append(row)
    return replace(case, history=tuple(rows))


def use_if_water_were_known(case: Case, number: int) -> dict[str, float]:
    """The use of one who knows the water exactly and believes labels, pumps and volume.

    What is wrong with it is what tests of the water alone can't tell: a bottle that is strong, a
    pump that is slow, a volume that is off. Over seven days, so that single strokes don't matter.
    """
    moment, truth = case.truth.moments[number], case.truth
    reader = Reader(_exact(case.until(moment.when)))
    end = days_since(reader.epoch, moment.when)
    hour = (moment.when - truth.start).total_seconds() / 3600.0
    at = hour - 24.0 * np.arange(8)
    if at[-1] < 0.0:
        return {}
    result = {}
    for name, ledger in reader.ledgers.items():
        levels = np.interp(at, truth.hours, truth.concentration[name])
        true = np.interp(at[:-1], truth.hours, truth.consumption[name])
        brought = ledger.brought(end - 7.0, end)
        unseen = sum(
            event.change.get(name, 0.0)
            for event in truth.unlogged
            if moment.when - timedelta(days=7) < event.end <= moment.when
        )
        week = (brought + unseen - float(levels[0] - levels[-1])) / 7.0
        result[name] = moment.consumption[name] + week - float(np.mean(true))
    return result


def use_of_ten_days(case: Case, number: int, quantity: str) -> float:
    """The true use, but as a mean over the ten days around: what a day's food and chance hide."""
    moment, truth = case.truth.moments[number], case.truth
    hour = (moment.when - truth.start).total_seconds() / 3600.0
    inside = np.abs(truth.hours - hour) <= 5.0 * 24.0
    return float(np.mean(truth.consumption[quantity][inside]))


def _when(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _finds(case: Case, known: Case, at: datetime, said: Mapping[str, Any]) -> Finds:
    suspects = {(_when(each["when"]), each["what"]) for each in said["suspect_tests"]}
    places = {
        (row.instant, row.what): index
        for index, row in enumerate(known.history)
        if row.kind == "test"
    }
    suspected = {places[key] for key in suspects if key in places}
    later = {quantity: times_tested(known, quantity) for quantity in QUANTITIES}
    untrue = {wrong.row for wrong in case.truth.wrong_tests}
    untrue |= {row for spell in case.truth.spells for row in spell.rows}
    due = [
        wrong
        for wrong in case.truth.wrong_tests
        if wrong.deviations >= 6.0 and wrong.when <= at
        and sum(t > wrong.when for t in later[wrong.quantity]) >= 2
    ]  # fmt: skip
    spells = [
        spell
        for spell in case.truth.spells
        if spell.whens and sum(t > spell.whens[-1] for t in later[spell.quantity]) >= 2
    ]
    found = sum(
        sum(row in suspected for row in spell.rows) * 2 > len(spell.rows) for spell in spells
    )
    sound = set(places.values()) - untrue
    missed = [f"{w.when:%Y-%m-%d} {w.quantity} {w.kind} {w.deviations:.1f}" for w in due
              if w.row not in suspected]  # fmt: skip
    events = _events(case, at, said, later)
    return Finds(
        case.family, case.seed,
        wrong_due=len(due), wrong_found=sum(w.row in suspected for w in due),
        sound_tests=len(sound), sound_suspected=len(sound & suspected),
        spells_due=len(spells), spells_found=found,
        events_due=events[0], events_found=events[1], events_said=events[2], events_true=events[3],
        volume_error=said["volume"]["value"] / case.truth.net_volume - 1.0,
        belief_error=case.truth.believed_volume / case.truth.net_volume - 1.0,
        sudden_doses=case.truth.sudden_doses, missed=tuple(missed),
    )  # fmt: skip


def told_of(said: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The unwritten changes that were said to be likelier than not."""
    return [each for each in said["unlogged"] if each.get("probability", 1.0) > 0.5]


def times_tested(case: Case, quantity: str) -> list[datetime]:
    """When a quantity was tested, as far as the case is known."""
    return [row.instant for row in case.history if row.kind == "test" and row.what == quantity]


def _window(event: Unlogged, times: list[datetime]) -> tuple[datetime, datetime]:
    """From the last test before the event to the second one after it, and two days of grace."""
    grace = timedelta(days=2)
    before = [t for t in times if t <= event.start]
    after = [t for t in times if t >= event.end]
    start = (before[-1] if before else event.start) - grace
    return start, (after[1] if len(after) > 1 else event.end) + grace


def matches(entry: Mapping[str, Any], event: Unlogged, times: list[datetime]) -> bool:
    """Whether what was said meets an event in time (by the tests of it) and in direction."""
    start, end = _window(event, times)
    true = event.change.get(entry["what"], 0.0)
    meets = _when(entry["from"]) <= end and _when(entry["to"]) >= start
    return meets and true * entry["change"] > 0.0


def _events(
    case: Case, at: datetime, said: Mapping[str, Any], later: Mapping[str, list[datetime]]
) -> tuple[int, int, int, int]:
    """Due, found, said, true. An event is due once a quantity that it moved by eight deviations
    has two later tests; what is said counts as true if it meets any event of two deviations."""
    entries = told_of(said)
    due = found = 0
    for event in case.truth.unlogged:
        loud = [
            name
            for name, size in event.deviations.items()
            if size >= LOUD and sum(t > event.end for t in later[name]) >= 2
        ]
        if event.end > at or not loud:
            continue
        due += 1
        found += any(
            entry["what"] in loud and matches(entry, event, later[entry["what"]])
            for entry in entries
        )
    true = 0
    for entry in entries:
        times = later.get(entry["what"], [])
        true += any(
            event.deviations.get(entry["what"], 0.0) >= 2.0 and matches(entry, event, times)
            for event in case.truth.unlogged
        )
    return due, found, len(entries), true


def _add(counts: list[Finds]) -> Finds:
    first = counts[0]
    summed = {
        name: sum(getattr(each, name) for each in counts)
        for name in asdict(first)
        if name not in ("family", "seed", "volume_error", "belief_error", "sudden_doses", "missed")
    }
    missed = tuple(dict.fromkeys(text for each in counts for text in each.missed))
    return Finds(
        first.family, first.seed, **summed, volume_error=counts[-1].volume_error,
        belief_error=first.belief_error, sudden_doses=first.sudden_doses, missed=missed,
    )  # fmt: skip


# ---- figures ------------------------------------------------------------------------------------


def coverage(samples: Iterable[Sample]) -> float:
    inside = [sample.inside for sample in samples]
    return float(np.mean(inside)) if inside else float("nan")


def _errors(samples: list[Sample], method: str) -> tuple[list[float], list[float]]:
    ours, theirs = [], []
    for sample in samples:
        if method in sample.hand:
            ours.append((sample.value - sample.truth) / sample.scale)
            theirs.append((sample.hand[method] - sample.truth) / sample.scale)
    return ours, theirs


def ratio(samples: list[Sample], method: str) -> float:
    """Root mean square of our scaled errors over that of ``method``, same moments."""
    ours, theirs = _errors(samples, method)
    if not ours:
        return float("nan")
    return float(np.sqrt(np.mean(np.square(ours)) / np.mean(np.square(theirs))))


def absolute_ratio(samples: list[Sample], method: str) -> float:
    """Mean absolute errors instead of root mean squares."""
    ours, theirs = _errors(samples, method)
    if not ours:
        return float("nan")
    return float(np.mean(np.abs(ours)) / np.mean(np.abs(theirs)))


def family_ratio(samples: list[Sample], method: str) -> float:
    """The median over families of their ratios of root mean squares."""
    families = {sample.family for sample in samples}
    ratios = [ratio([s for s in samples if s.family == each], method) for each in families]
    return float(np.nanmedian(ratios)) if np.isfinite(ratios).any() else float("nan")


def median_ratio(samples: list[Sample], method: str) -> float:
    ours, theirs = _errors(samples, method)
    if not ours:
        return float("nan")
    return float(np.median(np.abs(ours)) / np.median(np.abs(theirs)))


def root_mean_square(samples: list[Sample]) -> float:
    if not samples:
        return float("nan")
    return float(np.sqrt(np.mean([((s.value - s.truth) / s.scale) ** 2 for s in samples])))


def hand_root_mean_square(samples: list[Sample], method: str) -> float:
    _, theirs = _errors(samples, method)
    return float(np.sqrt(np.mean(np.square(theirs)))) if theirs else float("nan")


def mean_interval_score(samples: list[Sample]) -> float:
    return float(np.mean([s.interval_score for s in samples])) if samples else float("nan")
