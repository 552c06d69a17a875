"""``plan slip``: what a slip did, against figures worked by hand and an independent program."""

from __future__ import annotations

from typing import Any

import pytest

from brinebook.water.quantities import DKH_PER_MEQ
from tests.conftest import Run


def figures(run: Run, *words: str) -> dict[str, float]:
    outcome = run("plan", "slip", *words, "--json")
    assert outcome.status == 0, outcome
    found: dict[str, Any] = outcome.json["figures"]
    return {name: figure["value"] for name, figure in found.items()}


@pytest.mark.parametrize(
    ("salt", "grams", "at_once", "omega"),
    [("NaHCO3", "10.786g", 8.122, 3.75), ("Na2CO3", "6.804g", 8.401, 6.05)],
)
def test_two_salts_part_at_once_and_end_alike(
    run: Run, salt: str, grams: str, at_once: float, omega: float
) -> None:
    # PyCO2SYS 1.8.3.4, 300 L of 35 PSU and 25 °C at 6.9 dKH under 420 uatm, raised by 1.2 dKH:
    # NBS 8.179 before; 8.122 and 8.401 closed; 8.238 in balance with the air. The NBS scale is
    # told by another constant for fluoride than that program's, hence 0.005; saturation 0.02.
    found = figures(
        run, "dose", salt, grams, "--volume", "300L", "--alkalinity", "6.9 dKH", "--co2", "420 ppm"
    )
    assert found["alkalinity_rise"] * DKH_PER_MEQ == pytest.approx(1.2, rel=2e-4)
    assert found["ph_before"] == pytest.approx(8.179, abs=0.005)
    assert found["ph_at_once"] == pytest.approx(at_once, abs=0.005)
    assert found["ph_aired"] == pytest.approx(8.238, abs=0.005)
    assert found["omega_aragonite_before"] == pytest.approx(3.53, abs=0.02)
    assert found["omega_aragonite_at_once"] == pytest.approx(omega, abs=0.02)
    assert found["omega_aragonite_aired"] == pytest.approx(4.62, abs=0.02)


def test_a_stuck_pump_of_two_weeks(run: Run) -> None:
    # By hand: 420 mL of 80 g/L in 300 L is 33.6 g x 11.904 meq / 300 L = 1.3332 meq/L, 3.74 dKH.
    found = figures(
        run, "dose", "NaHCO3", "420mL", "--strength", "80 g/L", "--volume", "300L",
        "--use", "alkalinity 0.5 dKH",
    )  # fmt: skip
    assert found["alkalinity_rise"] * DKH_PER_MEQ == pytest.approx(3.74, abs=0.005)
    assert found["days_of_use"] == pytest.approx(3.738 / 0.5, rel=1e-3)


def test_the_wrong_hydrate_is_told_by_what_it_brings(run: Run) -> None:
    # By hand: 22.008 g in 300 L: of the dihydrate 20 mg/L, of the anhydrous salt 26.49, of the
    # hexahydrate 13.42 (0.02 %).
    for salt, rise in (("CaCl2.2H2O", 20.0), ("CaCl2", 26.49), ("CaCl2.6H2O", 13.42)):
        found = figures(run, "dose", salt, "22.008g", "--volume", "300L")
        assert found["calcium_rise"] == pytest.approx(rise, rel=5e-4)


def test_salt_water_topped_off_for_a_week_and_a_stuck_top_off(run: Run) -> None:
    # By hand, 300 L at 35 PSU: 42 L of salt water ends at 39.9; 25 L of fresh at 32.31.
    assert figures(run, "salt-top-off", "42L", "--volume", "300L")[
        "salinity_after"
    ] == pytest.approx(39.9)
    assert figures(run, "fresh-flood", "25L", "--volume", "300L")[
        "salinity_after"
    ] == pytest.approx(32.31, abs=0.005)


