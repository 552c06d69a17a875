"""The interface for programs: the contract's JSON, and tokens with as much leave as they need."""

from __future__ import annotations

import json
from typing import Any

import pytest

from brinebook.cli.main import main
from brinebook.desk import doors, passes
from brinebook.desk.opening import open_system
from tests.web.conftest import NOW, Open, Reader

FACT = {"kind": "test", "what": "alk", "value": "8.1", "unit": "dKH"}


def _token(book: str, *scopes: str) -> dict[str, str]:
    secret, _ = passes.make_token(open_system(book), "a script", scopes, now=NOW)
    return {"Authorization": f"Bearer {secret}"}


def _get(reader: Reader, path: str, **more: Any) -> Any:
    return reader.client.get(f"/api/v1/{path}", **more)


@pytest.mark.parametrize(("path", "command"), [("today", "today"), ("balance", "balance")])
def test_it_answers_what_the_command_answers(
    reader: Reader, book: str, path: str, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = _get(reader, path).json()
    capsys.readouterr()
    assert main(["--book", book, command, "--json", "--at", answer["as_of"]]) == 0
    assert answer == json.loads(capsys.readouterr().out)


def test_the_sheet_and_the_facts_are_there_too(reader: Reader) -> None:
    sheet = _get(reader, "balance/alk", params={"from": "2026-02-10", "to": "2026-03-01"}).json()
    assert sheet["quantity"] == "alkalinity"
    facts = _get(reader, "history", params={"kind": "test", "what": "alk", "last": 3}).json()
    assert [fact["what"] for fact in facts["facts"]] == ["alkalinity"] * 3


def test_a_sample_and_a_conversion_need_no_facts(reader: Reader) -> None:
    water = _get(reader, "water", params={"alkalinity": "8 dKH", "ph": "8.1 NBS"})
    assert water.json()["alkalinity"]["unit"] == "umol/kg"
    converted = _get(reader, "convert", params={"amount": "8 dKH", "unit": "meq/L"})
    # 1 meq/L is 2.80385 dKH, as docs/contract.md fixes it.
    assert converted.json()["value"] == pytest.approx(8 / 2.80385, rel=1e-5)


def test_a_refusal_is_the_contracts_error(reader: Reader) -> None:
    answer = _get(reader, "water", params={"alkalinity": "8 dKH"})
    assert answer.status_code == 400
    assert set(answer.json()["error"]) == {"code", "message", "hint"}


def test_adding_takes_a_token_even_on_this_machine(reader: Reader, book: str) -> None:
    answer = reader.client.post("/api/v1/facts", json={"facts": [FACT]})
    assert answer.status_code == 401
    assert answer.json()["error"]["code"] == "E-TOKEN-NEEDED"


def test_a_token_may_do_what_it_was_made_for_and_nothing_else(reader: Reader, book: str) -> None:
    facts, readings = _token(book, "facts"), _token(book, "readings")
    body = {"facts": [FACT]}
    reading = {"when": "2026-03-10T09:00:00+00:00", "probe": "display", "value": 25.3, "unit": "C"}
    post = reader.client.post
    assert post("/api/v1/facts", json=body, headers=facts).status_code == 201
    assert post("/api/v1/facts", json=body, headers=readings).status_code == 403
    assert _get(reader, "today", headers=facts).status_code == 403
    kept = post("/api/v1/readings", json={"readings": [reading]}, headers=readings)
    assert kept.json() == {"added": 1, "known": 0}
    again = post("/api/v1/readings", json={"readings": [reading]}, headers=readings)
    assert again.json() == {"added": 0, "known": 1}


def test_the_same_key_writes_once(reader: Reader, book: str) -> None:
    headers = _token(book, "facts")
    first = reader.client.post("/api/v1/facts", json={"facts": [FACT], "key": "k"}, headers=headers)
    other = FACT | {"value": "8.9"}
    second = reader.client.post(
        "/api/v1/facts", json={"facts": [other], "key": "k"}, headers=headers
    )
    assert first.json()["facts"][0]["written"] is True
    assert second.json()["facts"][0]["fact"] == first.json()["facts"][0]["fact"]
    assert second.json()["facts"][0]["written"] is False


def test_one_bad_fact_keeps_all_of_them_out(reader: Reader, book: str) -> None:
    headers = _token(book, "facts", "read")
    before = _get(reader, "history", headers=headers).json()["facts"]
    body = {"facts": [FACT, FACT | {"value": "900"}]}
    answer = reader.client.post("/api/v1/facts", json=body, headers=headers)
    assert answer.status_code == 400
    assert _get(reader, "history", headers=headers).json()["facts"] == before


def test_an_ended_token_opens_nothing(reader: Reader, book: str) -> None:
    secret, made = passes.make_token(open_system(book), "a script", ["read"], now=NOW)
    headers = {"Authorization": f"Bearer {secret}"}
    assert _get(reader, "today", headers=headers).status_code == 200
    passes.end_pass(open_system(book), made.id, now=NOW)
    assert _get(reader, "today", headers=headers).status_code == 403


def test_the_book_does_not_hold_the_token_itself(book: str) -> None:
    secret, _ = passes.make_token(open_system(book), "a script", ["read"], now=NOW)
    with open(book, "rb") as file:  # noqa: PTH123
        assert secret.encode() not in file.read()


def test_with_a_password_reading_takes_a_token_or_the_password(book: str, open_at: Open) -> None:
    doors.set_password(open_system(book).book, "three dull words")
    reader = open_at(book, host="0.0.0.0")
    assert _get(reader, "today").status_code == 401
    assert _get(reader, "today", headers=_token(book, "read")).status_code == 200


def test_the_interface_is_described_at_its_usual_place(reader: Reader) -> None:
    described = reader.client.get("/openapi.json").json()
    assert set(described["paths"]) == {
        "/api/v1/today", "/api/v1/balance", "/api/v1/balance/{quantity}", "/api/v1/history",
        "/api/v1/water", "/api/v1/convert", "/api/v1/facts", "/api/v1/readings",
    }  # fmt: skip
