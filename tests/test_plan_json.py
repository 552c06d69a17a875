"""Every figure that the plans of doses and changes tell is documented."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import Run

PAGE = (Path(__file__).parent.parent / "docs" / "plan-json.md").read_text(encoding="utf-8")
_VOLUME = ("--volume", "300L")
CASES = (
    ("correct", "alkalinity", "--from", "7dKH", "--to", "8dKH", *_VOLUME),
    ("correct", "magnesium", "--from", "1200mg/L", "--to", "1300mg/L", *_VOLUME),
    ("dose", "--use", "0.5 dKH", *_VOLUME),
    ("bottle", "NaHCO3", "--strength", "80 g/L", "--left", "1L", "--dose", "30mL", *_VOLUME),
    ("limewater", "--evaporation", "3 L/day", "--use", "1 dKH", *_VOLUME),
    ("reactor", "--effluent", "25 dKH", "--flow", "2 L/h", "--use", "1 dKH", *_VOLUME),
    ("residue", "--amount", "30mL", "--change", "10%", *_VOLUME),
    ("solution", "NaHCO3", "--strength", "80 g/L"),
    ("change", "nitrate", "--from", "40mg/L", "--to", "10mg/L", "--times", "3", *_VOLUME),
    ("change", "nitrate", "--from", "40mg/L", "--made", "1mg/L", "--amount", "10%", *_VOLUME),
    ("change", "--amount", "30L", "--new-temperature", "18 C", *_VOLUME),
    ("salinity", "--from", "37", "--to", "35", *_VOLUME),
    ("mix", "40L"),
    ("supply", "NaHCO3", "--pack", "5 kg 24+9", "--use", "0.9 kg"),
)


def _pattern(name: str) -> str:
    return re.sub(r"…|[A-Z]{3,}", ".+", re.escape(name).replace(r"\…", "…"))


@pytest.mark.parametrize("words", CASES, ids=lambda words: " ".join(words[:2]))
def test_every_figure_of_a_plan_of_doses_stands_on_its_page(
    run: Run, words: tuple[str, ...]
) -> None:
    answer = run("plan", *words, "--json").json
    known = [_pattern(name) for name in re.findall(r"`([A-Za-z0-9_…]+)`", PAGE)]
    missing = [
        name for name in answer["figures"] if not any(re.fullmatch(one, name) for one in known)
    ]
    assert missing == []


def test_every_figure_of_the_daily_dosing_stands_on_its_page(reef: Run) -> None:
    for day in range(1, 9):
        reef("add", "test", "alk", "7.6dKH", "--when", f"2026-01-0{day}T09:00")
    answer = reef("plan", "dose", "--json").json
    known = [_pattern(name) for name in re.findall(r"`([A-Za-z0-9_…]+)`", PAGE)]
    assert [
        name for name in answer["figures"] if not any(re.fullmatch(one, name) for one in known)
    ] == []
