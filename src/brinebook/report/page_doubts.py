"""What the answer doubts, as rows of a page: tests, changes that nothing explains, methods."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from brinebook.balance.answer import Answer
from brinebook.balance.season import instant
from brinebook.measure import Measure
from brinebook.report.answer_json import why_unlogged
from brinebook.report.dates import date_text
from brinebook.report.numbers import chance_text, measure_text, value_text
from brinebook.report.shown import shown_measure
from brinebook.texts.names import quantity_label
from brinebook.timeline import Fact

MOST = 12


@dataclass(frozen=True, slots=True)
class DoubtfulTest:
    """A test more likely wrong than not."""

    fact: str
    when: str
    what: str
    value: str
    chance: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Unexplained:
    """A change of the water that no fact explains."""

    id: str
    begins: str
    ends: str
    what: str
    change: str
    chance: str
    why: str
    verdict: str


@dataclass(frozen=True, slots=True)
class MethodRow:
    """What the tests say of a method: one test's noise, and how far it reads off."""

    what: str
    method: str
    lot: str
    noise: str
    bias: str


def verdicts_on(facts: Sequence[Fact]) -> dict[str, str]:
    """What the keeper said last of each fact or change."""
    return {fact.what: fact.detail.get("says", "") for fact in facts if fact.kind == "verdict"}


def doubtful_tests(
    answer: Answer, zone: ZoneInfo, units: Mapping[str, str], said: Mapping[str, str]
) -> list[DoubtfulTest]:
    """The tests not to believe, newest first."""
    rows = []
    for one in answer.suspects[:MOST]:
        spread = next((m.sd for m in answer.methods if m.quantity == one.quantity), 0.0)
        spread = spread or answer.quantities[one.quantity].now.sd
        shown = shown_measure(one.quantity, Measure(one.value, spread, ""), units[one.quantity])
        rows.append(
            DoubtfulTest(
                one.fact,
                date_text(instant(one.t), answer.at, zone),
                quantity_label(one.quantity),
                value_text(shown),
                chance_text(one.probability),
                said.get(one.fact, ""),
            )
        )
    return rows


def unexplained(
    answer: Answer, zone: ZoneInfo, units: Mapping[str, str], said: Mapping[str, str]
) -> list[Unexplained]:
    """The changes that nothing in the book explains, newest first."""
    return [
        Unexplained(
            one.id,
            date_text(one.begins, answer.at, zone),
            date_text(one.ends, answer.at, zone),
            quantity_label(one.quantity),
            measure_text(
                shown_measure(one.quantity, one.change, units[one.quantity], difference=True)
            ),
            chance_text(one.probability),
            why_unlogged(one),
            said.get(one.id, ""),
        )
        for one in answer.unlogged[:MOST]
    ]


def method_rows(answer: Answer, units: Mapping[str, str]) -> list[MethodRow]:
    """Every method and bottle that the tests say something of."""
    rows = []
    for one in answer.methods:
        unit = units[one.quantity]
        noise = shown_measure(one.quantity, Measure(one.sd, one.sd / 10, ""), unit, difference=True)
        bias = shown_measure(one.quantity, one.bias, unit, difference=True)
        rows.append(
            MethodRow(
                quantity_label(one.quantity),
                one.method,
                one.lot,
                value_text(noise),
                measure_text(bias),
            )
        )
    return rows
