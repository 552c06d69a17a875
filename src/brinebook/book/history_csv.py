"""history.csv: a system's past, one row a fact. Read with every bad row at once, and written."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from brinebook.book.identity import detail_text, sort_key
from brinebook.book.rows import LONGEST_FIELD, Problem, Settled, read_when, settle_text, to_fact
from brinebook.errors import InputProblem
from brinebook.texts import say
from brinebook.timeline import Fact
from brinebook.units import QUANTITIES

HEADER = ("when", "kind", "what", "value", "unit", "detail")
_BOM = b"\xef\xbb\xbf"


class HeaderWrong(InputProblem):
    """The first line isn't the header that the file should have."""

    code = "E-CSV-HEADER"

    def __init__(self, found: str, wanted: Sequence[str]) -> None:
        shown = found if len(found) <= 120 else found[:117] + "…"
        super().__init__(
            say(
                "Line 1 is {shown!r}; the header is {wanted}.", shown=shown, wanted=",".join(wanted)
            ),
            say("Nothing was imported. Name the columns so, separated by commas, saved as UTF-8."),
        )


class BadRows(InputProblem):
    """Rows of the file can't be read; all of them are named."""

    code = "E-CSV-ROWS"

    def __init__(self, bad: Sequence[BadRow]) -> None:
        lines = "\n".join(f"  {row.sentence}" for row in bad)
        count = len({row.line for row in bad})
        rows = say("1 row") if count == 1 else say("{count} rows", count=count)
        super().__init__(
            say(
                "{rows} of the file can't be read; nothing was imported.\n{lines}",
                rows=rows,
                lines=lines,
            ),
            say("Correct them, or leave them out with --skip-bad."),
        )
        self.bad = tuple(bad)


@dataclass(frozen=True, slots=True)
class BadRow:
    """Why a row can't be read: its line in the file, the column, the value and the reason."""

    line: int
    column: str
    value: str
    reason: str
    hint: str = ""

    @property
    def sentence(self) -> str:
        """Line, column, value and reason for a person."""
        value = self.value if len(self.value) <= 60 else self.value[:57] + "…"
        text = say(
            "line {line}, {column} {shown}: {reason}.",
            line=self.line,
            column=self.column,
            shown=_shown(value),
            reason=self.reason,
        )
        return f"{text} {self.hint}" if self.hint else text


@dataclass(frozen=True, slots=True)
class History:
    """What a file holds: its facts (each once), its bad rows, and remarks that block nothing."""

    facts: tuple[Fact, ...]
    bad: tuple[BadRow, ...]
    remarks: tuple[str, ...]
    repeated: int  # rows that say what an earlier row said


def read_history(data: bytes, *, zone: ZoneInfo, now: datetime) -> History:
    """Read a history.csv. Times without an offset are read in ``zone``.

    Raises HeaderWrong; everything else that is wrong is in the result's ``bad``.
    """
    facts: dict[str, Fact] = {}
    bad: list[BadRow] = []
    remarks: dict[str, None] = {}
    readings: list[tuple[datetime, Settled]] = []
    count = 0
    for line, fields in csv_rows(data, HEADER):
        if isinstance(fields, Problem):
            bad.append(_bad(line, fields))
            continue
        when = read_when(fields[0], zone=zone, now=now)
        settled = settle_text(*fields[1:])
        if isinstance(when, Problem) or settled.problems:
            first = (when,) if isinstance(when, Problem) else ()
            bad += [_bad(line, problem) for problem in (*first, *settled.problems)]
            continue
        fact = to_fact(when, settled)
        facts.setdefault(fact.id, fact)
        count += 1
        remarks.update(dict.fromkeys(settled.remarks))
        if settled.canonical is not None and "of=" not in settled.detail:
            readings.append((when, settled))
    remarks.update(dict.fromkeys(swapped_columns(readings)))
    return History(tuple(facts.values()), tuple(bad), tuple(remarks), count - len(facts))


