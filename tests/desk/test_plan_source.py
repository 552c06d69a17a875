"""A plan made from an answer at hand is the one that the book gives, without a second answer."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from brinebook.desk import assess as assessing
from brinebook.desk.assess import Assessed, assess
from brinebook.desk.opening import open_system
from brinebook.desk.plan_asked import asked_plan
from brinebook.desk.plan_asked_fields import Asked
from brinebook.desk.plan_now import BookOrAnswer
from tests.conftest import Run
from tests.web.conftest import NOW, history

_FORMS: Mapping[str, Mapping[str, str]] = {
    "dose": {},
    "correct": {"quantity": "calcium", "to": "445 mg/L"},
    "change": {"quantity": "nitrate", "to": "5 mg/L"},
    "bottle": {},
    "nutrients": {"nutrient": "nitrate"},
    "slip-dose": {"what": "carbonate solution", "poured": "120 mL"},
}


@pytest.fixture
def address(reef: Run, tmp_path: Path) -> str:
    """A book of forty days."""
    (tmp_path / "history.csv").write_text(history(), encoding="utf-8")
    assert reef("import", "history.csv").status == 0
    return str(tmp_path / "reef.book")


@pytest.mark.parametrize("kind", _FORMS)
def test_an_answer_at_hand_is_planned_from_as_it_is(
    kind: str, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = open_system(address)
    at_hand = assess(address, at=NOW)

    def planned(source: BookOrAnswer) -> object:
        asked = Asked(source, opened.row.name, opened.zone, NOW, _FORMS[kind])
        return asked_plan(kind, asked)

    from_the_book = planned(address)

    def again(*_: object, **__: object) -> Assessed:
        raise AssertionError("the book was assessed anew")

    monkeypatch.setattr(assessing, "assess", again)
    assert planned(at_hand) == from_the_book
