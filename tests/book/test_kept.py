"""What is kept of dear results: by fingerprint, for the program that made it, and for no other."""

from __future__ import annotations

from brinebook.book import kept, store
from brinebook.book.store import Book
from brinebook.book.systems import SystemRow

T0 = 1_700_000_000_000_000


def _read(book: Book, shelf: SystemRow, *, program: str = "1") -> dict[str, bytes]:
    return kept.read_kept(book, shelf.system_id, "chapter", program=program)


def _write(
    book: Book,
    shelf: SystemRow,
    new: dict[str, bytes],
    *,
    gone: tuple[str, ...] = (),
    program: str = "1",
) -> bool:
    return kept.write_kept(
        book, shelf.system_id, "chapter", new, program=program, gone=gone, now_us=T0
    )


def test_what_is_kept_is_found_by_its_fingerprint(book: Book, shelf: SystemRow) -> None:
    assert _read(book, shelf) == {}
    assert _write(book, shelf, {"a": b"\x00old", "b": b"other"})
    assert _write(book, shelf, {"a": b"\x00new"})
    assert _read(book, shelf) == {"a": b"\x00new", "b": b"other"}


def test_what_is_gone_is_dropped_with_the_same_stroke(book: Book, shelf: SystemRow) -> None:
    many = {f"{number:04}": b"x" for number in range(1200)}
    assert _write(book, shelf, many)
    assert _write(book, shelf, {"new": b"y"}, gone=tuple(many))
    assert _read(book, shelf) == {"new": b"y"}


def test_another_kind_is_left_alone(book: Book, shelf: SystemRow) -> None:
    kept.write_kept(
        book, shelf.system_id, "chapterhouse", {"a": b"1"}, program="1", gone=(), now_us=T0
    )
    assert _write(book, shelf, {"b": b"2"}, program="2")
    assert kept.read_kept(book, shelf.system_id, "chapterhouse", program="1") == {"a": b"1"}


def test_what_another_program_kept_is_not_given_out_and_makes_room(
    book: Book, shelf: SystemRow
) -> None:
    assert _write(book, shelf, {"a": b"1"}, program="1")
    assert _read(book, shelf, program="2") == {}
    assert _write(book, shelf, {"a": b"2"}, program="2")
    assert _read(book, shelf, program="1") == {}
    assert _read(book, shelf, program="2") == {"a": b"2"}


def test_where_nothing_can_be_kept_the_caller_is_told_and_nothing_is_raised(
    book: Book, shelf: SystemRow
) -> None:
    with book.write() as connection:
        connection.exec_driver_sql("DROP TABLE kept")
    assert _write(book, shelf, {"a": b"1"}) is False
    assert _read(book, shelf) == {}


def test_the_book_is_not_waited_for(book: Book, shelf: SystemRow) -> None:
    hasty = store.open_book(book.address)
    with hasty.write() as connection:
        assert connection is not None
        assert _blocked_write(book, shelf) is False
    assert _write(book, shelf, {"a": b"1"})


def _blocked_write(book: Book, shelf: SystemRow) -> bool:
    """A write from another thread while this one holds the pen."""
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(1) as other:
        return other.submit(_write, book, shelf, {"a": b"1"}).result(timeout=8.0)
