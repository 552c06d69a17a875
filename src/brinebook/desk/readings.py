"""Readings of probes as they come from a machine: kept together or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brinebook.book import probes_csv
from brinebook.book.history_csv import BadRow, BadRows
from brinebook.book.rows import Problem
from brinebook.book.systems import hold
from brinebook.desk.opening import OpenSystem


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading in the columns of probes.csv, as text."""

    when: str
    probe: str
    value: str
    unit: str = ""


def add_readings(opened: OpenSystem, rows: Sequence[Reading], *, now: datetime) -> int:
    """Keep the readings; return how many were new. Raises BadRows with every bad one."""
    bad: list[BadRow] = []
    good = []
    for place, row in enumerate(rows, start=1):
        found = probes_csv.read_fields(
            (row.when, row.probe, row.value, row.unit), zone=opened.zone, now=now
        )
        if isinstance(found, Problem):
            bad.append(BadRow(place, found.column, found.value, found.reason, found.hint))
        else:
            good.append(found)
    if bad:
        raise BadRows(bad)
    with opened.book.write() as connection:
        hold(connection, opened.system_id)
        return probes_csv.keep_readings(connection, opened.system_id, good)
