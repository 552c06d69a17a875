"""One suite over both engines: every test that takes ``address`` runs on SQLite and PostgreSQL."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from pathlib import Path

import pytest

from brinebook.book import store, systems
from brinebook.book.store import Book
from brinebook.book.systems import Entered, SystemRow
from tests.conftest import SYSTEM_TOML, server_address


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a place where no book is yet, on each engine in turn."""
    if request.param == "sqlite":
        yield str(tmp_path / "reef.book")
        return
    with fresh_database() as made:
        yield made


class fresh_database:  # noqa: N801 - used like a function
    """A database of its own on the tests' server, dropped afterwards."""

    def __enter__(self) -> str:
        import psycopg

        self.server = server_address()
        self.name = f"brinebook_{secrets.token_hex(6)}"
        with psycopg.connect(self.server, autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {self.name}".encode())
        return f"{self.server.rpartition('/')[0]}/{self.name}"

    def __exit__(self, *_: object) -> None:
        import psycopg

        with psycopg.connect(self.server, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {self.name} WITH (FORCE)".encode())


@pytest.fixture
def book(address: str) -> Book:
    """A new book with one system."""
    return store.create_book(
        address,
        lambda connection: systems.add_system(
            connection, "Lantern Shelf", text=SYSTEM_TOML, entered=Entered(1, "", "test")
        ),
    )


@pytest.fixture
def shelf(book: Book) -> SystemRow:
    """The book's one system."""
    with book.read() as connection:
        return systems.one_system(connection, None)
