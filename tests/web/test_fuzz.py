"""Whatever is thrown at the doors: no fault of the program, and no trace of how it is made."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi import checks
from starlette.testclient import TestClient

from brinebook.cli.main import main
from brinebook.desk import passes
from brinebook.desk.opening import open_system
from brinebook.web.app import create_app
from brinebook.web.options import Options
from tests.conftest import SYSTEM_TOML
from tests.web.conftest import NOW, fields_of, history

#: Paths with what a form there may hold; every field is filled with anything.
FORMS = {
    "enter/test": ("what", "value", "when", "at", "method", "lot", "sign", "of", "by", "key",
                   "meant", "field", "swap", "asked", "pattern"),
    "enter/sitting": ("value.alkalinity", "value.calcium", "when", "at", "key", "swap", "asked"),
    "enter/dose": ("what", "other", "value", "unit", "when", "at", "portion", "text"),
    "enter/water-change": ("what", "value", "unit", "salinity", "alkalinity", "temperature", "at"),
    "enter/media": ("what", "value", "flow"),
    "enter/event": ("what", "text", "value", "unit", "at"),
    "enter/note": ("text", "by"),
    "enter/chore": ("chore", "what"),
    "verdict": ("what", "says", "key"),
    "system/general": ("name", "timezone", "net_volume.value", "net_volume.sd", "seen"),
    "system/bands": ("low.calcium", "high.calcium", "limit.calcium", "target.ph", "seen"),
    "system/additives/0": ("v.name", "v.recipe.salt", "v.recipe.grams_per_litre", "seen", "remove"),
    "system/text": ("text", "seen"),
    "life-support/first": ("display_length", "display_width", "pump_head", "mouth", "seen",
                           "drain_kind", "measures"),
    "life-support/describe/vessels/new": ("v.name", "v.length", "v.role", "v.lid", "seen"),
    "life-support/describe/heat/room": ("v.temperature", "v.volume", "v.air_changes", "seen"),
    "access/token": ("name", "scope.read"),
    "access/link": ("name", "days"),
    "access/end": ("id",),
}  # fmt: skip
QUERIES = (
    "log?kind={}", "log?find={}", "log?before={}", "log?undone={}", "saved?facts={}",
    "water/alkalinity?days={}", "water/alkalinity?beside={}", "chart/alkalinity?days={}",
    "balance?what=alkalinity&since={}", "balance?what={}", "help?find={}", "sources?find={}",
    "share-of-volume?value={}&unit=%25", "as-of?seen={}", "enter/test?what={}",
    "enter/dose?what={}", "life-support/what-if?key={}&value=1",
    "life-support/what-if?key=vessels/0:water&value={}", "life-support/size?turnover={}",
)  # fmt: skip
PATHS = ("fact/{}", "photo/{}", "water/{}", "chart/{}", "why/{}", "enter/{}", "help/{}",
         "system/{}/0", "system/additives/{}", "life-support/describe/{}", "life-support/drill/{}",
         "life-support/part/{}", "{}")  # fmt: skip

_TYPED = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        ["8,1", "1e999", "nan", "-0", "<0", "2026-13-45T99:99", "9999-12-31T23:59", "0001-01-01",
         "’; DROP TABLE facts; --", "<script>alert(1)</script>", "{{7*7}}", "../../etc/passwd",
         "\x00", "\ud800", "٣", "1" * 400, "a" * 5000, "%00", "this morning", "NaHCO3"]
    ),
)  # fmt: skip
_FEW = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.fixture(scope="module")
def door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, str, str]]:
    """A notebook, the system in it, and a token that may do everything."""
    folder = tmp_path_factory.mktemp("fuzz")
    (folder / "system.toml").write_text(SYSTEM_TOML, encoding="utf-8")
    (folder / "history.csv").write_text(history(20), encoding="utf-8")
    book = str(folder / "reef.book")
    assert main(["--book", book, "new", "--system", str(folder / "system.toml")]) == 0
    assert main(["--book", book, "import", str(folder / "history.csv")]) == 0
    secret, _ = passes.make_token(open_system(book), "fuzz", passes.SCOPES, now=NOW)
    app = create_app(Options(book, at=NOW))
    app.state.notebook.shelf.standing(app.state.notebook.shelf.systems()[0], wait=60)
    with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
        yield client, app.state.notebook.shelf.systems()[0].system_id, secret


def _sound(answer: Any) -> None:
    assert answer.status_code < 500, answer.text
    assert "Traceback" not in answer.text
    assert "<script>alert" not in answer.text


def _safe(text: str) -> str:
    """Text as a browser can send it: what isn't a character becomes a question mark."""
    return text.encode("utf-8", "replace").decode("utf-8")


