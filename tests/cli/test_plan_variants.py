"""The same arithmetic in other salts, units, volumes and salinities than the cases that it was
made with: each figure here was worked out by hand from molar masses (IUPAC/CIAAW abridged weights)
or by an independent program, and none by this one.
"""

from __future__ import annotations

import pytest

from tests.conftest import Run

# Arithmetic on molar masses, 0.02 %: 1 dKH is 20/56.077 meq/L, 1 gal(US) 3.78541 L.
CORRECTIONS = [
    (("alkalinity", "--from", "7.2 dKH", "--to", "8.0 dKH", "--volume", "500L", "--with",
      "Na2CO3.10H2O"), 20.4103),  # 142.66 meq x 286.138 / 2000
    (("alkalinity", "--from", "2.5 meq/L", "--to", "2.8 meq/L", "--volume", "100gal", "--with",
      "NaHCO3"), 9.53989),  # 113.562 meq x 84.006 / 1000
    (("alkalinity", "--from", "120 mg/L CaCO3", "--to", "140 mg/L CaCO3", "--volume", "80L",
      "--with", "NaHCO3"), 2.68587),  # 20 / 50.043 meq/L
    # At 35 PSU and 25 °C a litre is 1.0233436 kg (TEOS-10).
    (("alkalinity", "--from", "2200 umol/kg", "--to", "2400 umol/kg", "--volume", "300L",
      "--with", "NaHCO3"), 5.15801),
    (("calcium", "--from", "9.9 mmol/L", "--to", "10.4 mmol/L", "--volume", "210L", "--with",
      "CaCl2.2H2O"), 15.4358),  # 0.105 mol x 147.008
    (("calcium", "--from", "395 mg/L", "--to", "428 mg/L", "--volume", "210L", "--with",
      "CaCl2.6H2O"), 37.8797),  # 6.93 g x 219.068 / 40.078
    (("magnesium", "--from", "1180 mg/L", "--to", "1200 mg/L", "--volume", "450L", "--with",
      "MgSO4"), 44.569),  # 9 g x 120.361 / 24.305
    (("potassium", "--from", "380 mg/L", "--to", "400 mg/L", "--volume", "300L", "--with",
      "KCl"), 11.4401),  # 6 g x 74.548 / 39.0983
    (("iodine", "--from", "30 ug/L", "--to", "60 ug/L", "--volume", "300L", "--with", "KI"),
     0.0117728),  # 9 mg x 166.003 / 126.904
    # 1.2 dKH in 300 L are 128.395 meq; 80 g/L of NaHCO3 hold 952.313 meq in a litre.
    (("alkalinity", "--from", "6.9 dKH", "--to", "8.1 dKH", "--volume", "300L", "--with",
      "NaHCO3 80 g/L"), 134.824),
]  # fmt: skip


@pytest.mark.parametrize(("words", "amount"), CORRECTIONS)
def test_amounts_in_other_salts_and_units(run: Run, words: tuple[str, ...], amount: float) -> None:
    plan = run("plan", "correct", *words, "--json").json
    assert plan["figures"]["needed"]["value"] == pytest.approx(amount, rel=2e-4)


@pytest.mark.parametrize(
    ("water", "levels", "carbonate"),
    # PyCO2SYS 1.8.3.4 (Lueker, Dickson, Perez & Fraga, Uppström; calcium by salinity): pH NBS,
    # aragonite saturation and CO2 with carbonate poured at once. NBS holds to 0.005 (the fluoride
    # constant is taken on another scale there), saturation to 0.02, CO2 to 3 µatm.
    [
        (("33", "27 C", "420 ppm"), ("8 dKH", "9.5 dKH"), (8.467, 8.190, 258.66)),
        (("37", "22 C", "1200 ppm"), ("6 dKH", "8 dKH"), (8.305, 4.801, 328.61)),
        (("35", "25 C", "800 ppm"), ("7.5 dKH", "8.5 dKH"), (8.212, 4.645, 474.58)),
    ],
)
def test_carbonate_in_other_waters_than_35_psu(
    run: Run,
    water: tuple[str, str, str],
    levels: tuple[str, str],
    carbonate: tuple[float, float, float],
) -> None:
    salinity, temperature, co2 = water
    plan = run(
        "plan", "correct", "alkalinity", "--from", levels[0], "--to", levels[1], "--volume",
        "300L", "--with", "Na2CO3", "--salinity", salinity, "--temperature", temperature,
        "--co2", co2, "--json",
    ).json  # fmt: skip
    ph, saturation, pco2 = carbonate
    told = {name: figure["value"] for name, figure in plan["figures"].items()}
    assert told["at_once_carbonate_ph"] == pytest.approx(ph, abs=0.005)
    assert told["at_once_carbonate_saturation"] == pytest.approx(saturation, abs=0.02)
    assert told["at_once_carbonate_co2"] == pytest.approx(pco2, abs=3.0)


