"""Today: is anything wrong, is anything to be done, what does it rest on, when to look again.

Built from the main answer alone. Sentences carry the number with its range and the age of its
evidence; a calm page is earned by recent tests.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer, QuantityAnswer, Unlogged
from brinebook.balance.estimate import Suspect
from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.report.advice import NextTest, next_test
from brinebook.report.answer_json import why_unlogged
from brinebook.report.dates import ago_text, day_text
from brinebook.report.numbers import measure_and_range_text, range_text, value_text
from brinebook.report.shown import shown_measure

_RECENT_DAYS = 7
_OPEN_DAYS = 14
#: A chance of leaving the band within a week from which Today says so first.
_WORTH_A_LOOK = 0.8

#: In which order quantities are spoken of.
_SPOKEN = ("alkalinity", "temperature", "salinity", "ammonia", "calcium", "nitrate", "phosphate")

_CAUSE_OF_KIND = {
    "wrong": "test_wrong",
    "spell": "test_wrong",
    "exchange": "unlogged_change",
    "fall": "precipitation",
    "stop": "dose_not_arriving",
    "step": "use_changed",
}

_TELL_APART = {
    "test_wrong": "Test once more, with another kit or a fresh bottle if you have one.",
    "unlogged_change": "Was water changed and not written down?",
    "unlogged_dose": "Was something poured in and not written down, or twice?",
    "precipitation": "Look for a white film on heater and pump; test calcium.",
    "dose_not_arriving": "Look how far the bottle has gone down since the last mark.",
    "use_changed": "A test in a few days tells.",
    "other": "One more test helps more than thinking.",
}


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do."""

    kind: str
    about: str
    text: str
    why: str
    by: datetime


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause with its share of belief."""

    cause: str
    probability: float
    tell_apart: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Rival causes of something seen lately."""

    about: str
    since: datetime
    causes: tuple[Cause, ...]
    settled: str


@dataclass(frozen=True, slots=True)
class Today:
    """What the page and the command show."""

    at: datetime
    headline: str
    sentences: tuple[str, ...]
    acts: tuple[Act, ...]
    explanations: tuple[Explanation, ...]
    next_tests: tuple[NextTest, ...]


