"""``brinebook plan change`` at the command line: what one change does to warmth and salinity."""

from __future__ import annotations

import pytest

from tests.conftest import Run


def test_what_cool_new_water_does_is_said_as_it_is_reckoned(run: Run) -> None:
    # 45 L at 18 °C into 300 L at 25 °C: arithmetic of mixing, 25 - 0.15 x 7 = 23.95 °C.
    plan = run(
        "plan", "change", "--amount", "45L", "--new-temperature", "18 C", "--volume", "300L",
        "--temperature", "25 C", "--json",
    ).json  # fmt: skip
    assert plan["figures"]["after_temperature"]["value"] == pytest.approx(23.95, abs=0.005)
    assert "temperature from 25 °C to 23.9 °C" in plan["headline"]
    assert "temperature" not in plan["about"]


def test_more_often_or_larger_is_told_in_litres_and_in_salt(run: Run) -> None:
    plan = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "15mg/L", "--made", "0.5mg/L",
        "--every", "7", "--volume", "300L", "--json",
    ).json  # fmt: skip
    # Weekly: f = 3.5/18.5, 18.9 % of 300 L, 243 L in 30 days; 36 g a litre of 35 PSU and 5 %
    # moisture make 9.2 kg. Continuous: 300 ln(40/15) = 294.2 L. Arithmetic.
    notes = " ".join(plan["notes"])
    assert "Every 7 days 19 %: up to 18.5 mg/L in between; 243 L and 9.19 kg of salt" in notes
    assert "a continuous one, which takes new water along with the old, 294 L" in notes


def test_changes_are_a_poor_way_to_bring_salinity_back_and_a_better_one_is_named(run: Run) -> None:
    # (35 - 0.9 x 33) / 0.1 = 53 PSU for one change of a tenth: arithmetic.
    plan = run(
        "plan", "change", "salinity", "--from", "33", "--to", "35", "--amount", "10 %",
        "--volume", "300L", "--json",
    ).json  # fmt: skip
    assert plan["verdict"] == "cannot"
    assert "10 % would need water of 53 PSU" in plan["headline"]
    assert "plan of salinity" in plan["headline"]


def test_a_change_of_every_day_is_said_so(run: Run) -> None:
    plan = run(
        "plan", "change", "nitrate", "--amount", "2 %", "--every", "1", "--made", "1mg/L",
        "--from", "40mg/L", "--volume", "300L", "--json",
    ).json  # fmt: skip
    # In the end 1 x (1 - 0.02)/0.02 = 49 mg/L just after a change, 50 before: arithmetic.
    assert plan["headline"].startswith("2 % every day leads to 49 mg/L just after a change and 50")
