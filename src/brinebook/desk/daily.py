"""Today, from the book: the answer, the keeper's verdicts with who gave them, and the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from brinebook.book import facts as stored
from brinebook.desk.assess import Assessed, assess
from brinebook.desk.opening import Loaded

if TYPE_CHECKING:
    from brinebook.balance.causes.explained import Word
    from brinebook.report.today import Today

#: Words older than this settle nothing that is still shown; the balance itself knows them all.
_WORDS_COUNT = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Day:
    """What Today shows: the answer it rests on, the page, and the units it is told in."""

    assessed: Assessed
    page: Today
    units: dict[str, str]


def read_day(
    address: str,
    name: str | None = None,
    *,
    at: datetime | None = None,
    known: datetime | None = None,
) -> Day:
    """Today for one system, as of ``at`` (else the present), as known at ``known``.

    Raises what opening the book raises. Nothing is written.
    """
    return day_of(assess(address, name, at=at, known=known))


def day_of(found: Assessed) -> Day:
    """Today, from an answer that is at hand."""
    from brinebook.desk.plan_today import with_plans
    from brinebook.report.shown import shown_units
    from brinebook.report.today import today

    loaded = found.loaded
    units = shown_units(loaded.system, loaded.facts)
    page = today(
        found.answer,
        loaded.zone,
        units,
        system=loaded.system,
        facts=loaded.facts,
        words=words_of(loaded),
    )
    levels = {name: each.now for name, each in found.answer.quantities.items()}
    return Day(found, with_plans(loaded, page, levels), units)


def words_of(loaded: Loaded) -> list[Word]:
    """The keeper's verdicts of late, each with who gave it: by its detail, else by its entry."""
    from brinebook.balance.causes.explained import Word
    from brinebook.balance.season import days_since_epoch

    verdicts = [fact for fact in loaded.facts
                if fact.kind == "verdict" and fact.when > loaded.at - _WORDS_COUNT]  # fmt: skip
    if not verdicts:
        return []
    system_id = loaded.opened.system_id
    found = []
    with loaded.book.read() as connection:
        for fact in verdicts:
            by = fact.detail.get("by", "")
            if not by:
                chain = stored.chain_of(connection, system_id, fact.id)
                by = stored.revisions(connection, system_id, [chain])[0].entered.by
            says = fact.detail.get("says", "")
            found.append(Word(fact.what, says, days_since_epoch(fact.when), by))
    return found
