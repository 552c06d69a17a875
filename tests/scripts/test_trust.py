from __future__ import annotations

from pathlib import Path

import pytest

from scripts import trust

SECTION = "## Trial\n\nSome words.\n\n```evidence\npython -c \"print('| 0.95 |')\"\n```\n\nMore.\n"


def test_a_command_gives_way_to_what_it_shows_and_stands_beside_it(tmp_path: Path) -> None:
    text = trust.filled(SECTION, tmp_path)
    assert "| 0.95 |\n\nShown by: `python -c" in text
    assert "```evidence" not in text
    assert text.startswith("## Trial")


def test_a_command_that_fails_stops_the_page(tmp_path: Path) -> None:
    with pytest.raises(trust.EvidenceError, match="status 3"):
        trust.filled('```evidence\npython -c "raise SystemExit(3)"\n```', tmp_path)


def test_one_section_can_be_remade_while_the_others_stay(tmp_path: Path) -> None:
    first, second = tmp_path / "10-first.md", tmp_path / "20-second.md"
    first.write_text("old first", encoding="utf-8")
    second.write_text("old second", encoding="utf-8")
    before = trust.page([first, second], tmp_path)
    first.write_text("new first", encoding="utf-8")
    second.write_text("new second", encoding="utf-8")
    after = trust.page([first, second], tmp_path, only="20-second", before=before)
    assert "old first" in after
    assert "new second" in after
    assert "old second" not in after


def test_the_page_says_that_it_is_made(tmp_path: Path) -> None:
    assert "make docs" in trust.page([], tmp_path)
