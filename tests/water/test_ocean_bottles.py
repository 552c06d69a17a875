"""Real ocean bottles: alkalinity from measured DIC and pH against measured alkalinity.

Feely et al. 2015, West Coast Ocean Acidification cruise 2013, doi 10.3334/CDIAC/OTG.COAST_WCOA2013
(US government data). The file is read where it lies; it isn't part of this repository.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from brinebook.water.carbonate.arrays import solve_many
from brinebook.water.carbonate.state import Sample

DATA = Path(__file__).parents[3] / "shared/data/wcoa2013_carbonate/WCOA2013_hy1.csv"
GOOD = {"2", "6"}


def good_bottles() -> list[dict[str, str]]:
    """Bottles of 30 PSU and more whose DIC, alkalinity, pH and salinity are all flagged good."""
    lines = DATA.read_text(encoding="utf-8").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("EXPOCODE"))
    flagged = ("TCARBN", "ALKALI", "PH_TOT", "CTDSAL")
    return [
        row
        for row in csv.DictReader(lines[start:])
        if all((row.get(f"{name}_FLAG_W") or "").strip() in GOOD for name in flagged)
        and float(row["CTDSAL"]) >= 30
    ]


@pytest.mark.skipif(not DATA.exists(), reason=f"open data not beside the repository: {DATA.name}")
def test_alkalinity_from_carbon_and_ph_differs_from_measured_as_far_as_known() -> None:
    rows = good_bottles()

    def column(name: str) -> NDArray[np.float64]:
        return np.array([float(row[name]) for row in rows])

    state = solve_many(
        Sample(
            dic=column("TCARBN"),
            ph=column("PH_TOT"),
            scale="total",
            salinity=column("CTDSAL"),
            temperature=np.full(len(rows), 25.0),  # where pH was measured
            phosphate=np.maximum(column("PHSPHT"), 0.0),  # -999 is not sampled
            silicate=np.maximum(column("SILCAT"), 0.0),
        )
    )
    difference = state.alkalinity - column("ALKALI")
    # Known of this data: -3.7 with a spread of 4.8 umol/kg; half a unit of the last digit.
    assert len(rows) > 600
    assert np.mean(difference) == pytest.approx(-3.7, abs=0.05)
    assert np.std(difference) == pytest.approx(4.8, abs=0.05)