def today(answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> Today:
    """Everything that Today says."""
    words = _Words(answer, zone, units)
    acts = tuple(words.acts())
    tests = tuple(sorted((next_test(answer, q) for q in answer.quantities.values()),
                         key=lambda test: (test.by, test.quantity)))  # fmt: skip
    return Today(
        at=answer.at,
        headline=_headline(answer, acts),
        sentences=tuple(words.sentences()),
        acts=acts,
        explanations=tuple(explanations(answer)),
        next_tests=tests,
    )


def _headline(answer: Answer, acts: Sequence[Act]) -> str:
    if not answer.quantities:
        return "Nothing is known yet: the book holds no test."
    if not acts:
        return "Nothing needs you today."
    return acts[0].text


class _Words:
    def __init__(self, answer: Answer, zone: ZoneInfo, units: Mapping[str, str]) -> None:
        self.answer, self.zone, self.units = answer, zone, units
        self.recent = answer.at - timedelta(days=_RECENT_DAYS)

    def spoken(self) -> list[QuantityAnswer]:
        order = {name: place for place, name in enumerate(_SPOKEN)}
        return sorted(
            self.answer.quantities.values(), key=lambda q: (order.get(q.name, 99), q.name)
        )

    def now(self, quantity: QuantityAnswer) -> str:
        return measure_and_range_text(
            shown_measure(quantity.name, quantity.now, self.units[quantity.name])
        )

    def band(self, quantity: QuantityAnswer) -> str:
        assert quantity.band is not None
        low, high = quantity.band
        middle = Measure((low + high) / 2, (high - low) / 4, "", low, high)
        return range_text(shown_measure(quantity.name, middle, self.units[quantity.name]))

    def acts(self) -> list[Act]:
        found = [self._check(each) for each in self._stops()]
        found += [self._retest(each) for each in self._last_suspects()]
        checked = {act.about for act in found}
        for quantity in self.spoken():
            if quantity.name in checked:
                continue
            if quantity.status == "out of band":
                found.append(self._out(quantity))
                continue
            if quantity.outside is not None and max(quantity.outside) > _WORTH_A_LOOK:
                found.append(self._leaving(quantity))
                continue
            due = next_test(self.answer, quantity)
            if due.by <= self.answer.at + timedelta(hours=12):
                found.append(self._test(quantity, due))
        return found

    def _stops(self) -> list[Unlogged]:
        found = [u for u in self.answer.unlogged if u.kind == "stop" and u.ends >= self.recent]
        return list({u.what: u for u in found}.values())

    def _check(self, each: Unlogged) -> Act:
        title = each.what
        return Act(
            "check",
            each.quantity,
            f"Check the dosing line of the {title} before you dose anything.",
            f"{each.quantity.capitalize()} fell as it would with none of it arriving "
            f"(chance about {round(each.probability * 10)} in 10). Has the bottle gone down?",
            self.answer.at,
        )

    def _last_suspects(self) -> list[Suspect]:
        found = []
        for suspect in self.answer.suspects:
            quantity = self.answer.quantities[suspect.quantity]
            if quantity.tested is not None and instant(suspect.t) >= quantity.tested - timedelta(
                hours=1
            ):
                found.append(suspect)
        return [s for s in found if instant(s.t) >= self.recent]

    def _retest(self, suspect: Suspect) -> Act:
        unit = self.units[suspect.quantity]
        quantity = self.answer.quantities[suspect.quantity]
        read = value_text(
            shown_measure(
                suspect.quantity, Measure(suspect.value, quantity.now.sd, quantity.unit), unit
            )
        )
        return Act(
            "retest",
            suspect.quantity,
            f"Test {suspect.quantity} again before you act on {read}.",
            f"From all the rest it should be about {self.now(quantity)}: the test is likely wrong.",
            self.answer.at,
        )

    def _out(self, quantity: QuantityAnswer) -> Act:
        assert quantity.band is not None
        side = "under" if quantity.now.value < quantity.band[0] else "over"
        return Act(
            "check",
            quantity.name,
            f"{quantity.name.capitalize()} is {side} your band: about {self.now(quantity)}.",
            f"Your band is {self.band(quantity)}. Not an emergency by itself: change it no faster "
            "than your own limit a day.",
            self.answer.at + timedelta(days=1),
        )

    def _leaving(self, quantity: QuantityAnswer) -> Act:
        assert quantity.outside is not None
        side = "low" if quantity.outside[0] >= quantity.outside[1] else "high"
        return Act(
            "check",
            quantity.name,
            f"Look at {quantity.name} this week: as things go it passes the {side} end of your "
            "band.",
            f"It is about {self.now(quantity)}; your band is {self.band(quantity)}. Is the dosing "
            "what you meant it to be?",
            self.answer.at + timedelta(days=1),
        )

    def _test(self, quantity: QuantityAnswer, due: NextTest) -> Act:
        text = f"Test {quantity.name} today."
        return Act("test", quantity.name, text, due.why, due.by)

    def sentences(self) -> list[str]:
        found = []
        for quantity in self.spoken():
            if quantity.name == "alkalinity":
                found.append(self._main(quantity))
        for quantity in self.spoken():
            if quantity.status == "stale" and quantity.tested is not None:
                ago = ago_text(quantity.tested, self.answer.at, self.zone)
                now = shown_measure(quantity.name, quantity.now, self.units[quantity.name])
                found.append(
                    f"{quantity.name.capitalize()} was last tested {ago}, so I can only say "
                    f"{range_text(now)} {now.unit}."
                )
            elif quantity.status == "drifting":
                found.append(self._drifting(quantity))
        found += [self._unlogged(u) for u in self._recent_changes()]
        return [*found, *self.answer.notes]

    def _recent_changes(self) -> list[Unlogged]:
        found = [u for u in self.answer.unlogged if u.ends >= self.recent and u.kind != "stop"]
        return list({u.id: u for u in found}.values())

    def _unlogged(self, each: Unlogged) -> str:
        change = value_text(
            shown_measure(each.quantity, each.change, self.units[each.quantity], difference=True)
        )
        day = day_text(each.ends, self.answer.at, self.zone)
        return (
            f"By {day} {each.quantity} had changed by {change} and nothing in the book says why. "
            + why_unlogged(each)
        )

    def _main(self, quantity: QuantityAnswer) -> str:
        text = f"{quantity.name.capitalize()} is about {self.now(quantity)}"
        if quantity.tested is not None:
            text += f", last tested {ago_text(quantity.tested, self.answer.at, self.zone)}"
        use = quantity.consumption
        if use is None:
            return text + "."
        shown = shown_measure(quantity.name, use, self.units[quantity.name], difference=True)
        spread = range_text(shown)
        return f"{text}; the reef uses {value_text(shown)} a day ({spread})."

    def _drifting(self, quantity: QuantityAnswer) -> str:
        assert quantity.outside is not None
        low, high = quantity.outside
        side, chance = ("low", low) if low >= high else ("high", high)
        return (
            f"{quantity.name.capitalize()} is about {self.now(quantity)} and likely to pass the "
            f"{side} end of your band within a week (chance about {round(chance * 10)} in 10)."
        )


def explanations(answer: Answer) -> list[Explanation]:
    """Rival causes for what was odd in the last fortnight, from the shares of the stories."""
    found = []
    since = answer.at - timedelta(days=_OPEN_DAYS)
    for season in answer.seasons:
        reading = season.last
        shares: dict[str, dict[str, float]] = {}
        begins: dict[str, float] = {}
        for story in reading.stories:
            share = math.exp(story.weight)
            seen: dict[str, set[str]] = {}
            for position, member in enumerate(story.members):
                cause = reading.field.causes[reading.field.cause[member]]
                if instant(cause.ends) < since or cause.kind in ("step", "refill"):
                    continue
                about = cause.what
                if cause.rows:
                    test = reading.window.rows[cause.rows[0]].test
                    about = test.quantity if test is not None else ""
                elif cause.kind in ("stop", "exchange", "fall"):
                    about = "alkalinity" if "alkalinity" in answer.quantities else ""
                if not about:
                    continue
                rising = story.coefficients[position] > 0
                name = _CAUSE_OF_KIND.get(cause.kind, "unlogged_dose" if rising else "other")
                seen.setdefault(about, set()).add(name)
                begins[about] = min(begins.get(about, cause.begins), cause.begins)
            for about, names in seen.items():
                for name in names:
                    mine = shares.setdefault(about, {})
                    mine[name] = mine.get(name, 0.0) + share / len(names)
        found += [_explanation(about, begins[about], mine) for about, mine in shares.items()
                  if max(mine.values()) > 0.2]  # fmt: skip
    return sorted(found, key=lambda e: (-e.causes[0].probability, e.about))


def _explanation(about: str, begins: float, shares: dict[str, float]) -> Explanation:
    total = sum(shares.values())
    scale = min(1.0, 1.0 / total)
    causes = [Cause(name, share * scale, _TELL_APART[name]) for name, share in shares.items()
              if name != "other"]  # fmt: skip
    rest = 1.0 - sum(cause.probability for cause in causes)
    causes.append(Cause("other", max(rest, 0.0), _TELL_APART["other"]))
    causes.sort(key=lambda cause: (-cause.probability, cause.cause))
    return Explanation(about, instant(begins), tuple(causes), "")


def today_json(answer: Answer, page: Today) -> dict[str, object]:
    """``today --json`` as the contract has it."""
    return {
        "as_of": page.at.isoformat(),
        "headline": page.headline,
        "acts": [
            {
                "kind": act.kind, "about": act.about, "text": act.text, "why": act.why,
                "by": act.by.isoformat(), "substance": None, "amount": None, "unit": None,
            }
            for act in page.acts
        ],
        "explanations": [
            {
                "about": [each.about],
                "since": each.since.isoformat(),
                "causes": [
                    {"cause": c.cause, "probability": c.probability, "for": "", "against": "",
                     "tell_apart": c.tell_apart}
                    for c in each.causes
                ],
            }
            for each in page.explanations
        ],
        "quantities": {
            name: {
                "status": q.status, "value": q.now.value, "low": q.now.low, "high": q.now.high,
                "unit": q.unit, "tested": q.tested.isoformat() if q.tested else None,
            }
            for name, q in answer.quantities.items()
        },
        "next_tests": [
            {"what": test.quantity, "by": test.by.isoformat(), "why": test.why}
            for test in page.next_tests
        ],
    }  # fmt: skip
