"""The notebook over a book on PostgreSQL: the same forms, tokens, photos and doors."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from brinebook.cli.main import main
from brinebook.desk import doors, passes
from brinebook.desk.opening import open_system
from tests.book.conftest import fresh_database
from tests.conftest import SYSTEM_TOML
from tests.web.conftest import NOW, Open, Reader, fields_of, history

pytestmark = pytest.mark.postgres


@pytest.fixture
def server_book(tmp_path: Path) -> Iterator[str]:
    """The invented days in a database of their own."""
    (tmp_path / "system.toml").write_text(SYSTEM_TOML, encoding="utf-8")
    (tmp_path / "history.csv").write_text(history(20), encoding="utf-8")
    with fresh_database() as address:
        for arguments in (["new", "--system", str(tmp_path / "system.toml")],
                          ["import", str(tmp_path / "history.csv")]):  # fmt: skip
            assert main(["--book", address, *arguments]) == 0
        yield address


def _a_story(reader: Reader) -> None:
    page = reader.enter("test", query="?what=alkalinity", value="8,2")
    assert "Written down" in page
    path = page.partition("/fact/")[2].partition("/")[0]
    reader.post(f"fact/{path}", reader.fields(f"fact/{path}") | {"amount": "8.3 dKH"})
    reader.post(f"fact/{path}/undo", reader.fields(f"fact/{path}"))
    assert "8.2 dKH" in reader.get("log?find=alkalinity")
    page = reader.enter("note", text="a slip of the pen")
    reader.post(f"fact/{page.partition('/fact/')[2].partition('/')[0]}/undo", fields_of(page))
    assert "a slip of the pen" in reader.get("log?undone=1")


def test_forms_photos_tokens_and_settings_work_on_a_server_too(
    server_book: str, open_at: Open
) -> None:
    reader = open_at(server_book)
    assert "alkalinity" in reader.get("today")
    _a_story(reader)
    assert reader.client.get(reader.url("chart/alkalinity")).json()["tests"]["t"]
    picture = io.BytesIO()
    Image.new("RGB", (300, 200)).save(picture, "PNG")
    fields = reader.fields("enter/event") | {"what": "livestock"}
    page = reader.client.post(
        reader.url("enter/event"), data=fields,
        files={"photo": ("a.png", picture.getvalue(), "image/png")},
    ).text  # fmt: skip
    chain = re.search(r"/fact/(\w+)/undo", page)
    assert chain is not None
    assert reader.client.get(reader.url(f"photo/{chain[1]}")).content[:2] == b"\xff\xd8"
    reader.post("system/general", reader.fields("system/general") | {"net_volume.value": "300 L"})
    assert "300 L" in reader.get("system")
    opened = open_system(server_book)
    secret, _ = passes.make_token(opened, "a script", ["read", "facts"], now=NOW)
    headers = {"Authorization": f"Bearer {secret}"}
    body = {"facts": [{"kind": "note", "detail": {"text": "x"}}], "key": "k"}
    assert reader.client.post("/api/v1/facts", json=body, headers=headers).status_code == 201
    doors.set_password(opened.book, "three dull words")
    assert doors.password_hash(opened.book) is not None