def write_history(facts: Iterable[Fact]) -> Iterator[str]:
    """The lines of a history.csv: by time, then kind, then what."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(HEADER)
    for fact in sorted(facts, key=sort_key):
        writer.writerow(
            (
                fact.when.astimezone(UTC).isoformat(),
                fact.kind,
                fact.what,
                fact.value,
                fact.unit,
                detail_text(fact.detail),
            )
        )
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()
    if rest := buffer.getvalue():
        yield rest


def csv_rows(data: bytes, header: Sequence[str]) -> Iterator[tuple[int, list[str] | Problem]]:
    """Each row's line number with its fields, or with why it can't be split into them.

    Read line by line, so that a stray quote or byte spoils its own row only. Raises HeaderWrong.
    """
    text = data.removeprefix(_BOM).decode("utf-8", "surrogateescape")
    lines = text.split("\n")
    check_header(lines[0], header)
    position = 1
    while position < len(lines):
        line_number = position + 1
        raw = lines[position].removesuffix("\r")
        position += 1
        if not raw.strip():
            continue
        fields = split_row(raw, len(header))
        if isinstance(fields, Problem) and '"' in raw and _ends_in_quotes(raw):
            whole, reached = _joined(raw, lines, position)
            joined = split_row(whole, len(header))
            if not isinstance(joined, Problem):
                fields, position = joined, reached
        yield line_number, fields


def check_header(line: str, header: Sequence[str]) -> None:
    """Raise HeaderWrong unless the line names exactly these columns."""
    found = line.removesuffix("\r").strip()
    names = tuple(name.strip().strip('"') for name in found.split(","))
    if names != tuple(header):
        raise HeaderWrong(_shown(found).strip('"'), header)


def split_row(raw: str, width: int) -> list[str] | Problem:
    """The stripped fields of one row, or what spoils it."""
    if "\x00" in raw:
        return Problem("row", _start(raw), say("it holds a NUL byte"))
    if not raw.isascii() and any("\udc80" <= sign <= "\udcff" for sign in raw):
        return Problem("row", _start(raw), say("it isn't UTF-8"), say("Save the file as UTF-8."))
    if '"' in raw:
        try:
            fields = next(csv.reader([raw], strict=True))
        except (csv.Error, StopIteration):
            long = len(raw) > LONGEST_FIELD
            why = say("a field is too long") if long else say("its quotation marks don't pair up")
            return Problem("row", _start(raw), why)
    else:
        fields = raw.split(",")
    if len(fields) != width:
        reason = say("it has {count} columns instead of {width}", count=len(fields), width=width)
        hint = (
            say("A comma inside a field needs quotation marks around it.")
            if len(fields) > width
            else ""
        )
        return Problem("row", _start(raw), reason, hint)
    if len(raw) > LONGEST_FIELD and any(len(one) > LONGEST_FIELD for one in fields):
        return Problem(
            "row",
            _start(raw),
            say("a field is longer than {longest_field:,} characters", longest_field=LONGEST_FIELD),
        )
    return [one.strip() for one in fields]


def swapped_columns(readings: Iterable[tuple[datetime, Settled]]) -> list[str]:
    """One sentence for each pair of quantities whose readings lie in each other's usual range.

    Only pairs of one unit with usual ranges that don't overlap can be told apart so: calcium and
    magnesium, potassium and magnesium.
    """
    by_quantity: dict[str, list[tuple[datetime, float]]] = {}
    for when, settled in readings:
        if settled.canonical is not None:
            by_quantity.setdefault(settled.what, []).append((when, settled.canonical))
    found = []
    names = sorted(by_quantity)
    for index, first in enumerate(names):
        for second in names[index + 1 :]:
            count = _crossed(first, second, by_quantity[first], by_quantity[second])
            if count:
                found.append(
                    say(
                        "{first} and {second} look swapped at {count} "
                        "{time_or_times}: each lies where the other usually is. If "
                        "so, exchange the two columns and import again.",
                        first=first,
                        second=second,
                        count=count,
                        time_or_times=say("time") if count == 1 else say("times"),
                    )
                )
    return found


def _crossed(
    first: str,
    second: str,
    of_first: Sequence[tuple[datetime, float]],
    of_second: Sequence[tuple[datetime, float]],
) -> int:
    one, other = QUANTITIES[first], QUANTITIES[second]
    apart = one.usual[1] < other.usual[0] or other.usual[1] < one.usual[0]
    if one.unit != other.unit or not apart or one.usual[0] < 100 or other.usual[0] < 100:
        return 0
    low, high = other.usual
    suspects = {when for when, value in of_first if low <= value <= high}
    low, high = one.usual
    return len(suspects & {when for when, value in of_second if low <= value <= high})


def _ends_in_quotes(text: str) -> bool:
    """Whether a quoted field is still open at the end of the text."""
    inside, at_start = False, True
    index = 0
    while index < len(text):
        sign = text[index]
        if inside:
            if sign == '"':
                if text[index + 1 : index + 2] == '"':
                    index += 1
                else:
                    inside = False
        elif sign == '"' and at_start:
            inside = True
        at_start = not inside and sign == ","
        index += 1
    return inside


def _joined(raw: str, lines: Sequence[str], position: int) -> tuple[str, int]:
    """The row with the lines that its open quotes go on into; alone if they never close."""
    parts, length = [raw], len(raw)
    for reach in range(position, len(lines)):
        part = lines[reach].removesuffix("\r")
        parts.append(part)
        length += len(part) + 1
        if length > 2 * LONGEST_FIELD:
            break
        if part.count('"') % 2:  # only an odd number of marks can close what is open
            whole = "\n".join(parts)
            return (raw, position) if _ends_in_quotes(whole) else (whole, reach + 1)
    return raw, position


def _bad(line: int, problem: Problem) -> BadRow:
    return BadRow(line, problem.column, problem.value, problem.reason, problem.hint)


def _start(raw: str) -> str:
    return raw[:40]


def _shown(text: str) -> str:
    return f'"{"".join(_visible(sign) for sign in text)}"'


def _visible(sign: str) -> str:
    if sign.isprintable():
        return sign
    if "\udc80" <= sign <= "\udcff":  # a byte that wasn't UTF-8
        return f"\\x{ord(sign) - 0xDC00:02x}"
    return sign.encode("unicode_escape").decode()
