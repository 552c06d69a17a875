"""probes.csv: readings of probes by the million, streamed in bounded memory, all or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sqlalchemy import func, insert, select

from brinebook import units
from brinebook.book.history_csv import BadRow, BadRows, check_header, split_row
from brinebook.book.identity import EPOCH, MICROSECOND, from_us
from brinebook.book.rows import FUTURE_ALLOWED, Problem, read_when
from brinebook.book.schema import probe_readings, probes
from brinebook.errors import BrinebookError
from brinebook.texts import say
from brinebook.units import QUANTITIES, Quantity
from brinebook.water.quantities import to_canonical

if TYPE_CHECKING:
    from sqlalchemy import Connection

HEADER = ("when", "probe", "value", "unit")
BATCH = 20_000
#: Beyond so many, only the count goes on: memory stays bounded even where every row is bad.
MOST_NAMED = 10_000

Progress = Callable[[int], None]
#: When it happened (microseconds since 1970 UTC), the probe's name, its value and unit.
Row = tuple[int, str, float, str]


@dataclass(frozen=True, slots=True)
class ProbesImported:
    """How many readings a file held, how many were new, and the rows left out."""

    read: int
    added: int
    bad: tuple[BadRow, ...]
    bad_count: int


def import_probes(
    connection: Connection,
    system_id: str,
    path: Path,
    *,
    zone: ZoneInfo,
    now: datetime,
    skip_bad: bool = False,
    progress: Progress | None = None,
) -> ProbesImported:
    """Read a probes.csv into the book within the caller's transaction.

    ``progress`` is told the bytes read since it was last told. Raises HeaderWrong, or BadRows
    (unless ``skip_bad``) after the whole file was read.
    """
    numbers = _Numbers(connection, system_id)
    before = _count(connection, system_id)
    bad: list[BadRow] = []
    bad_count = read = 0
    batch: list[dict[str, object]] = []
    rows = _Rows(path, zone=zone, now=now, progress=progress)
    for line, row in rows:
        if isinstance(row, Problem):
            bad_count += 1
            if len(bad) < MOST_NAMED:
                bad.append(BadRow(line, row.column, row.value, row.reason, row.hint))
            continue
        read += 1
        if bad and not skip_bad:
            continue  # nothing will be kept; only the faults are still wanted
        happened_us, name, value, unit = row
        probe = numbers.of(name, unit)
        batch.append(
            {"system_id": system_id, "probe": probe, "happened_us": happened_us, "value": value}
        )
        if len(batch) >= BATCH:
            _store(connection, batch)
            batch.clear()
    if bad and not skip_bad:
        raise BadRows(bad)
    _store(connection, batch)
    added = _count(connection, system_id) - before
    return ProbesImported(read, added, tuple(bad), bad_count)


def export_probes(connection: Connection, system_id: str) -> Iterator[str]:
    """The lines of a probes.csv: by time, then probe, then value."""
    yield ",".join(HEADER) + "\n"
    # By the letters' code points on both engines, whatever language the server sorts in.
    plain = "C" if connection.dialect.name == "postgresql" else "BINARY"
    query = (
        select(probe_readings.c.happened_us, probes.c.name, probe_readings.c.value, probes.c.unit)
        .join(
            probes,
            (probes.c.system_id == probe_readings.c.system_id)
            & (probes.c.probe == probe_readings.c.probe),
        )
        .where(probe_readings.c.system_id == system_id)
        .order_by(
            probe_readings.c.happened_us,
            probes.c.name.collate(plain),
            probes.c.unit.collate(plain),
            probe_readings.c.value,
        )
    )
    for happened_us, name, value, unit in connection.execution_options(yield_per=10_000).execute(
        query
    ):
        when = from_us(happened_us).isoformat()
        yield f"{when},{_quoted(name)},{_number(value)},{_quoted(unit)}\n"


class _Rows:
    """The rows of the file one by one, from blocks of it: never the whole file in memory."""

    def __init__(
        self, path: Path, *, zone: ZoneInfo, now: datetime, progress: Progress | None
    ) -> None:
        self.path, self.zone, self.now, self.progress = path, zone, now, progress

    def __iter__(self) -> Iterator[tuple[int, Row | Problem]]:
        told = 0
        latest = (self.now + FUTURE_ALLOWED - EPOCH) // MICROSECOND
        with self.path.open("rb") as file:
            first = file.readline(4096).removeprefix(b"\xef\xbb\xbf")
            check_header(first.decode("utf-8", "surrogateescape").rstrip("\n"), HEADER)
            line = 1
            while raw := file.readline(200_000):
                line += 1
                told += len(raw)
                if told > 1_000_000 and self.progress is not None:
                    self.progress(told)
                    told = 0
                if not raw.endswith(b"\n") and len(raw) == 200_000:
                    _skip_line(file)
                    yield line, Problem("row", _start(raw), say("the line is too long"))
                    continue
                text = raw.decode("utf-8", "surrogateescape").rstrip("\r\n")
                if text.strip():
                    yield line, self._row(text, latest)
        if self.progress is not None:
            self.progress(told)

    def _row(self, text: str, latest: int) -> Row | Problem:
        fields = split_row(text, len(HEADER))
        return fields if isinstance(fields, Problem) else _read(fields, self.zone, latest)


def read_fields(fields: Sequence[str], *, zone: ZoneInfo, now: datetime) -> Row | Problem:
    """One reading from the texts of its four columns, or what is wrong with it."""
    return _read(fields, zone, (now + FUTURE_ALLOWED - EPOCH) // MICROSECOND)


def keep_readings(connection: Connection, system_id: str, rows: Sequence[Row]) -> int:
    """Keep readings within the caller's transaction; return how many were new."""
    numbers = _Numbers(connection, system_id)
    before = _count(connection, system_id)
    _store(
        connection,
        [
            {"system_id": system_id, "probe": numbers.of(name, unit), "happened_us": happened_us,
             "value": value}
            for happened_us, name, value, unit in rows
        ],
    )  # fmt: skip
    return _count(connection, system_id) - before


