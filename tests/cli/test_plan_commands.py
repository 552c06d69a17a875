"""``brinebook plan`` at the command line: figures asked for without a book, and its JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.conftest import Run


def _figures(run: Run, *arguments: str) -> dict[str, Any]:
    outcome = run("plan", *arguments, "--json")
    assert outcome.status == 0, outcome.err
    found = outcome.json["figures"]
    return {name: figure["value"] for name, figure in found.items()}


@pytest.mark.parametrize(
    ("salt", "grams"),
    # 300 L, 1.2 dKH: arithmetic on molar masses (IUPAC), 0.02 %.
    [("NaHCO3", 10.786), ("Na2CO3", 6.804)],
)
def test_grams_for_a_rise_of_alkalinity(run: Run, salt: str, grams: float) -> None:
    found = _figures(
        run, "correct", "alkalinity", "--from", "6.9 dKH", "--to", "8.1 dKH", "--volume", "300L",
        "--with", salt, "--co2", "420 ppm",
    )  # fmt: skip
    assert found["needed"] == pytest.approx(grams, rel=2e-4)
    assert found["total"] == pytest.approx(grams, rel=2e-4)


def test_the_courses_start_at_the_waters_own_ph_and_settle_above_it(run: Run) -> None:
    outcome = run(
        "plan", "correct", "alkalinity", "--from", "6.9 dKH", "--to", "8.1 dKH", "--volume", "300L",
        "--with", "NaHCO3", "--co2", "420 ppm", "--days", "2", "--json",
    )  # fmt: skip
    courses = {(c["name"], c["label"]): c["points"] for c in outcome.json["courses"]}
    # PyCO2SYS: 8.179 (NBS) at 6.9 dKH over 420 uatm; bicarbonate lowers it at once, and once the
    # air has had its way it ends above the start. 0.005.
    assert courses["ph", "closed"][0]["value"] == pytest.approx(8.179, abs=0.005)
    assert courses["ph", "closed"][1]["value"] < courses["ph", "closed"][0]["value"]
    assert courses["ph", "settled with the air"][0]["value"] > courses["ph", "closed"][0]["value"]


def test_each_base_is_followed_from_what_it_does_at_first_to_where_all_end(run: Run) -> None:
    plan = run(
        "plan", "correct", "alkalinity", "--from", "6.9 dKH", "--to", "8.1 dKH", "--volume",
        "300L", "--co2", "420 ppm", "--days", "2", "--json",
    ).json  # fmt: skip
    courses = {
        (one["name"], one["label"]): [point["value"] for point in one["points"]]
        for one in plan["courses"]
    }
    end = plan["figures"]["settled_ph"]["value"]
    assert end == pytest.approx(8.238, abs=0.005)
    # PyCO2SYS (Humphreys et al. 2022), 420 uatm, 25 C, 35: at once and in balance with the air.
    # 0.005 of pH, 0.02 of saturation, 2 uatm (0.4 %).
    for base, ph, saturation in (
        ("bicarbonate", 8.122, 3.75), ("carbonate", 8.401, 6.05), ("hydroxide", 8.630, 8.37),
    ):  # fmt: skip
        label = f"all at once by {base}, with the air"
        at = courses["ph", label]
        assert at[0] == pytest.approx(8.179, abs=0.005)
        assert at[1] == pytest.approx(ph, abs=0.005)
        assert courses["omega_aragonite", label][1] == pytest.approx(saturation, abs=0.02)
        # The air has its way from there: never past the end that all three share.
        gaps = [abs(value - end) for value in at[1:]]
        assert gaps == sorted(gaps, reverse=True)
        assert courses["pco2", label][-1] == pytest.approx(420.0, abs=30.0)


def test_what_ph_does_at_first_and_in_the_end_by_each_kind_of_salt(run: Run) -> None:
    found = _figures(
        run, "correct", "alkalinity", "--from", "6.9 dKH", "--to", "8.1 dKH", "--volume", "300L",
        "--co2", "420 ppm", "--days", "2",
    )  # fmt: skip
    # PyCO2SYS (Humphreys et al. 2022), 420 uatm, 25 C, 35: 0.005 of pH, 0.02 of saturation.
    for salt, ph, saturation in (
        ("bicarbonate", 8.122, 3.75), ("carbonate", 8.401, 6.05), ("hydroxide", 8.630, 8.37),
    ):  # fmt: skip
        assert found[f"at_once_{salt}_ph"] == pytest.approx(ph, abs=0.005)
        assert found[f"at_once_{salt}_saturation"] == pytest.approx(saturation, abs=0.02)
    assert found["settled_ph"] == pytest.approx(8.238, abs=0.005)
    assert found["settled_saturation"] == pytest.approx(4.62, abs=0.02)
    assert found["at_once_bicarbonate_co2"] == pytest.approx(582.0, abs=2.0)
    assert found["at_once_carbonate_co2"] == pytest.approx(259.0, abs=2.0)


def test_what_meets_a_use_and_the_calcium_that_goes_with_it(run: Run) -> None:
    found = _figures(
        run, "dose", "--use", "0.5 dKH", "--volume", "300L", "--with", "NaHCO3 80 g/L",
        "--with", "CaCl2.2H2O 70 g/L",
    )  # fmt: skip
    # 3.5 dKH in a week take 3.5 x 7.147 = 25.01 mg/L of calcium: molar masses (IUPAC), 0.02 %.
    assert found["calcium_in_all"] == pytest.approx(3.5 * 7.147, rel=2e-4)
    # 0.5 dKH x 0.35665 meq/L x 300 L x 84.007 g/mol / 80 g/L: molar masses, 0.05 %.
    assert found["a_day_NaHCO3 80 g/L"] == pytest.approx(56.18, rel=5e-4)
    assert found["a_day_CaCl2.2H2O 70 g/L"] == pytest.approx(56.18, rel=5e-4)


def test_unequal_bottles_at_equal_volumes_take_calcium_away(run: Run) -> None:
    found = _figures(
        run, "dose", "--use", "0.5 dKH", "--volume", "300L", "--with", "NaHCO3 80 g/L",
        "--with", "CaCl2.2H2O 50 g/L",
    )  # fmt: skip
    # 56.18 mL of each bring 56.18 x 50 x 40.078/147.01 = 765.8 mg of calcium a day, and 1072.0 mg
    # are taken: -306.2 x 7 / 300 = -7.15 mg/L a week. Molar masses (IUPAC), 0.2 %.
    assert found["equal_amounts_drift"] == pytest.approx(-7.15, rel=2e-3)
    assert found["pair_ratio"] == pytest.approx(1.400, rel=1e-3)


def test_a_volume_without_a_use_and_parts_that_bring_neither_are_refused(run: Run) -> None:
    for extra, code in (
        ((), "E-PLAN-USE"),
        (("--use", "0.5 dKH", "--with", "MgCl2.6H2O"), "E-BRINGS-NONE"),
        (("--use", "0.5 dKH", "--with", "NaHCO3 0 g/L"), "E-STRENGTH"),
    ):
        outcome = run("plan", "dose", "--volume", "300L", *extra, "--json")
        assert outcome.status == 2
        assert outcome.json["error"]["code"] == code


def test_nitrate_that_is_made_faster_than_a_tenth_a_week_takes_out(run: Run) -> None:
    # c <- (c + 7)(1 - 0.1) from 40: 53.1 after eight weeks, 63 in the end; arithmetic.
    found = _figures(
        run, "change", "nitrate", "--from", "40mg/L", "--made", "1mg/L", "--amount", "10%",
        "--every", "7", "--volume", "300L",
    )  # fmt: skip
    assert found["after_8"] == pytest.approx(53.1, abs=0.05)
    assert found["fixed_trough"] == pytest.approx(63.0, rel=1e-6)
    assert found["fixed_peak"] == pytest.approx(70.0, rel=1e-6)


def test_three_changes_or_one(run: Run) -> None:
    # 75 % at once is 225 L; three of 37.0 % are 333 L; arithmetic, 1e-3.
    found = _figures(
        run, "change", "nitrate", "--from", "40mg/L", "--to", "10mg/L", "--volume", "300L",
        "--times", "3",
    )  # fmt: skip
    assert found["litres_once"] == pytest.approx(225.0, rel=1e-6)
    assert found["share_each"] == pytest.approx(37.0, abs=0.05)
    assert found["litres_total"] == pytest.approx(333.0, abs=0.1)
    assert found["plan_share"] == pytest.approx(found["share_each"], abs=0.01)


def test_cold_new_water_cools_by_its_share(run: Run) -> None:
    # 45 L at 18 C in 300 L at 25 C: 23.95 C, arithmetic; 0.01 K.
    found = _figures(
        run, "change", "--amount", "45L", "--volume", "300L", "--temperature", "25 C",
        "--new-temperature", "18 C",
    )  # fmt: skip
    assert found["after_temperature"] == pytest.approx(23.95, abs=0.01)


def test_a_recipe_by_what_goes_with_another(run: Run) -> None:
    found = _figures(run, "solution", "CaCl2.2H2O", "--match", "NaHCO3 80 g/L", "--volume", "5L")
    # 70.00 g/L of the dihydrate go with 80 g/L of bicarbonate: arithmetic, half a digit.
    assert found["grams_per_litre"] == pytest.approx(70.00, abs=0.005)
    assert found["grams"] == pytest.approx(350.0, abs=0.03)


def test_the_moisture_of_the_salt_is_said_beside_its_grams(run: Run) -> None:
    plan = run(
        "plan", "mix", "38L", "--from", "33", "--to", "35", "--moisture", "1.1", "--json"
    ).json
    assert any("10 % more is counted than dry" in note for note in plan["notes"])


def test_soda_ash_is_made_by_heating_baking_soda(run: Run) -> None:
    # Arithmetic on molar masses (IUPAC), 0.02 %: 100 g leave 63.08 g, and 158.52 g make 100 g.
    found = _figures(run, "solution", "NaHCO3", "--strength", "100 g/L", "--temperature", "25 C")
    assert found["soda_ash_if_heated"] == pytest.approx(63.08, rel=2e-4)
    found = _figures(run, "solution", "Na2CO3", "--strength", "100 g/L")
    assert found["baking_soda_to_heat"] == pytest.approx(158.52, rel=2e-4)
    plan = run("plan", "solution", "NaHCO3", "--strength", "80 g/L", "--json").json
    assert [each["id"] for each in plan["cautions"]] == ["soda", "reagents"]
    assert any("chalk" in note for note in plan["notes"])


def test_a_plan_that_nobody_knows_is_refused_with_the_nearest(run: Run) -> None:
    outcome = run("plan", "corect", "--json")
    assert outcome.status == 2
    assert outcome.json["error"]["code"] == "E-PLAN-UNKNOWN"
    assert "correct" in outcome.json["error"]["hint"]


def test_every_plan_has_the_same_keys(run: Run) -> None:
    first = run("plan", "solution", "NaHCO3", "--strength", "80 g/L", "--json").json
    second = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "10mg/L", "--volume", "300L",
        "--json",
    ).json  # fmt: skip
    assert list(first) == list(second)
    assert list(first) == [
        "id", "kind", "about", "at", "verdict", "headline", "steps", "figures", "chances",
        "courses", "reasons", "stops", "cautions", "notes",
    ]  # fmt: skip


def test_a_level_without_its_water_is_refused(reef: Run) -> None:
    outcome = reef("plan", "correct", "calcium", "--from", "380 mg/L", "--json")
    assert outcome.status == 2
    assert outcome.json["error"]["code"] == "E-PLAN-FROM"


def test_what_was_never_tested_is_not_planned(reef: Run) -> None:
    assert reef("add", "test", "alk", "7.6dKH").status == 0
    outcome = reef("plan", "correct", "magnesium", "--json")
    assert outcome.status == 2
    assert outcome.json["error"]["code"] == "E-PLAN-UNTESTED"


def test_no_plan_writes_into_the_book(reef: Run) -> None:
    for day in range(1, 8):
        reef("add", "test", "alk", "7.6dKH", "--when", f"2026-01-0{day}T09:00")
    before = reef("history", "--json").json
    outcome = reef("plan", "correct", "alkalinity", "--at", "2026-01-07T10:00", "--json")
    assert outcome.status == 0, outcome.err
    assert reef("history", "--json").json == before


def test_the_same_facts_plan_the_same_bytes(reef: Run) -> None:
    for day in range(1, 8):
        reef("add", "test", "alk", "7.4dKH", "--when", f"2026-01-0{day}T09:00")
    ask = ("plan", "correct", "alkalinity", "--at", "2026-01-07T10:00", "--json")
    assert reef(*ask).out == reef(*ask).out


def test_how_much_a_stuck_pump_puts_in_and_how_much_to_keep(run: Run) -> None:
    # 80 g/L of bicarbonate in 300 L: 420 mL are 3.74 dKH, and 157 mL the 1.4 dKH: arithmetic.
    found = _figures(
        run, "bottle", "NaHCO3", "--strength", "80 g/L", "--left", "420mL", "--worst", "1.4 dKH",
        "--volume", "300L",
    )  # fmt: skip
    assert found["stuck_NaHCO3 solution"] * 2.80385 == pytest.approx(3.74, abs=0.005)
    assert found["keep_NaHCO3 solution"] == pytest.approx(157.0, abs=0.5)


def test_salt_for_a_batch_that_is_short_of_salinity(run: Run) -> None:
    # 38 L from 33 to 35 PSU: 80.0 g dry, 88 g of salt with a tenth of moisture; 0.5 %.
    found = _figures(run, "mix", "38L", "--from", "33", "--to", "35", "--moisture", "1.1")
    assert found["salt_dry"] == pytest.approx(80.0, rel=5e-3)
    assert found["salt"] == pytest.approx(88.0, rel=5e-3)


def test_ways_to_bring_salinity_back_are_told(run: Run) -> None:
    # 300 L from 33 to 35: 53 PSU in one change of a tenth, or 4.3 days at 4 L; arithmetic, 0.5 %.
    found = _figures(
        run, "salinity", "--from", "33", "--to", "35", "--volume", "300L", "--evaporation",
        "4 L/day",
    )  # fmt: skip
    assert found["one_change_salinity"] == pytest.approx(53.0, rel=5e-3)
    assert found["top_off_days"] == pytest.approx(4.29, rel=5e-3)
    down = _figures(run, "salinity", "--from", "37", "--to", "35", "--volume", "300L")
    assert down["fresh_swap"] == pytest.approx(16.2, rel=5e-3)


def test_a_years_residue_of_thirty_millilitres(run: Run) -> None:
    # 1.670 g of NaCl a day, 609 g and 2.03 g/L a year in 300 L; arithmetic, 0.1 %.
    found = _figures(run, "residue", "--amount", "30mL", "--volume", "300L", "--change", "10%")
    assert found["grams_a_year"] == pytest.approx(609.0, rel=1e-3)
    assert found["per_litre_a_year"] == pytest.approx(2.03, rel=1e-3)
    assert found["steady_excess"] == pytest.approx(0.39, abs=0.005)


def test_limewater_and_reactor_answer_without_a_book(run: Run) -> None:
    lime = _figures(
        run, "limewater", "--evaporation", "3.8 L/day", "--volume", "300L", "--use", "1 dKH"
    )
    # Saturated limewater holds 40.2 meq/kg (phreeqpython, pitzer.dat): 1.43 dKH a day, 3 %.
    assert lime["brings_now"] * 2.80385 == pytest.approx(1.43, rel=0.03)
    drip = _figures(
        run, "reactor", "--effluent", "25 dKH", "--flow", "2 L/h", "--volume", "300L", "--use",
        "1 dKH", "--alkalinity", "8 dKH",
    )  # fmt: skip
    # 17 dKH x 48 L over 300 L: arithmetic.
    assert drip["brings"] * 2.80385 == pytest.approx(2.72, rel=1e-4)


def test_limits_say_whose_they_are_and_a_suggestion_can_be_taken(reef: Run) -> None:
    before = {one["quantity"]: one for one in reef("plan", "limits", "--json").json["limits"]}
    assert "per_day" in before["alkalinity"]["own"]
    assert "per_day" not in before["magnesium"]["own"]
    after = reef("plan", "limits", "--take", "magnesium", "--json")
    assert after.status == 0, after.err
    taken = {one["quantity"]: one for one in after.json["limits"]}
    assert "per_day" in taken["magnesium"]["own"]
    assert taken["magnesium"]["per_day"] == before["magnesium"]["per_day"]
    assert "limits_per_day" in reef("system", "--json").json


def test_every_plan_of_the_table_has_help_with_an_example(run: Run) -> None:
    from brinebook.cli.plan import PLANS

    for name in PLANS:
        outcome = run("plan", name, "--help")
        assert outcome.status == 0
        assert f"brinebook plan {name}" in outcome.out


def test_what_is_merely_usual_counts_as_untested(run: Run, tmp_path: Path) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text(
        'name = "Bare"\ntimezone = "Europe/Berlin"\n[[additives]]\nname = "soda"\n'
        'recipe = { salt = "NaHCO3", grams_per_litre = 80 }\n'
    )
    assert run("new", "--system", str(bare)).status == 0
    for arguments in (("correct", "alkalinity"), ("dose",), ("salinity",), ("change", "nitrate")):
        outcome = run("plan", *arguments, "--json")
        assert outcome.status == 2
        assert outcome.json["error"]["code"] == "E-PLAN-UNTESTED"
    assert run("plan", "residue", "--json").json["error"]["code"] == "E-PLAN-NO-PUMP"


def test_one_test_alone_is_told_as_little(run: Run, tmp_path: Path) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text('name = "Bare"\ntimezone = "Europe/Berlin"\n')
    assert run("new", "--system", str(bare)).status == 0
    assert run("add", "test", "nitrate", "20 mg/L").status == 0
    told = run("plan", "change", "nitrate", "--amount", "10%", "--json").json["headline"]
    assert "can't be told yet" in told


def test_what_no_scales_can_weigh_is_poured_from_a_stock(run: Run) -> None:
    steps = run(
        "plan", "correct", "iodine", "--from", "40ug/L", "--to", "60ug/L", "--volume", "300L",
        "--json",
    ).json["steps"]  # fmt: skip
    doses = [step for step in steps if step["kind"] == "dose"]
    # 20 ug/L x 300 L x 166.00/126.90 (IUPAC) = 7.849 mg of KI in all.
    assert sum(float(step["value"]) for step in doses) == pytest.approx(0.007849, rel=2e-3)
    assert "3.9 mL of a solution of 1 g of KI in a litre" in doses[0]["text"]


def test_what_nothing_raises_says_what_does(run: Run) -> None:
    for quantity, low, high, way in (
        ("salinity", "33", "35", "plan of salinity"), ("ph", "8", "8.2", "CO2"),
        ("ammonia", "0mg/L", "1mg/L", "water changes"),
    ):  # fmt: skip
        outcome = run(
            "plan", "correct", quantity, "--from", low, "--to", high, "--volume", "100L", "--json"
        )
        assert outcome.json["error"]["code"] == "E-NOTHING-RAISES"
        assert way in outcome.json["error"]["hint"]


def test_nothing_is_poured_on_one_surprising_test(reef: Run) -> None:
    reef("add", "dosing", "carbonate solution", "25mL/day", "--when", "2026-01-01T08:00")
    for day, level in zip((1, 7, 13, 19, 25), ("8.2", "8.1", "8.3", "8.2", "8.1"), strict=True):
        reef("add", "test", "alk", f"{level}dKH", "--when", f"2026-01-{day:02}T09:00")
    reef("add", "test", "alk", "6.7dKH", "--when", "2026-01-31T09:00")
    words = ("plan", "correct", "alk", "--to", "8.2dKH", "--at", "2026-01-31T10:00", "--json")
    first = reef(*words).json
    assert first["verdict"] == "test first"
    assert "again first" in first["headline"]
    assert "6.7 dKH" in first["headline"]
    assert [step["kind"] for step in first["steps"]] == ["test"]
    # A second test that says the same is no surprise any more.
    reef("add", "test", "alk", "6.8dKH", "--when", "2026-01-31T09:30")
    second = reef(*words).json
    assert second["verdict"] == "do"
    assert second["steps"][0]["kind"] == "dose"


def test_salinity_is_read_again_where_what_is_wanted_lies_within_the_belief(
    run: Run, tmp_path: Path
) -> None:
    system = tmp_path / "system.toml"
    system.write_text('name = "Shelf"\nnet_volume = "300 L"\n[targets]\nsalinity = "35 PSU"\n')
    book = ("--book", str(tmp_path / "shelf.book"))
    assert run(*book, "new", "--system", str(system)).status == 0
    run(*book, "add", "test", "salinity", "35.4 PSU", "--when", "2026-02-01T08:00")
    near = run(*book, "plan", "salinity", "--at", "2026-02-01T09:00", "--json").json
    assert near["verdict"] == "test first"
    assert [step["kind"] for step in near["steps"]] == ["test"]
    far = run(*book, "plan", "salinity", "--to", "32", "--at", "2026-02-01T09:00", "--json").json
    assert far["verdict"] == "do"
