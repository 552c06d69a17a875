"""The demo is the first thing that anybody runs: all that it runs or proposes has to work."""

from __future__ import annotations

import shlex
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from brinebook.cli.main import main
from scripts import demo


def test_the_last_instant_counts_times_without_an_offset_in_the_zone_of_the_system() -> None:
    history = (
        "when,kind,what,value,unit,detail\n"
        "2026-07-01T09:30,note,,,,\n"
        "2026-07-01T08:45Z,note,,,,\n"
        "2026-07-01T10:00+02:00,note,,,,\n"
    )
    # Lisbon is an hour ahead of UTC in July (tz database), so 09:30 there is 08:30 UTC.
    assert demo.last_instant(history, ZoneInfo("Europe/Lisbon")) == datetime(
        2026, 7, 1, 8, 45, tzinfo=UTC
    )


def test_every_command_of_the_demo_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("brinebook.cli.output.prepare_streams", lambda: None)
    book = str(tmp_path / "book.sqlite")
    commands = demo.steps(demo.DATA, book)
    for arguments in commands:
        assert main(arguments) == 0, capsys.readouterr().err
    for question in demo.questions(commands[-1][-1]):
        assert main(["--book", book, *shlex.split(question)]) == 0, capsys.readouterr().err
