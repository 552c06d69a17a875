"""``plan supply``: what each pack costs for what is used, typed or by the book."""

from __future__ import annotations

from typing import Any

import pytest

from tests.conftest import Run

_PACKS = ("--pack", "1 kg 9+6", "--pack", "5 kg 24+9", "--pack", "25 kg 60+25")


def _figures(run: Run, *words: str) -> dict[str, Any]:
    outcome = run("plan", "supply", "NaHCO3", *words, "--json")
    assert outcome.status == 0, outcome.err
    return {name: figure["value"] for name, figure in outcome.json["figures"].items()}


def test_a_used_kilogram_of_each_pack_costs_as_by_hand(run: Run) -> None:
    # Arithmetic, 0.1 %: (price + sending) over the smaller of the pack and use times life.
    found = _figures(run, *_PACKS, "--use", "0.876 kg")
    assert found["cost_per_used_kg_of_1_kg"] == pytest.approx(15.0, rel=1e-3)
    assert found["cost_per_used_kg_of_5_kg"] == pytest.approx(12.56, rel=1e-3)
    assert found["cost_per_used_kg_of_25_kg"] == pytest.approx(32.34, rel=1e-3)
    assert found["years_of_supply_of_25_kg"] == pytest.approx(28.5, abs=0.05)
    assert found["pays_5_kg_over_1_kg_from"] == pytest.approx(0.733, rel=1e-3)
    assert found["pays_25_kg_over_5_kg_from"] == pytest.approx(4.29, rel=1e-3)
    short = _figures(run, *_PACKS, "--use", "0.876 kg", "--life", "1")
    assert short["cost_per_used_kg_of_1_kg"] == pytest.approx(17.1, rel=1.5e-3)
    assert short["cost_per_used_kg_of_25_kg"] == pytest.approx(97.0, rel=1e-3)


def test_what_is_used_follows_from_what_is_dosed(reef: Run) -> None:
    reef("add", "dosing", "carbonate solution", "30mL/day", "--when", "2026-01-01T08:00")
    reef("add", "test", "alk", "8.2dKH", "--when", "2026-01-02T08:00")
    found = _figures(reef, *_PACKS, "--at", "2026-01-03T08:00")
    # 30 mL of 80 g/L a day: 2.4 g, 0.876 kg a year; arithmetic.
    assert found["used_a_year"] == pytest.approx(0.876, rel=1e-9)


@pytest.mark.parametrize("pack", ["much", "5 kg", "0 kg 3", "5 kg 0+0", "5 L 3"])
def test_a_pack_that_is_none_is_said_so(run: Run, pack: str) -> None:
    outcome = run("plan", "supply", "NaHCO3", "--pack", pack, "--use", "1 kg", "--json")
    assert outcome.status == 2
    assert outcome.json["error"]["hint"]
