"""probes.csv: streamed, each reading once, all or nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from brinebook.book import probes_csv
from brinebook.book.history_csv import BadRows, HeaderWrong
from brinebook.book.probes_csv import ProbesImported
from brinebook.book.store import Book
from brinebook.book.systems import SystemRow
from tests.moments import LISBON, NOW

GOOD = """\
when,probe,value,unit
2026-02-01T08:00:00+00:00,display,25.31,C
2026-02-01T08:00:00+00:00,ph probe,8.12,
2026-02-01T08:05:00+00:00,display,25.33,C
2026-02-01T08:05:00+00:00,"heater, left",150,W
2026-02-01T08:05:00+00:00,return,2500,L/h
"""


def _bring(book: Book, shelf: SystemRow, path: Path, *, skip_bad: bool = False) -> ProbesImported:
    with book.write() as connection:
        return probes_csv.import_probes(
            connection, shelf.system_id, path, zone=LISBON, now=NOW, skip_bad=skip_bad
        )


def _export(book: Book, shelf: SystemRow) -> str:
    with book.read() as connection:
        return "".join(probes_csv.export_probes(connection, shelf.system_id))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "probes.csv"


def test_what_was_imported_is_exported_alike_and_twice_adds_nothing(
    book: Book, shelf: SystemRow, path: Path
) -> None:
    path.write_text(GOOD)
    assert _bring(book, shelf, path) == ProbesImported(5, 5, (), 0)
    assert _export(book, shelf) == GOOD
    assert _bring(book, shelf, path) == ProbesImported(5, 0, (), 0)
    assert _export(book, shelf) == GOOD


def test_one_bad_row_and_nothing_is_imported(book: Book, shelf: SystemRow, path: Path) -> None:
    path.write_bytes(
        GOOD.encode()
        + b"2026-02-01T08:10,display,warm,C\n"
        + b"2026-02-01T08:10,display,99,C\n"
        + b"2026-02-01T08:10,display,25,Cels\n"
        + b"2026-02-01T08:10,,25,C\n"
        + b"2030-02-01T08:10,display,25,C\n"
        + b"2026-02-01T08:10,displ\xe9,25,C\n"
        + b"2026-02-01T08:10,display,nan,C\n"
        + b"2026-02-01T08:10,display\n"
        + b"x" * 450_000
        + b"\n2026-02-01T08:10,display,25,C\n"
    )
    with pytest.raises(BadRows) as caught:
        _bring(book, shelf, path)
    assert [bad.line for bad in caught.value.bad] == list(range(7, 16))
    assert _export(book, shelf) == "when,probe,value,unit\n"
    done = _bring(book, shelf, path, skip_bad=True)
    assert (done.added, done.bad_count) == (6, 9)


def test_the_wrong_header_is_refused(book: Book, shelf: SystemRow, path: Path) -> None:
    path.write_text("when,kind,what,value,unit,detail\n")
    with pytest.raises(HeaderWrong):
        _bring(book, shelf, path)


def test_times_without_an_offset_are_in_the_systems_zone(
    book: Book, shelf: SystemRow, path: Path
) -> None:
    path.write_text("\ufeffwhen,probe,value,unit\r\n2025-07-01T09:00,a,25,C\r\n\r\n")
    _bring(book, shelf, path)
    assert "2025-07-01T08:00:00+00:00,a,25,C" in _export(book, shelf)