def test_ways_back_to_35(run: Run) -> None:
    # By hand, 300 L: a change of 17.14 L with fresh water leaves 33.0 PSU; back by salt-water
    # top-off at 4 L a day takes 4.3 days, and one change of a tenth would need water of 53 PSU.
    litres = f"{300 * 2 / 35:.6f}L"
    found = figures(run, "fresh-change", litres, "--volume", "300L", "--evaporation", "4 L/day")
    assert found["salinity_after"] == pytest.approx(33.0)
    assert found["salt_top_off_days"] == pytest.approx(4.3, abs=0.05)
    assert found["one_change_of_a_tenth_needs"] == pytest.approx(53.0)
    # And down: 17.14 L of 35 PSU topped off in 300 L is 37; 16.2 L swapped for fresh brings 35.
    found = figures(run, "salt-top-off", litres, "--volume", "300L")
    assert found["salinity_after"] == pytest.approx(37.0)
    assert found["fresh_swap"] == pytest.approx(16.2, abs=0.05)


def test_salinity_that_is_off_has_its_ways_back(run: Run) -> None:
    # By hand, 300 L: 33 to 35 by salt-water top-off at 4 L a day in 4.3 days (a change of a tenth
    # would need 53 PSU); 37 to 35 by swapping 16.2 L for fresh.
    found = figures(
        run, "off-salinity", "--salinity", "33", "--volume", "300L", "--evaporation", "4 L/day"
    )
    assert found["salt_top_off_days"] == pytest.approx(4.3, abs=0.05)
    assert found["one_change_of_a_tenth_needs"] == pytest.approx(53.0)
    found = figures(run, "off-salinity", "--salinity", "37", "--volume", "300L")
    assert found["fresh_swap"] == pytest.approx(16.2, abs=0.05)


def test_wet_skimmate_takes_salt_along(run: Run) -> None:
    # By hand, 300 L: half a litre a day made up with fresh takes 35 x 0.5 / 300 = 0.058 PSU a day,
    # 35 (1 - e^-0.05) = 1.71 in a month.
    found = figures(run, "skimmate", "0.5 L/day", "--volume", "300L")
    assert found["loss_a_day"] == pytest.approx(0.058, abs=0.0005)
    assert 35 - found["salinity_after"] == pytest.approx(1.71, abs=0.005)


def test_ten_litres_of_limewater(run: Run) -> None:
    # By hand: 10 L of 0.0201 mol/L (1.489 g/L) over 300 L of 8 dKH: (2.8532 x 300 + 402) / 310
    # meq/L; fresh water besides, so 35 x 300 / 310 PSU.
    found = figures(
        run, "limewater", "10L", "--strength", "1.48925 g/L", "--volume", "300L",
        "--alkalinity", "8 dKH", "--ph", "8.2",
    )  # fmt: skip
    assert found["alkalinity_after"] == pytest.approx((2.85322 * 300 + 402.0) / 310, rel=1e-4)
    assert found["salinity_after"] == pytest.approx(35 * 300 / 310)
    assert found["ph_at_once"] > 8.6
    assert 8.4 > found["ph_aired"] > found["ph_before"]


def test_two_parts_that_met(run: Run, tmp_path: Any) -> None:
    # By hand: 60 mL of 80 g/L and of 70 g/L make 2.86 g of chalk (57.1 meq, 28.6 mmol Ca).
    (tmp_path / "system.toml").write_text(
        'name = "trial"\nnet_volume = { value = "300 L", sd = "1 L" }\n'
        '[[additives]]\nname = "carbonate"\nrecipe = { salt = "NaHCO3", grams_per_litre = 80 }\n'
        '[[additives]]\nname = "lime"\nrecipe = { salt = "CaCl2.2H2O", grams_per_litre = 70 }\n',
        encoding="utf-8",
    )
    assert run("new", "--system", "system.toml").status == 0
    found = figures(run, "met", "carbonate", "60mL", "lime", "60mL")
    assert found["chalk"] == pytest.approx(2.86, abs=0.005)
    assert found["alkalinity_missing"] == pytest.approx(57.1 / 300, rel=1e-2)


