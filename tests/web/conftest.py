"""What the tests of the notebook share: a book of their own, and a browser without scripts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from brinebook.cli.main import main
from brinebook.web.app import create_app
from brinebook.web.options import Options
from tests.conftest import SYSTEM_TOML

#: The present of these tests: a Tuesday, half past nine in Lisbon.
NOW = datetime(2026, 3, 10, 9, 30, tzinfo=UTC)

_INPUT = re.compile(r"<input\b[^>]*>")
_ATTRIBUTE = re.compile(r'([\w-]+)(?:="([^"]*)")?')


def history(days: int = 40) -> str:
    """Invented tests and doses up to yesterday, some a day, as a history.csv."""
    rows = ["when,kind,what,value,unit,detail"]
    for day in range(days):
        date = f"2026-{'01' if day < 10 else '02' if day < 38 else '03'}"
        number = day + 22 if day < 10 else day - 9 if day < 38 else day - 37
        when = f"{date}-{number:02d}T19:30"
        if day == 0:
            rows.append(f"{when},dosing,carbonate solution,60,mL/day,")
        if day % 2 == 0:
            value = 8.0 + 0.1 * (day % 3 - 1)
            rows.append(f"{when},test,alkalinity,{value:.1f},dKH,method=drop count;lot=A1")
        if day % 5 == 0:
            rows.append(f"{when},test,calcium,{420 + day % 3 * 5},mg/L,method=titration")
            rows.append(f"{when},test,magnesium,{1320 + day % 3 * 10},mg/L,method=titration")
        if day % 7 == 0:
            rows.append(f"{when},test,nitrate,{8 + day % 2},mg/L,")
            rows.append(f"{when},done,rinse the filter socks,,,")
            rows.append(f"{when},feed,flakes,1.5,g,")
            rows.append(f"{when},water_change,house mix,30,L,")
    return "\n".join(rows) + "\n"


@dataclass
class Reader:
    """A browser without scripts at one system's pages."""

    client: TestClient
    system: str

    def url(self, path: str) -> str:
        """The address of a page of the system."""
        return f"/s/{self.system}/{path}"

    def get(self, path: str, status: int = 200) -> str:
        """The text of a page."""
        answer = self.client.get(self.url(path))
        assert answer.status_code == status, answer.text
        return spaced(answer.text)

    def fields(self, path: str) -> dict[str, str]:
        """What the first form that writes on a page holds before anybody types."""
        return fields_of(self.get(path))

    def post(self, path: str, fields: dict[str, str], status: int = 200) -> str:
        """Send a form; the text of the page that it leads to."""
        answer = self.client.post(self.url(path), data=fields)
        assert answer.status_code == status, answer.text
        return spaced(answer.text)

    def enter(self, page: str, *, query: str = "", **typed: str) -> str:
        """Fill in an entry page's form and save it."""
        fields = self.fields(f"enter/{page}{query}")
        return self.post(f"enter/{page}", fields | typed)


def spaced(page: str) -> str:
    """A page with its numbers and units apart as ever, for looking for words in it."""
    return page.replace("\xa0", " ")


def fields_of(page: str) -> dict[str, str]:
    """The fields of the first form on a page that is sent by post, as a browser would send it."""
    form = page.partition('method="post"')[2].partition("</form>")[0]
    found: dict[str, str] = {}
    for tag in _INPUT.findall(form):
        parts = dict(_ATTRIBUTE.findall(tag[6:]))
        unchecked = parts.get("type") in {"radio", "checkbox"} and "checked" not in parts
        if "name" in parts and not unchecked and parts.get("type") != "file":
            found[parts["name"]] = parts.get("value", "")
    return found


@pytest.fixture
def book(tmp_path: Path) -> str:
    """A book with forty invented days in it."""
    system, past = tmp_path / "system.toml", tmp_path / "history.csv"
    system.write_text(SYSTEM_TOML, encoding="utf-8")
    past.write_text(history(), encoding="utf-8")
    address = str(tmp_path / "reef.book")
    assert main(["--book", address, "new", "--system", str(system)]) == 0
    assert main(["--book", address, "import", str(past)]) == 0
    return address


@pytest.fixture
def empty_book(tmp_path: Path) -> str:
    """A book without a fact in it."""
    system = tmp_path / "empty.toml"
    system.write_text(SYSTEM_TOML, encoding="utf-8")
    address = str(tmp_path / "empty.book")
    assert main(["--book", address, "new", "--system", str(system)]) == 0
    return address


@pytest.fixture(autouse=True)
def _patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages wait for the answer to facts just written, however slow the machine is.

    What they say where they don't wait is tested by itself, with a wait of its own.
    """
    for wait in ("WAIT_SECONDS", "FIRST_WAIT_SECONDS"):
        monkeypatch.setattr(f"brinebook.desk.shelf.{wait}", 300.0)


Open = Callable[..., Reader]


@pytest.fixture
def open_at() -> Iterator[Open]:
    """Open the notebook of a book for a browser at this machine; the rest goes to `Options`."""
    opened: list[TestClient] = []

    def open_it(address: str, **options: object) -> Reader:
        chosen = Options(book=address, at=options.pop("at", NOW), **options)  # type: ignore[arg-type]
        app = create_app(chosen)
        client = TestClient(app, base_url="http://127.0.0.1:8410", raise_server_exceptions=False)
        client.__enter__()
        opened.append(client)
        system = app.state.notebook.shelf.systems()[0].system_id
        return Reader(client, system)

    yield open_it
    for client in opened:
        client.__exit__(None, None, None)


@pytest.fixture
def reader(book: str, open_at: Open) -> Reader:
    """The notebook of the invented days."""
    return open_at(book)
