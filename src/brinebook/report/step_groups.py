"""Steps of a plan as they are read: the same act many times is one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from brinebook.plan import Step
from brinebook.report.dates import instant_text
from brinebook.texts import say

#: From so many like steps in a row on they are told as one.
_MANY = 4


@dataclass(frozen=True, slots=True)
class StepGroup:
    """A run of like steps, numbered as in the plan; one alone has ``first`` and ``last`` alike."""

    first: int
    last: int
    begins: datetime
    ends: datetime
    text: str

    def when(self, at: datetime, zone: ZoneInfo) -> str:
        """“Fri 31 January, 08:00”, or from when to when and how often."""
        begins = instant_text(self.begins, at, zone)
        if self.first == self.last:
            return begins
        return say(
            "{begins} to {ends}, {count} times",
            begins=begins,
            ends=instant_text(self.ends, at, zone),
            count=self.last - self.first + 1,
        )


def grouped(steps: Sequence[Step]) -> tuple[StepGroup, ...]:
    """The steps in order, each run of at least four of one text as one."""
    found: list[StepGroup] = []
    begin = 0
    for place in range(1, len(steps) + 1):
        if place < len(steps) and steps[place].text == steps[begin].text:
            continue
        if place - begin >= _MANY:
            found.append(_group(steps, begin, place - 1))
        else:
            found += [_group(steps, each, each) for each in range(begin, place)]
        begin = place
    return tuple(found)


def _group(steps: Sequence[Step], first: int, last: int) -> StepGroup:
    return StepGroup(first + 1, last + 1, steps[first].when, steps[last].when, steps[first].text)
