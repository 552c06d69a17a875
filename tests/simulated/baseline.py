"""A stand-in for an estimator: the line over five tests with the residuals' spread as its doubt.

It exists so that the scoring can be run and tested by itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from tests.simulated.case import Case
from tests.simulated.chemistry import CANONICAL_UNIT
from tests.simulated.hand import Reader, by_hand
from tests.simulated.score import TEST_SCALE


def estimate(case: Case, at: datetime) -> Mapping[str, Any]:
    """An answer in the shape of ``balance --json`` from :func:`by_hand` alone."""
    hand = by_hand(case, at)
    reader = Reader(case)
    quantities = {}
    for quantity, scale in TEST_SCALE.items():
        line = hand["line5"].get(quantity)
        if line is None:
            continue
        tests = reader.ledgers[quantity].tests[-5:]
        length = max(tests[-1][0] - tests[0][0], 1.0)
        slope_sd = 1.5 * scale / length
        unit = CANONICAL_UNIT[quantity]
        quantities[quantity] = {
            "unit": unit,
            "now": _span(line.now, scale),
            "consumption": _span(line.use, slope_sd) | {"unit": unit + "/day"},
            "forecast": [
                {"when": (at + timedelta(days=day)).isoformat()}
                | _span(line.now + (line.ahead - line.now) * day / 7.0, scale + slope_sd * day)
                for day in range(1, 8)
            ],
        }
    return {
        "as_of": at.isoformat(),
        "volume": {"value": reader.volume, "sd": 0.1 * reader.volume, "unit": "L"},
        "quantities": quantities,
        "suspect_tests": [],
        "unlogged": [],
    }


def _span(value: float, sd: float) -> dict[str, float]:
    return {"value": value, "sd": sd, "low": value - 1.96 * sd, "high": value + 1.96 * sd}
