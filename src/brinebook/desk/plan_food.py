"""What food holds: by its label as typed, else by the facts, else a wide guess."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from brinebook.balance.beliefs import PHOSPHATE_PER_P
from brinebook.errors import UsageProblem
from brinebook.planning.food import (
    KEPT_PHOSPHORUS,
    LABEL_SD,
    UNKNOWN_NITROGEN,
    UNKNOWN_PHOSPHORUS,
    FoodContent,
    content_of_label,
)
from brinebook.planning.spread import Spread
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import convert_amount, parse_number, split_amount

#: Food is counted over so many days where a daily amount is wanted.
DAYS = timedelta(days=28)


class ShareUnreadable(UsageProblem):
    """A share of something that can't be one."""

    code = "E-SHARE"

    def __init__(self, text: str) -> None:
        super().__init__(
            say("“{text}” is no share between 0 and 100 %.", text=text),
            say("Write a percentage: “45 %”."),
        )


@dataclass(frozen=True, slots=True)
class Label:
    """What was typed of a food's label, if anything."""

    protein: str | None = None
    phosphorus: str | None = None
    moisture: str | None = None
    of_dry: bool = False


def share_of(text: str) -> float:
    """“45 %” as 0.45; raises ShareUnreadable and what the reader of numbers raises."""
    number, unit = split_amount(text)
    value = parse_number(number, decimal_comma=True)
    if unit.strip() not in ("%", "percent") or not 0.0 < value < 100.0:
        raise ShareUnreadable(text)
    return value / 100.0


def content_of(label: Label, facts: Sequence[Fact], food: str | None = None) -> FoodContent:
    """What a gram of the food holds: the label as typed goes first, then the newest such fact."""
    found = _of_facts(facts, food)
    protein, phosphorus = (
        None if text is None else share_of(text) for text in (label.protein, label.phosphorus)
    )
    moisture = 0.0 if label.moisture is None else share_of(label.moisture)
    if label.of_dry and label.moisture is None:
        raise ShareUnreadable(say("no moisture"))
    typed = content_of_label(
        protein=protein, phosphorus=phosphorus, moisture=moisture, of_dry_matter=label.of_dry
    )
    return FoodContent(
        found.nitrogen if protein is None else typed.nitrogen,
        found.phosphorus if phosphorus is None else typed.phosphorus,
    )


def _of_facts(facts: Sequence[Fact], food: str | None) -> FoodContent:
    fed = [
        fact
        for fact in facts
        if fact.kind == "feed" and (food is None or fact.what.casefold() == food.casefold())
    ]
    last = max(fed, key=lambda fact: fact.when, default=None)
    return (
        content_of_fact(last)
        if last is not None
        else content_of_label(protein=None, phosphorus=None)
    )


def content_of_fact(fact: Fact) -> FoodContent:
    """What a gram of a food that was fed holds, by the fact's own ``n`` and ``p``."""
    return FoodContent(
        _said(fact.detail.get("n"), UNKNOWN_NITROGEN),
        _said(fact.detail.get("p"), UNKNOWN_PHOSPHORUS),
    )


def _said(text: str | None, otherwise: Spread) -> Spread:
    if not text:
        return otherwise
    value = parse_number(text)
    return Spread.about(value, LABEL_SD) if value > 0.0 else Spread.exactly(0.0)


def daily_grams(facts: Sequence[Fact], at: datetime) -> float | None:
    """Grams of food a day over the last four weeks of the book; None where none is written down."""
    fed = [fact for fact in facts if fact.kind == "feed" and fact.when <= at]
    if not fed:
        return None
    begins = max(at - DAYS, min(fact.when for fact in fed))
    days = max((at - begins) / timedelta(days=1), 1.0)
    grams = sum(
        convert_amount(float(fact.value), fact.unit, "g") for fact in fed if fact.when >= begins
    )
    return grams / days or None


#: How far what reaches the water may lie from what food alone would bring: animals keep some, the
#: skimmer takes some, rock may give (common practice, no source).
_AND_ROCK = 2.5


def phosphate_from_food(facts: Sequence[Fact], at: datetime) -> Spread | None:
    """mg of PO4 that food brings the water in a day, over the last weeks; None without any food."""
    fed = [f for f in facts if f.kind == "feed" and at - DAYS <= f.when <= at]
    if not fed:
        return None
    days = max((at - min(fact.when for fact in fed)) / timedelta(days=1), 7.0)
    phosphorus = sum(
        1e3
        * convert_amount(float(fact.value), fact.unit, "g")
        * content_of_fact(fact).phosphorus.middle
        for fact in fed
    )
    middle = phosphorus / days * (1.0 - KEPT_PHOSPHORUS.middle) * PHOSPHATE_PER_P
    return Spread(middle / _AND_ROCK, middle, middle * _AND_ROCK) if middle > 0.0 else None
