"""The command that opens the notebook: it says where, answers there, and closes on Ctrl-C."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from brinebook.cli.main import main
from brinebook.web import server
from brinebook.web.options import Options
from scripts import demo


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
    return port


def test_it_says_where_it_lies_open_and_closes_on_ctrl_c(book: str) -> None:
    command = [sys.executable, "-m", "brinebook", "--book", book, "serve", "--port",
               str(_free_port()), "--at", "2026-03-10T09:30"]  # fmt: skip
    running = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        assert running.stderr is not None
        said = running.stderr.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", said)
        assert address is not None, said
        with urllib.request.urlopen(address[0], timeout=60) as answer:
            assert "Lantern Shelf" in answer.read().decode()
        running.send_signal(signal.SIGINT)
        assert running.wait(timeout=30) == 0
    finally:
        running.kill()
        running.communicate()


@pytest.mark.parametrize("host", ["0.0.0.0", "::"])
def test_where_every_address_is_listened_at_one_is_told_that_a_phone_can_open(host: str) -> None:
    told = server._address_to_type(Options("reef.book", host=host, port=8410))
    assert host not in told.split("/")[2].replace(":8410", "").strip("[]").split()
    assert told.endswith(":8410/")
    assert server._address_to_type(Options("reef.book", host="reef.lan")) == "http://reef.lan:8410/"


def test_a_port_that_is_taken_is_said(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        one.listen()
        port = one.getsockname()[1]
        assert main(["--book", book, "serve", "--port", str(port)]) == 2
    assert "E-SERVE-ADDRESS" in capsys.readouterr().err


def test_a_certificate_without_its_key_is_refused(book: str) -> None:
    assert main(["--book", book, "serve", "--cert", "reef.pem"]) == 2


def test_a_certificate_that_is_none_is_said(
    book: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "reef.pem").write_text("nothing of the kind", encoding="utf-8")
    pair = ["--cert", str(tmp_path / "reef.pem"), "--key", str(tmp_path / "missing.key")]
    assert main(["--book", book, "serve", "--port", str(_free_port()), *pair]) == 2
    assert "E-SERVE-CERT" in capsys.readouterr().err


def test_the_demo_leaves_serving_out_where_it_is_told_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DEMO_SERVE", "0")
    assert demo._serve("2025-01-31T07:00Z") == 0


def test_the_demo_ends_by_opening_its_notebook(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[list[str]] = []

    def run(command: list[str], **_more: object) -> subprocess.CompletedProcess[str]:
        seen.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.delenv("DEMO_SERVE", raising=False)
    monkeypatch.setenv("DEMO_PORT", "8500")
    monkeypatch.setattr("scripts.demo.subprocess.run", run)
    assert demo._serve("2025-01-31T07:00Z") == 0
    assert seen[0][-5:] == ["serve", "--at", "2025-01-31T07:00Z", "--port", "8500"]
