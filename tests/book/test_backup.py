"""Copies of a book, from either engine and back on either."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from brinebook.book import backup, facts, faults, store, systems
from brinebook.book.identity import make_fact
from brinebook.book.store import Book
from brinebook.book.systems import Entered, SystemRow
from brinebook.errors import BookProblem
from tests.book.conftest import fresh_database
from tests.moments import NOW


@pytest.fixture
def filled(book: Book, shelf: SystemRow) -> Book:
    notes = [make_fact(NOW, "note", detail={"text": f"note {n}; é%="}) for n in range(50)]
    with book.write() as connection:
        facts.append_new(connection, shelf.system_id, notes, entered=Entered(5, "me", "test"))
    return book


def _contents(book: Book) -> list[facts.Revision]:
    with book.read() as connection:
        row = systems.one_system(connection, None)
        return facts.all_revisions(connection, row.system_id)


def test_a_copy_comes_back_as_it_was_on_both_engines(filled: Book, tmp_path: Path) -> None:
    copy = tmp_path / "copy.book"
    counts = backup.back_up(filled, copy)
    assert counts["facts"] == 50
    restored = tmp_path / "restored.book"
    backup.restore(copy, str(restored))
    assert _contents(store.open_book(str(restored))) == _contents(filled)
    if filled.on_server:
        with fresh_database() as elsewhere:
            backup.restore(copy, elsewhere)
            assert _contents(store.open_book(elsewhere)) == _contents(filled)


def test_a_copy_is_itself_a_book_and_leaves_nothing_beside_it(filled: Book, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    backup.back_up(filled, folder / "copy.book")
    assert _contents(store.open_book(str(folder / "copy.book"))) == _contents(filled)
    assert [one.name for one in folder.iterdir()] == ["copy.book"]


def test_a_copy_never_covers_a_file(filled: Book, tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("dear")
    with pytest.raises(faults.BookExists):
        backup.back_up(filled, other)
    assert other.read_text() == "dear"


def test_a_restore_over_a_book_wants_to_be_told_and_puts_it_aside(
    filled: Book, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.book"
    backup.back_up(filled, copy)
    before = _contents(filled)
    with filled.write() as connection:
        row = systems.one_system(connection, None)
        note = make_fact(NOW, "note", detail={"text": "later"})
        facts.append_new(connection, row.system_id, [note], entered=Entered(9))
    with pytest.raises(backup.TargetTaken) as caught:
        backup.restore(copy, filled.address)
    assert caught.value.exit_status == 2
    _, aside = backup.restore(copy, filled.address, replace=True)
    assert _contents(filled) == before
    if not filled.on_server:
        assert len(_contents(store.open_book(aside))) == 51


def test_a_damaged_copy_is_refused_and_the_book_stays(filled: Book, tmp_path: Path) -> None:
    copy = tmp_path / "copy.book"
    backup.back_up(filled, copy)
    whole = bytearray(copy.read_bytes())
    whole[-4096:] = b"\xa5" * 4096
    copy.write_bytes(whole)
    with pytest.raises(BookProblem):
        backup.restore(copy, filled.address, replace=True)
    copy.write_bytes(whole[: len(whole) // 3])
    with pytest.raises(faults.BookDamaged, match=r"copy\.book"):
        backup.restore(copy, filled.address, replace=True)
    copy.write_bytes(b"no book at all")
    with pytest.raises(faults.NotABook):
        backup.restore(copy, filled.address, replace=True)
    with pytest.raises(faults.BookMissing):
        backup.restore(tmp_path / "nowhere", filled.address, replace=True)
    assert len(_contents(filled)) == 50


def test_a_copy_that_differs_is_thrown_away(
    filled: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "TABLES", backup.TABLES[:2])
    digest = backup._digest
    marks = iter([b"one", b"other"])

    def differs(*_: object) -> bytes:
        return next(marks)

    monkeypatch.setattr(backup, "_digest", differs)
    with pytest.raises(backup.BackupWrong) as caught:
        backup.back_up(filled, tmp_path / "copy.book")
    assert caught.value.exit_status == 4
    assert not (tmp_path / "copy.book").exists()
    assert digest is not differs


def test_the_file_check_finds_what_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "reef.book"
    store.create_book(
        str(path),
        lambda connection: systems.add_system(
            connection, "x", text='name = "x"', entered=Entered(1)
        ),
    )
    assert backup.check_file(path) == []
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA foreign_keys=OFF")
        raw.execute("INSERT INTO descriptions VALUES ('nobody', 1, '', 0, '', '')")
        raw.commit()
    assert backup.check_file(path) == ["row 2 of descriptions belongs to no systems"]