def test_a_jar_of_food_emptied_into_the_water(run: Run) -> None:
    # By hand: 30 g of 45 % protein and 1.2 % phosphorus hold 2.16 g N and 0.36 g P: 7.2 mg/L of N,
    # 31.9 of NO3 and 3.68 of PO4 in 300 L; nitrifying it alone takes 9.87 g of oxygen.
    found = figures(
        run, "overfed", "30g", "--protein", "45 %", "--phosphorus", "1.2 %", "--volume", "300L"
    )
    assert found["nitrogen"] == pytest.approx(2.16, rel=0.02)
    assert found["ammonia_if_all_at_once"] == pytest.approx(7.2, rel=0.02)
    assert found["nitrate_in_the_end"] == pytest.approx(31.9, rel=0.02)
    assert found["phosphate_in_the_end"] == pytest.approx(3.68, rel=0.02)
    assert found["oxygen_needed"] > 30 + 9.87


def test_a_dose_within_a_days_limit_needs_nothing(run: Run) -> None:
    outcome = run("plan", "slip", "dose", "NaHCO3", "2g", "--volume", "300L", "--json")
    assert outcome.json["verdict"] == "nothing"
    assert outcome.json["steps"] == []


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("dose", "stardust", "3g", "--volume", "300L"), "E-SUBSTANCE"),
        (("dose", "NaHCO3", "3mL", "--volume", "300L"), "E-POUR"),
        (("dose", "NaHCO3", "30mL", "--strength", "80 %", "--volume", "300L"), "E-POUR"),
        (("met", "NaHCO3", "3g", "KCl", "3g", "--volume", "300L"), "E-POUR"),
        (("fresh-change", "400L", "--volume", "300L"), "E-SLIP"),
        (("overfed", "0g", "--volume", "300L"), "E-SLIP"),
        (("skimmate", "0.5 L/day", "--days", "nan", "--volume", "300L"), "E-SLIP"),
        (("dose", "NaHCO3", "3g", "--use", "stardust 3", "--volume", "300L"), "E-QUANTITY"),
        (("overfed", "30g", "--protein", "450 %", "--volume", "300L"), "E-SHARE"),
        (("salt-top-off", "3L", "--volume", "0L"), "E-PLAN-VOLUME"),
    ],
)
def test_what_can_t_be_is_refused_in_words(run: Run, words: tuple[str, ...], code: str) -> None:
    outcome = run("plan", "slip", *words, "--json")
    assert outcome.status == 2
    assert outcome.json["error"]["code"] == code


def test_of_a_level_that_nobody_tested_only_the_rise_is_told(run: Run) -> None:
    # By hand: 182.53 g of Epsom salt in 300 L bring 60 mg/L of magnesium (0.02 %).
    found = figures(run, "dose", "MgSO4.7H2O", "182.53g", "--volume", "300L")
    assert found["magnesium_rise"] == pytest.approx(60.0, rel=2e-4)
    assert "magnesium_before" not in found
    assert "magnesium_after" not in found


def test_ammonia_outweighs_what_is_changed_otherwise_and_that_is_said(run: Run) -> None:
    notes = run("plan", "slip", "death", "80g", "--volume", "300L", "--json").json["notes"]
    assert any("30 % at once, 50 % in a week): ammonia outweighs it" in note for note in notes)


def test_acid_within_a_days_limit_is_told_by_its_jump_of_ph(run: Run) -> None:
    # 3 g of HCl (36.458 g/mol) take 82.3 meq, 0.77 dKH in 300 L: within 1 dKH a day, but PyCO2SYS
    # 1.8.3.4 has pH fall by more than half a unit at once (constants of the carbonate tests).
    plan = run("plan", "slip", "dose", "HCl", "3g", "--volume", "300L", "--json").json
    told = {name: figure["value"] for name, figure in plan["figures"].items()}
    assert abs(told["alkalinity_rise"]) == pytest.approx(0.2743, rel=1e-3)
    assert told["ph_at_once"] < told["ph_before"] - 0.5
    assert plan["verdict"] == "do"
    assert "pH jumps at once" in plan["headline"]