def _read(fields: Sequence[str], zone: ZoneInfo, latest: int) -> Row | Problem:
    when, name, value_text, unit = fields
    happened_us = _happened(when, zone, latest)
    if isinstance(happened_us, Problem):
        return happened_us
    if not name or not name.isprintable():
        return Problem("probe", name, say("it has no printable name"))
    try:
        value = units.parse_number(value_text)
    except BrinebookError as error:
        return Problem("value", value_text, error.message.rstrip("."), error.hint)
    refused = _refused(value, unit)
    return refused or (happened_us, name, value, unit)


def _happened(text: str, zone: ZoneInfo, latest: int) -> int | Problem:
    when = read_when(text, zone=zone, now=from_us(latest) - FUTURE_ALLOWED)
    return when if isinstance(when, Problem) else (when - EPOCH) // MICROSECOND


def _refused(value: float, unit: str) -> Problem | None:
    """What is wrong with a value in this unit: nothing if any quantity read so may be it."""
    ranges = _ranges(unit)
    if not ranges:
        if units.dimension_of(unit) is not None:
            return None
        return Problem(
            "unit", unit, say("no quantity is read in this unit") if unit else say("it is missing")
        )
    for quantity, converts in ranges:
        low, high = quantity.range_for(of_system=False)
        try:
            amount = (
                to_canonical(quantity, value, unit, detail_temperature=25.0).value
                if converts
                else value
            )
        except BrinebookError:
            continue
        if low <= amount <= high:
            return None
    return Problem(
        "value",
        f"{value:g}",
        say("nothing that is measured in {unit} can be that", unit=unit or "pH"),
    )


@lru_cache(maxsize=256)
def _ranges(unit: str) -> Sequence[tuple[Quantity, bool]]:
    found = []
    for quantity in QUANTITIES.values():
        try:
            found.append((quantity, units.read_unit(quantity, unit) != quantity.unit))
        except BrinebookError:
            continue
    return tuple(found)


class _Numbers:
    """Each probe's number in the book, given on first sight."""

    def __init__(self, connection: Connection, system_id: str) -> None:
        self.connection, self.system_id = connection, system_id
        rows = connection.execute(
            select(probes.c.name, probes.c.unit, probes.c.probe).where(
                probes.c.system_id == system_id
            )
        )
        self.known: dict[tuple[str, str], int] = {(name, unit): n for name, unit, n in rows}

    def of(self, name: str, unit: str) -> int:
        number = self.known.get((name, unit))
        if number is None:
            number = max(self.known.values(), default=0) + 1
            row = {"system_id": self.system_id, "probe": number, "name": name, "unit": unit}
            self.connection.execute(insert(probes), [row])
            self.known[name, unit] = number
        return number


def _store(connection: Connection, batch: list[dict[str, object]]) -> None:
    """Insert readings; those that the book has already are passed over."""
    if not batch:
        return
    if connection.dialect.name == "postgresql":
        from sqlalchemy.dialects.postgresql import insert as insert_or_ignore
    else:
        from sqlalchemy.dialects.sqlite import insert as insert_or_ignore  # type: ignore[assignment]
    connection.execute(insert_or_ignore(probe_readings).on_conflict_do_nothing(), batch)


def _count(connection: Connection, system_id: str) -> int:
    query = (
        select(func.count())
        .select_from(probe_readings)
        .where(probe_readings.c.system_id == system_id)
    )
    return int(connection.execute(query).scalar_one())


def _skip_line(file: object) -> None:
    while (rest := file.readline(200_000)) and not rest.endswith(b"\n"):  # type: ignore[attr-defined]
        continue


def _number(value: float) -> str:
    return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def _quoted(text: str) -> str:
    if any(sign in text for sign in ',"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text


def _start(raw: bytes) -> str:
    return raw[:40].decode("utf-8", "replace")