def test_a_change_of_a_stated_size_is_told_beside_the_level_that_is_wanted(run: Run) -> None:
    plan = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "10mg/L", "--made", "1mg/L",
        "--amount", "50 %", "--every", "7", "--volume", "300L", "--json",
    ).json  # fmt: skip
    # c <- (c + 7)/2 from 40: 23.5, 15.25 … towards 7 just after a change, 14 before; the share
    # that holds 10 is 7/17. Arithmetic.
    told = {name: figure["value"] for name, figure in plan["figures"].items()}
    assert told["after_1"] == pytest.approx(23.5)
    assert told["after_2"] == pytest.approx(15.25)
    assert told["fixed_trough"] == pytest.approx(7.0)
    assert told["share_to_hold"] == pytest.approx(100 * 7 / 17, rel=1e-4)
    assert plan["verdict"] == "do"
    assert told["plan_share"] <= 50.0
    assert any("at once is more than the 30 %" in note for note in plan["notes"])


def test_a_dozen_changes_are_looked_ahead_as_far_as_they_go(run: Run) -> None:
    plan = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "1mg/L", "--times", "12",
        "--volume", "300L", "--json",
    ).json  # fmt: skip
    # 1 - (1/40)^(1/12): arithmetic.
    share = 100.0 * (1.0 - (1.0 / 40.0) ** (1.0 / 12.0))
    assert plan["figures"]["plan_share"]["value"] == pytest.approx(share, rel=1e-3)
    far = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "1mg/L", "--times", "40",
        "--every", "14", "--volume", "300L", "--json",
    )  # fmt: skip
    assert (far.status, far.json["error"]["code"]) == (2, "E-PLAN-CHANGES")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("residue", "--use", "1 dKH", "--volume", "300L", "--change", "10 %/week"),
         "E-UNIT-UNKNOWN"),
        (("residue", "--amount", "30 g", "--volume", "300L"), "E-UNIT-UNKNOWN"),
        (("bottle", "NaHCO3", "--strength", "80 %", "--volume", "300L"), "E-STRENGTH"),
        (("correct", "alkalinity", "--from", "7 dKH", "--volume", "300L", "--with",
          "NaHCO3 0 g/L"), "E-STRENGTH"),
    ],
)  # fmt: skip
def test_no_unit_is_read_as_another(run: Run, words: tuple[str, ...], code: str) -> None:
    refused = run("plan", *words, "--json")
    assert (refused.status, refused.json["error"]["code"]) == (2, code)


def test_strengths_are_read_alike_wherever_they_are_typed(run: Run) -> None:
    # 80 g/L of NaHCO3 (84.006 g/mol) are 0.952313 meq/mL: one litre of either is 3.17438 meq/L in
    # 300 L. Arithmetic, 0.02 %.
    for strength in ("80 g/L", "0.952313 meq/mL", "0.08 g/mL"):
        plan = run(
            "plan", "bottle", "NaHCO3", "--strength", strength, "--left", "1L", "--volume",
            "300L", "--json",
        ).json  # fmt: skip
        stuck = plan["figures"]["stuck_NaHCO3 solution"]["value"]
        assert stuck == pytest.approx(3.17438, rel=2e-4)


