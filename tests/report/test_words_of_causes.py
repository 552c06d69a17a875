"""Every cause has its words, and every sign a sentence: none can reach the page without."""

from __future__ import annotations

import ast
from pathlib import Path

import brinebook
from brinebook.balance.causes.happened import HINTS
from brinebook.report.causes import NAMES
from brinebook.report.reasons import _SENTENCES
from brinebook.report.tell_apart import _QUESTIONS
from tests.balance.causes.test_lately import CAUSES

ROOM = Path(brinebook.__file__).parent / "balance" / "causes"


def _signs() -> set[str]:
    """The names that signs are made with, up to a colon."""
    found = set()
    for path in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Sign":
                first = node.args[0]
                text = first.values[0] if isinstance(first, ast.JoinedStr) else first
                assert isinstance(text, ast.Constant)
                found.add(str(text.value).partition(":")[0])
    return found


def test_every_sign_has_a_sentence_and_every_sentence_a_sign() -> None:
    assert set(_SENTENCES) == _signs()


def test_every_cause_of_the_contract_has_a_name_and_a_question() -> None:
    assert set(NAMES) == CAUSES
    assert set(_QUESTIONS) == CAUSES


def test_events_hint_at_causes_that_there_are() -> None:
    assert {cause for causes in HINTS.values() for cause in causes} <= CAUSES
