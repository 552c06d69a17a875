"""What has happened lately, and what may have caused it: the explanations behind Today."""

from __future__ import annotations

from collections.abc import Sequence

from brinebook.balance.answer import Answer
from brinebook.balance.causes.case import Case
from brinebook.balance.causes.drink import changed_drink
from brinebook.balance.causes.explained import Explained, Word
from brinebook.balance.causes.heard import heard
from brinebook.balance.causes.matters import matters_of
from brinebook.balance.causes.media import tired_media
from brinebook.balance.causes.readings import odd_lots, odd_standards, odd_volume
from brinebook.balance.causes.room import changed_ph
from brinebook.balance.causes.slow_use import changed_use
from brinebook.balance.causes.told_by_tests import told_by_tests
from brinebook.balance.season import days_since_epoch
from brinebook.system import System
from brinebook.timeline import Fact

#: What no single test shows, each looked for by itself.
_SLOW = (changed_use, changed_drink, tired_media, changed_ph, odd_lots, odd_standards, odd_volume)


def lately(
    answer: Answer, system: System, facts: Sequence[Fact], words: Sequence[Word] = ()
) -> tuple[Explained, ...]:
    """The explanations still open at the answer's time, and those settled in its last week.

    ``words`` are the keeper's verdicts. Surest first, the settled ones last.
    """
    at = days_since_epoch(answer.at)
    case = Case(system, tuple(fact for fact in facts if fact.when <= answer.at), answer, at)
    found = [
        told_by_tests(case, season, matter)
        for season in answer.seasons
        for matter in matters_of(season, at)
        if matter.about[0] != "ph"  # has a look of its own, which knows the room's air
    ]
    for look in _SLOW:
        found += [one for one in look(case) if not _is_told(one, found)]
    found = [one for one in found if not _is_part_of(one, found)]
    return heard(case, found, words)


def _is_part_of(one: Explained, found: Sequence[Explained]) -> bool:
    """Whether a moved salinity is a sign of what the top-off shows, and told there."""
    return (
        one.kind == "tests"
        and one.about[0] == "salinity"
        and any(
            other.kind == "drink"
            and "salinity" in other.signs
            and other.lead.cause in ("leak", "equipment")
            for other in found
        )
    )


def _is_told(slow: Explained, found: Sequence[Explained]) -> bool:
    """Whether the tests' own stories explain the same already."""
    return any(one.kind == "tests" and set(one.about) & set(slow.about) for one in found)
