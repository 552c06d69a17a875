from __future__ import annotations

import io
import json
import math
import sys

import pytest

from brinebook.cli import output


class Terminal(io.StringIO):
    """A text stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_json_is_one_object_in_the_order_given_with_nine_digits(
    capsys: pytest.CaptureFixture[str],
) -> None:
    output.emit_json({"zeta": 1 / 3, "alpha": [2.80385123456, None, True, 7], "name": "Öresund"})
    text = capsys.readouterr().out
    assert text == (
        '{"zeta": 0.333333333, "alpha": [2.80385123, null, true, 7], "name": "Öresund"}\n'
    )
    assert len(json.loads(text)) == 3


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_json_never_carries_what_is_not_a_number_and_names_the_place(
    bad: float, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(ValueError, match=r"answer\.quantities\.alkalinity\[1\] is"):
        output.emit_json({"quantities": {"alkalinity": (1.0, bad)}})
    assert capsys.readouterr().out == ""


def test_what_a_value_of_another_kind_would_be_is_not_guessed() -> None:
    with pytest.raises(TypeError):
        output.emit_json({"when": object()})


def test_remarks_go_to_stderr_and_answers_to_stdout(capsys: pytest.CaptureFixture[str]) -> None:
    output.show("8.1 ± 0.1 dKH")
    output.say("reading the book")
    output.hint("test again")
    assert capsys.readouterr() == ("8.1 ± 0.1 dKH\n", "reading the book\n  Next: test again\n")


def test_emphasis_is_for_terminals_that_want_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert output.strong("word", Terminal()) == "\x1b[1mword\x1b[0m"
    assert output.strong("word", io.StringIO()) == "word"
    monkeypatch.setenv("NO_COLOR", "1")
    assert output.strong("word", Terminal()) == "word"
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert output.strong("word", Terminal()) == "word"


def test_a_stream_that_knows_no_unicode_gets_plain_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    output.show("8.1 ± 0.1 dKH ▁▂█")
    output.emit_json({"name": "Öresund"})
    sys.stdout.flush()
    assert raw.getvalue() == b'8.1 +/- 0.1 dKH 128\n{"name": "\\u00d6resund"}\n'


def test_files_and_pipes_are_written_in_utf_8_whatever_the_locale(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="cp1252"))
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    output.prepare_streams()
    output.show("±")
    sys.stdout.flush()
    assert raw.getvalue() == "±\n".encode()
