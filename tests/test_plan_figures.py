"""Every figure that the plans of nutrients, media, acclimatising and slips tell is documented."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import Run

PAGE = (Path(__file__).parent.parent / "docs" / "plan-figures.md").read_text(encoding="utf-8")
_VOLUME = ("--volume", "300L")
CASES = (
    ("nutrients", "--food", "3 g/day", *_VOLUME),
    ("algae", "--cut", "60g", *_VOLUME),
    ("ferric", "--load", "9 mg/day", "--phosphate", "0.1 mg/L", "--down-to", "0.05 mg/L", *_VOLUME),
    ("carbon", "--grams", "100g", "--flow", "60 L/h", *_VOLUME),
    (
        "acclimate",
        "--salinity",
        "31",
        "--fish",
        "9g",
        "--hours",
        "8",
        "--swap",
        "40 %",
        "--to",
        "35",
    ),
    ("treatment", "1 mL per 40 L", "--change", "20 %", *_VOLUME),
    ("slip", "dose", "NaHCO3", "40g", "--use", "alkalinity 0.4 dKH", *_VOLUME),
    ("slip", "limewater", "8L", *_VOLUME),
    ("slip", "salt-top-off", "20L", *_VOLUME),
    ("slip", "fresh-change", "30L", "--evaporation", "3 L/day", *_VOLUME),
    ("slip", "skimmate", "0.4 L/day", *_VOLUME),
    ("slip", "overfed", "30g", *_VOLUME),
    ("slip", "foreign", "soap", *_VOLUME),
)


@pytest.mark.parametrize("words", CASES, ids=lambda words: " ".join(words[:2]))
def test_every_figure_of_a_plan_stands_on_its_page(run: Run, words: tuple[str, ...]) -> None:
    answer = run("plan", *words, "--json").json
    named = re.findall(r"`([a-z0-9_…]+)`", PAGE)
    whole = {name for name in named if "…" not in name}
    parts = [re.escape(name).replace("…", "[a-z0-9_]+") for name in named if "…" in name]
    missing = [
        name
        for name in answer["figures"]
        if name not in whole and not any(re.fullmatch(part, name) for part in parts)
    ]
    assert missing == []
