"""Brinebook's own answer for a simulated case, through the same doors as a keeper's files."""

from __future__ import annotations

import csv
import functools
import io
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from brinebook.balance.answer import answer
from brinebook.book.description import read_description
from brinebook.book.history_csv import read_history
from brinebook.report.answer_json import answer_json
from brinebook.system import System
from brinebook.timeline import Fact
from tests.simulated.case import HEADER, Case, Row

_FAR_AHEAD = datetime(2100, 1, 1, tzinfo=UTC)


@functools.lru_cache(maxsize=4)
def _read(text: str, rows: tuple[Row, ...]) -> tuple[System, tuple[Fact, ...]]:
    system = read_description(text).system
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(HEADER)
    writer.writerows(rows)
    data = file.getvalue().encode()
    history = read_history(data, zone=ZoneInfo(system.timezone), now=_FAR_AHEAD)
    assert not history.bad, history.bad[:3]
    return system, tuple(history.facts)


def read_case(case: Case) -> tuple[System, tuple[Fact, ...]]:
    """The case's files as the program reads them."""
    return _read(case.system_toml, tuple(case.history))


def estimate(case: Case, at: datetime) -> Mapping[str, Any]:
    """The contract's ``balance --json`` for the case as its keeper knew it at ``at``."""
    system, facts = read_case(case)
    return answer_json(answer(system, facts, at))