@pytest.mark.parametrize("path", FORMS)
def test_no_form_breaks_the_notebook(door: tuple[TestClient, str, str], path: str) -> None:
    client, system, _ = door
    token = fields_of(client.get(f"/s/{system}/enter/note").text)["token"]

    @_FEW
    @given(st.dictionaries(st.sampled_from(FORMS[path]), _TYPED, max_size=6))
    def send(fields: dict[str, str]) -> None:
        sent = {name: _safe(text) for name, text in fields.items()} | {"token": token}
        _sound(client.post(f"/s/{system}/{path}", data=sent, follow_redirects=False))

    send()


@pytest.mark.parametrize("path", [*PATHS, *QUERIES])
def test_no_address_breaks_the_notebook(door: tuple[TestClient, str, str], path: str) -> None:
    client, system, _ = door

    @_FEW
    @given(_TYPED)
    def ask(text: str) -> None:
        from urllib.parse import quote

        _sound(client.get(f"/s/{system}/{path.format(quote(_safe(text), safe=''))}"))

    ask()


@_FEW
@given(
    st.dictionaries(
        st.sampled_from(["cookie", "host", "origin", "hx-request", "content-type", "accept",
                         "authorization", "content-length", "sec-fetch-site", "accept-encoding"]),
        st.text(st.characters(min_codepoint=33, max_codepoint=126), max_size=80),
        max_size=4,
    ),
    st.sampled_from(["GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS", "PATCH"]),
    st.binary(max_size=200),
)  # fmt: skip
def test_no_header_breaks_the_notebook(
    door: tuple[TestClient, str, str], headers: dict[str, str], method: str, body: bytes
) -> None:
    client, system, _ = door
    for path in (f"/s/{system}/today", f"/s/{system}/enter/note", "/sign-in", "/api/v1/facts"):
        _sound(client.request(method, path, headers=headers, content=body))


@_FEW
@given(st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=9), inner),
))  # fmt: skip
def test_no_body_breaks_the_interface(door: tuple[TestClient, str, str], body: object) -> None:
    client, _, secret = door
    headers = {"Authorization": f"Bearer {secret}", "Content-Type": "application/json"}
    text = json.dumps(body).encode("utf-8", "replace")
    for path in ("facts", "readings"):
        _sound(client.post(f"/api/v1/{path}", content=text, headers=headers))


@pytest.mark.parametrize(
    ("path", "method"),
    [("/today", "get"), ("/balance", "get"), ("/balance/{quantity}", "get"), ("/history", "get"),
     ("/water", "get"), ("/convert", "get"), ("/facts", "post"), ("/readings", "post")],
)  # fmt: skip
def test_every_call_made_up_from_the_description_is_answered_as_described(
    door: tuple[TestClient, str, str], path: str, method: str
) -> None:
    client, _, secret = door
    headers = {"Authorization": f"Bearer {secret}", "Host": "localhost"}
    described = schemathesis.openapi.from_asgi("/openapi.json", client.app, headers=headers)
    operation = described[f"/api/v1{path}"][method]

    @_FEW
    @given(operation.as_strategy())
    def call(case: Any) -> None:
        case.call_and_validate(
            headers=headers,
            checks=[
                not_a_server_error,
                checks.status_code_conformance,
                checks.content_type_conformance,
                checks.response_schema_conformance,
            ],
        )

    call()


def test_a_fault_of_the_program_is_a_calm_page_that_says_nothing_of_how_it_is_made(
    door: tuple[TestClient, str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    client, system, _ = door

    def fail(*_more: object) -> object:
        raise RuntimeError("a secret of the program")

    monkeypatch.setattr("brinebook.web.pages.balance.measure_and_range_text", fail)
    answer = client.get(f"/s/{system}/volume")
    assert answer.status_code == 500
    assert "E-INTERNAL" in answer.text
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text


def test_a_book_that_is_gone_is_said_and_not_a_fault(tmp_path: Path) -> None:
    (tmp_path / "system.toml").write_text(SYSTEM_TOML, encoding="utf-8")
    book = tmp_path / "reef.book"
    assert main(["--book", str(book), "new", "--system", str(tmp_path / "system.toml")]) == 0
    app = create_app(Options(str(book), at=NOW))
    system = app.state.notebook.shelf.systems()[0].system_id
    with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
        client.get(f"/s/{system}/today")
        book.unlink()
        answer = client.get(f"/s/{system}/today")
    assert answer.status_code == 503
    assert "E-BOOK" in answer.text
