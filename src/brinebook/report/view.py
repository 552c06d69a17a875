"""All that Today is written from, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

from brinebook.balance.answer import QuantityAnswer
from brinebook.balance.causes.case import Case, Occasion, occasions
from brinebook.report.advice import NextTest
from brinebook.report.causes import Explanation
from brinebook.report.speech import Speech

#: In which order quantities are spoken of.
_SPOKEN = (
    "alkalinity", "temperature", "salinity", "ammonia", "nitrite", "calcium", "ph", "nitrate",
    "phosphate", "magnesium",
)  # fmt: skip
#: A range so many times as wide as the band, or as the level itself, says nothing any more.
_TOO_WIDE, _TOO_WIDE_LEVEL = 3.0, 1.6


@dataclass(frozen=True, slots=True)
class View:
    """The case, how to speak, and what was found: explanations and when to test."""

    case: Case
    speech: Speech
    explanations: tuple[Explanation, ...]
    next_tests: tuple[NextTest, ...]

    @property
    def open_matters(self) -> list[Explanation]:
        """The explanations that nobody has settled."""
        return [one for one in self.explanations if one.settled is None]

    def spoken(self) -> list[QuantityAnswer]:
        """The quantities in the order in which they are spoken of."""
        order = {name: place for place, name in enumerate(_SPOKEN)}
        answers = self.case.answer.quantities.values()
        return sorted(answers, key=lambda one: (order.get(one.name, 99), one.name))

    def sound_occasions(self, quantity: str) -> list[Occasion]:
        """The occasions of a quantity's tests that nothing calls wrong."""
        wrong = {each.fact for each in self.case.answer.suspects}
        tests = [
            test
            for test in self.case.tests_of(quantity)
            if test.fact not in wrong and test.verdict != "wrong" and not test.edge
        ]
        return occasions(tests)

    def test_sd(self, quantity: str) -> float:
        """One test's standard deviation by the usual method: the digits that a reading earns."""
        found = [each.sd for each in self.case.answer.methods if each.quantity == quantity]
        return min(found) if found else self.case.answer.quantities[quantity].now.sd

    def band(self, quantity: QuantityAnswer) -> str:
        """The keeper's band, “7.3 to 9”; the quantity has one."""
        assert quantity.band is not None
        return self.speech.band(quantity.name, *quantity.band)

    def due_of(self, quantity: str) -> NextTest | None:
        """When a quantity is to be tested again."""
        return next((test for test in self.next_tests if test.quantity == quantity), None)


def is_unknown(quantity: QuantityAnswer) -> bool:
    """Whether the last test is so long ago that its range says nothing any more."""
    width = quantity.now.high - quantity.now.low
    if quantity.band is not None:
        return width > _TOO_WIDE * (quantity.band[1] - quantity.band[0])
    return (
        quantity.tests >= 3
        and width > _TOO_WIDE_LEVEL * max(abs(quantity.now.value), 1e-9)
        and (quantity.name not in ("ammonia", "nitrite", "iron"))
    )
