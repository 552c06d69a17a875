from __future__ import annotations

from datetime import UTC, datetime

import click
import pytest
from click.testing import CliRunner

from brinebook.cli import options
from brinebook.cli.session import Session


@click.command()
@options.json_option
@options.system_option
@options.at_option
@options.known_option
def probe(as_json: bool, system: str | None, at: datetime | None, known: datetime | None) -> None:
    """Say what the shared options were read as."""
    click.echo(repr((as_json, system, at, known)))


def _read(*arguments: str, session: Session | None = None) -> str:
    outcome = CliRunner().invoke(probe, list(arguments), obj=session)
    assert outcome.exit_code == 0, outcome.output
    return outcome.output.strip()


def test_times_are_read_as_typed_and_stay_naive_without_an_offset() -> None:
    expected = (True, None, datetime(2026, 3, 1, 9), datetime(2026, 3, 2, tzinfo=UTC))  # noqa: DTZ001
    answer = _read("--json", "--at", "2026-03-01T09:00", "--known", "2026-03-02T00:00Z")
    assert answer == repr(expected)


def test_the_system_named_before_the_command_counts_unless_another_is_named() -> None:
    session = Session("book.sqlite", "Lantern Shelf")
    assert "'Lantern Shelf'" in _read(session=session)
    assert "'North Room'" in _read("--system", "North Room", session=session)


@pytest.mark.parametrize("typed", ["yesterday", "2026-13-01", "01/03/2026", ""])
def test_a_time_that_cannot_be_read_is_refused_with_examples(typed: str) -> None:
    outcome = CliRunner().invoke(probe, ["--at", typed])
    assert outcome.exit_code == 2
    assert "Write 2026-03-01" in outcome.output