def test_lime_for_calcium_says_what_alkalinity_it_brings_along(run: Run) -> None:
    plan = run(
        "plan", "correct", "calcium", "--from", "400 mg/L", "--to", "420 mg/L", "--volume", "300L",
        "--with", "Ca(OH)2", "--json",
    ).json  # fmt: skip
    # 20 mg/L are 0.49903 mmol/L (40.078 g/mol) and bring twice as many meq/L, 2.80 dKH. Arithmetic.
    assert plan["figures"]["brings_alkalinity"]["value"] == pytest.approx(0.99805, rel=2e-4)
    assert plan["notes"][0].startswith("It brings 2.8 dKH of alkalinity along")
    small = run(
        "plan", "correct", "alkalinity", "--from", "7 dKH", "--to", "7.5 dKH", "--volume", "300L",
        "--with", "NaHCO3", "--json",
    ).json  # fmt: skip
    assert not any("along, to" in note for note in small["notes"])


def test_what_is_poured_can_be_dissolved_in_the_water_that_is_named(run: Run) -> None:
    # A litre at 25 °C holds 1.59 g of slaked lime (handbook): 3.7 g need at least 2.3 L.
    plan = run(
        "plan", "correct", "calcium", "--from", "400 mg/L", "--to", "410 mg/L", "--volume",
        "2000L", "--with", "Ca(OH)2", "--json",
    ).json  # fmt: skip
    pour = plan["steps"][0]
    litres = float(pour["text"].split("dissolved in ")[1].split()[0])
    assert float(pour["value"]) / litres < 1.59
    chalk = run(
        "plan", "correct", "alkalinity", "--from", "7 dKH", "--volume", "300L", "--with", "CaCO3",
        "--json",
    )  # fmt: skip
    assert (chalk.status, chalk.json["error"]["code"]) == (2, "E-UNDISSOLVED")


def test_no_change_moves_warmth_by_more_than_a_day_may(run: Run) -> None:
    # 7 °C colder, and 1 °C a day is let (common practice, no source): at most a seventh at once.
    plan = run(
        "plan", "change", "nitrate", "--from", "40mg/L", "--to", "20mg/L", "--volume", "300L",
        "--new-temperature", "18 C", "--temperature", "25 C", "--json",
    ).json  # fmt: skip
    assert plan["verdict"] == "do"
    assert plan["figures"]["plan_share"]["value"] <= 100.0 / 7.0 + 1e-6
    assert plan["figures"]["moves_temperature"]["value"] >= -1.0 - 1e-9


def test_the_same_act_many_times_is_one_line(run: Run) -> None:
    words = ("plan", "correct", "alkalinity", "--from", "2 dKH", "--to", "8 dKH", "--volume",
             "300L", "--with", "NaHCO3")  # fmt: skip
    steps = run(*words, "--json").json["steps"]
    page = run(*words).out
    pours = len(steps) - 1
    assert pours >= 6
    assert page.count(" pour ") <= 2
    assert f" 1 to {pours}. " in page
    assert f"{pours} times: pour" in " ".join(page.split())


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("dose", "--use", "1 dKH", "--days", "nan"), "E-USAGE"),
        (("change", "nitrate", "--from", "40mg/L", "--to", "10mg/L", "--every", "nan"), "E-USAGE"),
        (("algae", "--cut", "100g", "--days", "inf"), "E-USAGE"),
        (("limewater", "--evaporation", "4 L/day", "--use", "1 dKH", "--hours", "1e-9"),
         "E-PLAN-HOURS"),
        (("limewater", "--evaporation", "4 L/day", "--use", "1 dKH", "--hours", "25-99"),
         "E-PLAN-HOURS"),
        (("limewater", "--evaporation", "4 L/day", "--use", "1 dKH", "--co2", "0 ppm"),
         "E-PLAN-AIR"),
        (("residue", "--amount", "1e9 L"), "E-RANGE"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused_in_words(run: Run, words: tuple[str, ...], code: str) -> None:
    refused = run("plan", *words, "--volume", "300L", "--json")
    assert (refused.status, refused.json["error"]["code"]) == (2, code)
